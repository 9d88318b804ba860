"""The form that adds or changes one line of a job's limits."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms
from django.utils.translation import gettext_lazy as _

from training.floor.limit_comparing import loosened_by
from training.floor.limit_problems import limit_problem
from training.floor.limit_words import line_text
from training.floor.limits import CompareTo, JudgedBy, LimitError, Line, Measure, Unit, parse_line
from training.floor.models import Family, Zone
from training.floor.sheet_words import language_code, site_counterpart
from training.people.forms import SignatureFields
from training.people.texts import in_language

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
BESIDE = ""


def _number(label: Any, unit: Any = "") -> forms.DecimalField:
    return forms.DecimalField(
        label=label, help_text=unit, required=False, max_digits=9, decimal_places=4
    )


class LimitForm(SignatureFields):
    """One structured line; saving it makes a new revision of the sheet with all other lines."""

    family = forms.ChoiceField(label=_("Family"))
    zone = forms.ChoiceField(label=_("Zone"))
    replaces = forms.ChoiceField(label=_("Takes the place of"), required=False)
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
    reason = forms.CharField(
        label=_("Reason for the change"),
        max_length=200,
        help_text=_("Printed on the sheet and kept in the trail."),
    )
    day = forms.DateField(
        label=_("Valid from"),
        # The browser's own picker takes ISO in every language.
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
    )
    agreed = forms.BooleanField(
        label=_("The customer has agreed to more than the site's general limit"), required=False
    )

    def __init__(
        self,
        *args: Any,
        families: Sequence[tuple[Family, str]],
        zones: Sequence[str],
        lines: Sequence[Line],
        general: Sequence[Line],
        today: dt.date,
        newest_day: dt.date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        language = language_code()
        self.levels = {family.slug: level for family, level in families}
        self.lines, self.general = list(lines), list(general)
        self.newest_day = newest_day
        self.fields["day"].initial = max(today, newest_day)
        names = {family.slug: in_language(family.name, language) for family, _level in families}
        self.fields["family"].choices = list(names.items())  # type: ignore[attr-defined]
        self.fields["zone"].choices = [(zone, Zone(zone).label) for zone in zones]  # type: ignore[attr-defined]
        self.fields["replaces"].choices = [  # type: ignore[attr-defined]
            (BESIDE, _("nothing: it stands beside the others")),
            *(
                (
                    str(place),
                    f"{names.get(line.family, line.family)}, {line.zone}: {line_text(line, language)}",
                )
                for place, line in enumerate(self.lines)
            ),
        ]
        self.new_line: Line | None = None
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = _layout()

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        self._check_day(given.get("day"))
        self.new_line = self._read_line(given)
        if self.new_line is None:
            return given
        old = self.replaced
        if old is not None and (old.family, old.zone) != (self.new_line.family, self.new_line.zone):
            self.add_error("replaces", _("That line speaks of another family or zone."))
        if self.looser_than is not None and not given.get("agreed"):
            words = line_text(self.looser_than, language_code())
            self.add_error("value", _("More than the site allows (%s).") % words)
        return given

    def _check_day(self, day: dt.date | None) -> None:
        if day is not None and day < self.newest_day:
            self.add_error(
                "day",
                _("The revision in force is of %(day)s; a new one cannot be older.")
                % {"day": self.newest_day},
            )

    def _read_line(self, given: dict[str, Any]) -> Line | None:
        family = given.get("family")
        if not family or not given.get("zone") or not given.get("measure"):
            return None
        english, spanish = given.get("feature_en"), given.get("feature_es")
        data: dict[str, Any] = {
            "zone": given["zone"],
            "measure": given["measure"],
            "judged_by": given.get("judged_by"),
            "level": self.levels[family],
            "count": given.get("count"),
            "feature": {"en": english or spanish, "es": spanish or english}
            if english or spanish
            else None,
            **{name: _plain(given.get(name)) for name in NUMBERS},
            **{name: given.get(name) for name in ("unit", "gauge", "sample", "compare_to")},
        }
        try:
            return parse_line(data, family=family)
        except LimitError as error:
            message, remedy = limit_problem(error)
            name = "feature_en" if error.field == "feature" else error.field
            self.add_error(name if name in self.fields else None, f"{message} {remedy}")
            return None

    @property
    def replaced(self) -> Line | None:
        """The line whose place the new one takes."""
        place = self.cleaned_data.get("replaces")
        return self.lines[int(place)] if place else None

    @property
    def looser_than(self) -> Line | None:
        """The site's general line that the new one would loosen."""
        if self.new_line is None:
            return None
        site = site_counterpart(self.new_line, self.general)
        if site is None:
            return None
        # Compared as what the site's line speaks of, whatever the job calls it.
        return next(iter(loosened_by(replace(self.new_line, feature=site.feature), [site])), None)

    def all_lines(self) -> list[Line]:
        """Return the lines of the new revision, the changed one in the place of the old."""
        if self.new_line is None:
            return list(self.lines)
        lines = list(self.lines)
        place = self.cleaned_data.get("replaces")
        if place:
            lines[int(place)] = self.new_line
        else:
            lines.append(self.new_line)
        return lines


def _plain(number: Any) -> float | int | None:
    if number is None:
        return None
    return int(number) if number == number.to_integral_value() else float(number)


def initial_of(line: Line, place: int) -> dict[str, Any]:
    """Return what the form shows to change a line that stands."""
    feature = line.feature
    return {
        "family": line.family,
        "zone": line.zone,
        "replaces": str(place),
        "measure": line.measure,
        "unit": line.unit or "",
        "count": line.count,
        "gauge": line.gauge,
        "sample": line.sample,
        "feature_en": feature.en if feature else "",
        "feature_es": feature.es if feature else "",
        "compare_to": line.compare_to or "",
        "judged_by": line.judged_by,
        **{name: getattr(line, name) for name in NUMBERS},
    }


def _row(*columns: tuple[str, int]) -> Row:
    return Row(*(Column(name, css_class=f"col-md-{width}") for name, width in columns))


def _layout() -> Layout:
    return Layout(
        Fieldset(
            str(_("Which limit")),
            _row(("family", 4), ("zone", 3), ("replaces", 5)),
            _row(("feature_en", 6), ("feature_es", 6)),
        ),
        Fieldset(
            str(_("What is accepted")),
            _row(("measure", 4), ("value", 2), ("value2", 2), ("unit", 2), ("count", 2)),
            _row(("judged_by", 3), ("distance_mm", 3), ("time_s", 3), ("compare_to", 3)),
            _row(("gauge", 3), ("sample", 3), ("per_area_cm2", 3), ("spacing_mm", 3)),
            "agreed",
        ),
        Fieldset(str(_("Why")), _row(("reason", 8), ("day", 4)), _row(("secret", 8))),
    )
