"""The form that raises an alert on jobs; signed."""

import datetime as dt
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.floor.models import Family, Job, Zone
from training.floor.sheet_words import language_code
from training.people.forms import SignatureFields
from training.people.texts import in_language

LANGUAGES = ("en", "es")


def _day(label: Any, help_text: Any = "") -> forms.DateField:
    # The browser's own picker takes ISO in every language.
    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    return forms.DateField(label=label, help_text=help_text, widget=widget)


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
    from_day = _day(_("Valid from"))
    to_day = _day(_("Last day"), _("An alert always ends; what stays goes into the sheet."))
    reason = forms.CharField(
        label=_("Reason"),
        max_length=200,
        help_text=_("Complaint, scrap or finding, with its reference."),
    )

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        language = language_code()
        self.live = {job.number: job for job in Job.objects.filter(ended_day=None)}
        self.fields["jobs"].choices = [  # type: ignore[attr-defined]
            (number, f"{number} {in_language(job.part, language)}")
            for number, job in self.live.items()
        ]
        self.fields["family"].label_from_instance = lambda family: in_language(  # type: ignore[attr-defined]
            family.name, language
        )
        self.fields["from_day"].initial = today
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Row(
                Column("number", css_class="col-md-4"),
                Column("family", css_class="col-md-4"),
                Column("zone", css_class="col-md-4"),
            ),
            "text_en",
            "text_es",
            Row(Column("from_day", css_class="col-md-4"), Column("to_day", css_class="col-md-4")),
            "reason",
            Fieldset(gettext("On which jobs"), "jobs"),
            "secret",
        )

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
