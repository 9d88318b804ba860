"""Making a set: first what it is of, then its members and what they differ in."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Layout, Row
from django import forms
from django.utils.translation import gettext_lazy as _

from training.floor.models import Family, Job, Zone
from training.specimens.forms.fields import FamilyField, JobField
from training.specimens.models import SpecimenSet

Kind = SpecimenSet.Kind


class SetOfForm(forms.Form):
    """What a set is of: its kind, job, zone and family; look-alikes have a second family."""

    kind = forms.ChoiceField(label=_("Kind"), choices=Kind)
    job = JobField(
        label=_("Job"),
        queryset=Job.objects.filter(ended_day=None),
        empty_label=_("choose"),
        to_field_name="number",
    )
    zone = forms.ChoiceField(label=_("Zone"), choices=Zone)
    family = FamilyField(
        label=_("Defect family"),
        queryset=Family.objects.all(),
        empty_label=_("choose"),
        to_field_name="slug",
    )
    second = FamilyField(
        label=_("Second family"),
        queryset=Family.objects.all(),
        empty_label=_("none"),
        required=False,
        to_field_name="slug",
        help_text=_("For look-alikes only."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.layout = Layout(
            Row(
                Column("kind", css_class="col-md-4"),
                Column("job", css_class="col-md-4"),
                Column("zone", css_class="col-md-4"),
            ),
            Row(Column("family", css_class="col-md-6"), Column("second", css_class="col-md-6")),
        )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("kind") == Kind.LOOK_ALIKE and not data.get("second"):
            self.add_error("second", _("Look-alikes are of two families: choose the second."))
        return data

    def families(self) -> list[str]:
        """Return the slugs asked for; call it on a form that is valid."""
        data = self.cleaned_data
        second = data["second"] if data["kind"] == Kind.LOOK_ALIKE else None
        return [family.slug for family in (data["family"], second) if family is not None]


class DifferenceForm(forms.Form):
    """The one thing the members differ in, in both languages."""

    en = forms.CharField(label=_("What they differ in, in English"), max_length=200, required=False)
    es = forms.CharField(label=_("What they differ in, in Spanish"), max_length=200, required=False)

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if kind == Kind.LOOK_ALIKE:
            self.fields["en"].label = _("By which test they are told apart, in English")
            self.fields["es"].label = _("By which test they are told apart, in Spanish")
        else:
            self.fields["en"].help_text = _("One thing, for example: visible length")
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.layout = Layout(
            Row(Column("en", css_class="col-md-6"), Column("es", css_class="col-md-6"))
        )

    def words(self) -> dict[str, str]:
        """Return the words by language; call it on a form that is valid."""
        return {code: self.cleaned_data[code].strip() for code in ("en", "es")}
