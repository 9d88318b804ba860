"""Forms at the press: the check, and taking it over."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from training.floor.models import Job, Press
from training.people.forms import SignatureFields
from training.people.models import Person


class PressCheckForm(forms.Form):
    badge = forms.CharField(
        label=_("Badge"),
        max_length=20,
        widget=forms.TextInput(
            attrs={"inputmode": "numeric", "autocomplete": "off", "class": "form-control"}
        ),
    )
    press = forms.ModelChoiceField(
        Press.objects.all(),
        to_field_name="code",
        label=_("Press"),
        required=False,
        widget=forms.Select(attrs={"class": "form-select"}),
    )
    job = forms.ModelChoiceField(
        Job.objects.all(),
        to_field_name="number",
        label=_("Job"),
        required=False,
        help_text=_("Left empty, the job that runs on the press now."),
        widget=forms.Select(attrs={"class": "form-select"}),
    )

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if not given.get("job") and not given.get("press") and not self.errors:
            raise forms.ValidationError(_("Name the press or the job."))
        return given


class TakePressForm(SignatureFields):
    first_piece_seen = forms.BooleanField(
        label=_("I have looked at the approved first piece and its tag."), required=False
    )
    relief = forms.BooleanField(label=_("Only a relief, for a break"), required=False)
    buddy = forms.ModelChoiceField(Person.objects.none(), label=_("Buddy"), required=False)
    takes_over_from = forms.ModelChoiceField(
        Person.objects.none(), label=_("I take over from"), required=False
    )

    def __init__(
        self, *args: Any, buddies: list[Person], standing: list[Person], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        for name, people in (("buddy", buddies), ("takes_over_from", standing)):
            field = self.fields[name]
            field.queryset = Person.objects.filter(pk__in=[person.pk for person in people])  # type: ignore[attr-defined]
            field.widget.attrs["class"] = "form-select"
            if not people:
                field.widget = forms.HiddenInput()
        self.fields["secret"].label = _("Your PIN")
        self.fields["secret"].widget.attrs.update({"class": "form-control", "inputmode": "numeric"})
        if len(standing) == 1:
            self.fields["takes_over_from"].initial = standing[0].pk
