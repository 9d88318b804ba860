"""The form that raises an alert on jobs, with the limits it tightens; signed."""

import datetime as dt
from typing import Any

from crispy_forms.layout import Fieldset
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.floor.alerts import why_not_tighter
from training.floor.concession_forms import MOST_LINES, columns, day_field, form_helper
from training.floor.limits import WHOLE_PART, Line, Measure
from training.floor.line_forms import JUDGED, MEASURES, MeasureFields
from training.floor.models import Family, Job, Zone
from training.floor.paper_selectors import level_of
from training.floor.sheet_words import language_code
from training.people.forms import SignatureFields
from training.people.texts import in_language

LANGUAGES = ("en", "es")


def _words(label: Any) -> forms.CharField:
    return forms.CharField(
        label=label, max_length=500, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )


class AlertForm(SignatureFields):
    """What went wrong, on which jobs it is watched for, and until when."""

    number = forms.CharField(label=_("Number"), max_length=20)
    jobs = forms.MultipleChoiceField(label=_("Jobs"), widget=forms.CheckboxSelectMultiple)
    family = forms.ModelChoiceField(
        label=_("Defect family"),
        queryset=Family.objects.all(),
        to_field_name="slug",
        empty_label=_("choose"),
    )
    zone = forms.ChoiceField(
        label=_("Zone"), choices=[("", _("any")), *Zone.choices], required=False
    )
    text_en = _words(_("What to look for (English)"))
    text_es = _words(_("What to look for (Spanish)"))
    from_day = day_field(_("Valid from"))
    to_day = day_field(_("Last day"), _("An alert always ends; what stays goes into the sheet."))
    reason = forms.CharField(
        label=_("Reason"),
        max_length=200,
        help_text=_("Complaint, scrap or finding, with its reference."),
    )

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        language = language_code()
        self.today = today
        self.live = {job.number: job for job in Job.objects.filter(ended_day=None)}
        self.fields["jobs"].choices = [  # type: ignore[attr-defined]
            (number, f"{number} {in_language(job.part, language)}")
            for number, job in self.live.items()
        ]
        self.fields["family"].label_from_instance = lambda family: in_language(  # type: ignore[attr-defined]
            family.name, language
        )
        self.fields["from_day"].initial = today
        self.helper = form_helper(
            columns(("number", 4), ("family", 4), ("zone", 4)),
            "text_en",
            "text_es",
            columns(("from_day", 4), ("to_day", 4)),
            "reason",
            Fieldset(gettext("On which jobs"), "jobs"),
        )
        # Signed below the limits, which stand between.
        self.signature_helper = form_helper("secret")

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if not any(given.get(f"text_{code}", "").strip() for code in LANGUAGES):
            self.add_error("text_en", _("Say what to look for, in one language at least."))
        first, last = given.get("from_day"), given.get("to_day")
        if first and last and last < first:
            self.add_error("to_day", _("The alert would end before it begins."))
        return given

    def text(self) -> dict[str, str]:
        """Return what to look for, in the languages it was written in."""
        written = {code: self.cleaned_data[f"text_{code}"].strip() for code in LANGUAGES}
        return {code: words for code, words in written.items() if words}

    def chosen(self) -> list[Job]:
        return [self.live[number] for number in self.cleaned_data["jobs"]]

    def lines_of(self, rows: "forms.BaseFormSet[AlertLineForm]") -> list[Line]:
        """Return the limits written in the rows, of the alert's family; faults stand in the rows.

        A row that loosens what is in force on the first day is refused, naming the line.
        """
        given = self.cleaned_data
        jobs, first = self.chosen(), max(given["from_day"], self.today)
        level = level_of(given["family"].slug, jobs, first)
        lines = []
        for row in rows.forms:
            line = row.line(given["family"].slug, given["zone"] or WHOLE_PART, level)
            if line is None:
                continue
            problem = why_not_tighter(line, jobs, first)
            if problem:
                row.add_error(None, problem)
            lines.append(line)
        return lines


class AlertLineForm(MeasureFields):
    """One limit that holds as long as the alert does, beside those of the sheet."""

    zone = forms.ChoiceField(label=_("Zone"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["zone"].choices = [("", _("as the alert")), *Zone.choices]  # type: ignore[attr-defined]
        self.fields["measure"].choices = [  # type: ignore[attr-defined]
            ("", _("choose")),
            *(each for each in MEASURES if each[0] != Measure.ANY),
        ]
        self.fields["judged_by"].choices = JUDGED  # type: ignore[attr-defined]
        self.fields["judged_by"].initial = JUDGED[0][0]
        self.helper = form_helper(
            columns(("zone", 4), ("measure", 4), ("judged_by", 4)),
            columns(("value", 3), ("value2", 3), ("unit", 3), ("count", 3)),
            columns(("feature_en", 6), ("feature_es", 6)),
            columns(("distance_mm", 3), ("time_s", 3), ("per_area_cm2", 3), ("spacing_mm", 3)),
            columns(("gauge", 4), ("sample", 4), ("compare_to", 4)),
        )

    def line(self, family: str, zone: str, level: str) -> Line | None:
        """Return the limit of this row, None where nothing was written or it has a fault."""
        if not self.has_changed() or self.errors:
            return None
        return self.read_line(family, self.cleaned_data["zone"] or zone, level)


AlertLineSet = forms.formset_factory(
    AlertLineForm, extra=MOST_LINES, max_num=MOST_LINES, validate_max=True
)
