"""The form that suspends a certificate or lifts the suspension; signed."""

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.utils.translation import gettext_lazy as _

from training.people.forms import SignatureFields


class StopForm(SignatureFields):
    """Why, and the signature."""

    reason = forms.CharField(
        label=_("Reason"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("The person reads it."),
        error_messages={"required": _("Say why: the person will read it.")},
    )

    field_order = ("reason", "secret")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
