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
from training.floor.limit_words import line_text
from training.floor.limits import Line
from training.floor.line_forms import NUMBERS, MeasureFields
from training.floor.models import Family, WorkInstruction, Zone
from training.floor.sheet_words import language_code, site_counterpart
from training.people.forms import SignatureFields
from training.people.texts import in_language

BESIDE = ""


class LimitForm(MeasureFields, SignatureFields):
    """One structured line; saving it makes a new revision of the sheet with all other lines."""

    family = forms.ChoiceField(label=_("Family"))
    zone = forms.ChoiceField(label=_("Zone"))
    replaces = forms.ChoiceField(label=_("Takes the place of"), required=False)
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
    # The revision the page showed: the places in its list are those of its lines.
    made_from = forms.CharField(max_length=8, widget=forms.HiddenInput)
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
        newest: WorkInstruction,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        language = language_code()
        self.levels = {family.slug: level for family, level in families}
        self.lines, self.general = list(lines), list(general)
        self.newest, self.is_stale = newest, False
        self.fields["day"].initial = max(today, newest.day)
        self.fields["made_from"].initial = newest.revision
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
        self._check_revision(given.get("made_from"))
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

    def _check_revision(self, made_from: str | None) -> None:
        """Refuse what was written beside other lines than those that stand now."""
        self.is_stale = made_from != self.newest.revision
        if self.is_stale:
            self.add_error(
                None,
                _(
                    "Revision %(revision)s was published while this page was open, so the lines "
                    "may be others. Nothing was saved. Open the page anew and look again."
                )
                % {"revision": self.newest.revision},
            )

    def _check_day(self, day: dt.date | None) -> None:
        if day is not None and day < self.newest.day:
            self.add_error(
                "day",
                _("The revision in force is of %(day)s; a new one cannot be older.")
                % {"day": self.newest.day},
            )

    def _read_line(self, given: dict[str, Any]) -> Line | None:
        family = given.get("family")
        if not family or not given.get("zone"):
            return None
        return self.read_line(family, given["zone"], self.levels[family])

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
            "made_from",
        ),
        Fieldset(str(_("Why")), _row(("reason", 8), ("day", 4)), _row(("secret", 8))),
    )
