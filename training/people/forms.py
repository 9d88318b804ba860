"""Forms of people: signing in, secrets, signatures, persons and devices."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms
from django.contrib.auth.password_validation import validate_password
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from training.people.models import Crew, Person, Role
from training.people.pins import DIGITS
from training.people.texts import in_language

CONTRACTS = [
    ("permanent", _("permanent")),
    ("temporary", _("temporary")),
    ("agency", _("agency")),
]


def _pin_field(label: Any) -> forms.CharField:
    return forms.CharField(
        label=label,
        min_length=DIGITS,
        max_length=DIGITS,
        widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )


class FloorSignInForm(forms.Form):
    badge = forms.CharField(
        label=_("Badge"),
        max_length=20,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    pin = _pin_field(_("PIN"))


class OfficeSignInForm(forms.Form):
    username = forms.CharField(
        label=_("Personnel number"),
        max_length=20,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autofocus": True}),
    )
    password = forms.CharField(
        label=_("Password"),
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False


class ChangePinForm(forms.Form):
    old_pin = _pin_field(_("Present PIN"))
    new_pin = _pin_field(_("New PIN"))
    again = _pin_field(_("New PIN again"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if given.get("new_pin") and given.get("again") and given["new_pin"] != given["again"]:
            self.add_error("again", _("The two new PINs differ."))
        return given


class ChangePasswordForm(forms.Form):
    old = forms.CharField(label=_("Present password"), widget=forms.PasswordInput)
    new = forms.CharField(
        label=_("New password"),
        help_text=_("At least 10 characters; not a common word, not only digits."),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(label=_("New password again"), widget=forms.PasswordInput)

    def __init__(self, person: Person, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person
        self.helper = FormHelper()
        self.helper.form_tag = False

    def clean_old(self) -> str:
        old: str = self.cleaned_data["old"]
        if not self.person.check_password(old):
            raise forms.ValidationError(_("The present password is not right."))
        return old

    def clean_new(self) -> str:
        new: str = self.cleaned_data["new"]
        validate_password(new, self.person)
        return new

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        if given.get("new") and given.get("again") and given["new"] != given["again"]:
            self.add_error("again", _("The two new passwords differ."))
        return given


class SignatureFields(forms.Form):
    """The secret of the person who signs, for any form that ends in a signature.

    The view confirms it with `signing.confirm_secret` and reports an error on the field `secret`.
    """

    secret = forms.CharField(
        label=_("Your password or PIN, to sign"),
        help_text=_("Your name and this moment are written beside it."),
        widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
    )


class PersonForm(forms.ModelForm[Person]):
    """A person's own facts; stays, badges and secrets have their own steps."""

    hired = forms.DateField(
        label=_("Hire day"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        required=False,
    )
    badge = forms.CharField(label=_("Badge"), max_length=20, required=False)
    contract = forms.ChoiceField(label=_("Contract"), choices=CONTRACTS)
    roles = forms.MultipleChoiceField(
        label=_("Roles"), choices=Role.choices, widget=forms.CheckboxSelectMultiple
    )

    class Meta:
        model = Person
        fields = ("personnel_no", "name", "crew", "ui_language", "note")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.is_new = self.instance._state.adding
        self.fields["ui_language"] = forms.ChoiceField(
            label=_("Screen language"), choices=[("en", "English"), ("es", "Español")]
        )
        self.fields["crew"].label_from_instance = _crew_name  # type: ignore[attr-defined]
        rows = [
            Row(
                Column("personnel_no", css_class="col-md-3"),
                Column("name", css_class="col-md-5"),
                Column("ui_language", css_class="col-md-4"),
            ),
            Row(Column("crew", css_class="col-md-3"), Column("contract", css_class="col-md-3")),
        ]
        if self.is_new:
            self.fields["hired"].required = True
            rows.append(
                Row(Column("hired", css_class="col-md-3"), Column("badge", css_class="col-md-3"))
            )
        else:
            # The number is permanent: everything that is known hangs on it.
            self.fields["personnel_no"].disabled = True
            for name in ("hired", "badge"):
                del self.fields[name]
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Fieldset(str(_("Who")), *rows), Fieldset(str(_("Roles")), "roles"), "note"
        )

    def clean_hired(self) -> Any:
        hired = self.cleaned_data.get("hired")
        if hired and hired > timezone.localdate():
            raise forms.ValidationError(_("The hire day lies in the future."))
        return hired


def _crew_name(crew: Crew) -> str:
    return in_language(crew.name, get_language() or "en")


class DeviceForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=60, help_text=_("As written on its back."))
    place = forms.CharField(label=_("Place"), max_length=60)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
