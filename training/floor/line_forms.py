"""The fields of one limit line, for every form that writes limits; and rows of such lines."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from training.floor.limit_problems import limit_problem
from training.floor.limits import (
    CompareTo,
    Feature,
    JudgedBy,
    LimitError,
    Line,
    Measure,
    Unit,
    parse_line,
)

MEASURES = [
    (Measure.AT_MOST, _("at most")),
    (Measure.BETWEEN, _("between")),
    (Measure.COUNT_AT_MOST, _("count at most")),
    (Measure.NONE, _("none accepted")),
    (Measure.NOT_VISIBLE_AT, _("not visible at distance and time")),
    (Measure.GAUGE, _("a gauge decides")),
    (Measure.SAMPLE, _("not worse than a limit sample")),
    (Measure.ANY, _("no limit")),
]
UNITS = [
    ("", "–"),
    (Unit.MM, "mm"),
    (Unit.MM2, "mm²"),
    (Unit.MM_PER_200MM, _("mm per 200 mm")),
    (Unit.PERCENT_AREA, _("% of the area")),
    (Unit.DELTA_E, "ΔE*ab"),
    (Unit.GLOSS_20, _("gloss units, 20°")),
    (Unit.GLOSS_60, _("gloss units, 60°")),
    (Unit.GLOSS_85, _("gloss units, 85°")),
    (Unit.PIECES, _("pieces")),
]
JUDGED = [
    (JudgedBy.EYE, _("eye")),
    (JudgedBy.COUNT, _("count")),
    (JudgedBy.TOUCH, _("touch")),
    (JudgedBy.GAUGE, _("gauge")),
    (JudgedBy.LIGHT_BOOTH, _("light booth")),
]
COMPARED = [
    ("", "–"),
    (CompareTo.MASTER, _("the master")),
    (CompareTo.OTHER_HAND, _("the other hand")),
]
NUMBERS = ("value", "value2", "per_area_cm2", "spacing_mm", "distance_mm", "time_s")


def _number(label: Any, unit: Any = "") -> forms.DecimalField:
    return forms.DecimalField(
        label=label, help_text=unit, required=False, max_digits=9, decimal_places=4
    )


class MeasureFields(forms.Form):
    """What is accepted, in one structured line."""

    measure = forms.ChoiceField(label=_("Kind of limit"), choices=MEASURES)
    value = _number(_("Value"))
    value2 = _number(_("Upper value"), _("only for between"))
    unit = forms.ChoiceField(label=_("Unit"), choices=UNITS, required=False)
    count = forms.IntegerField(label=_("At most"), help_text=_("marks on one part"), required=False)
    per_area_cm2 = _number(_("In any area of"), "cm²")
    spacing_mm = _number(_("Apart by"), "mm")
    distance_mm = _number(_("Seen from"), "mm")
    time_s = _number(_("Looked at for"), "s")
    gauge = forms.CharField(label=_("Gauge"), max_length=20, required=False)
    sample = forms.CharField(label=_("Limit sample"), max_length=20, required=False)
    feature_en = forms.CharField(label=_("What exactly (English)"), max_length=200, required=False)
    feature_es = forms.CharField(label=_("What exactly (Spanish)"), max_length=200, required=False)
    compare_to = forms.ChoiceField(label=_("Compared with"), choices=COMPARED, required=False)
    judged_by = forms.ChoiceField(label=_("Judged by"), choices=JUDGED)

    def read_line(
        self,
        family: str,
        zone: str,
        level: str,
        *,
        feature: Feature | None = None,
        compare_to: str = "",
        judged_by: str = "",
    ) -> Line | None:
        """Return the line that was written of a family in a zone; None with the fault in the form.

        `feature`, `compare_to` and `judged_by` are taken where the form does not give them.
        """
        given = self.cleaned_data
        if not given.get("measure"):
            return None
        english, spanish = given.get("feature_en"), given.get("feature_es")
        words: Mapping[str, str | None] | None = None
        if english or spanish:
            words = {"en": english or spanish, "es": spanish or english}
        elif feature is not None:
            words = {"en": feature.en, "es": feature.es}
        data: dict[str, Any] = {
            "zone": zone,
            "measure": given["measure"],
            "judged_by": given.get("judged_by") or judged_by,
            "level": level,
            "count": given.get("count"),
            "feature": words,
            "compare_to": given.get("compare_to") or compare_to,
            **{name: _plain(given.get(name)) for name in NUMBERS},
            **{name: given.get(name) for name in ("unit", "gauge", "sample")},
        }
        try:
            return parse_line(data, family=family)
        except LimitError as error:
            message, remedy = limit_problem(error)
            name = "feature_en" if error.field == "feature" else error.field
            self.add_error(name if name in self.fields else None, f"{message} {remedy}")
            return None


def _plain(number: Any) -> float | int | None:
    if number is None:
        return None
    return int(number) if number == number.to_integral_value() else float(number)
