"""Bringing back what was retired: why, and the signature."""

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.utils.translation import gettext_lazy as _

from training.people.forms import SignatureFields
from training.specimens.brought_back import MEANINGS


class BringBackForm(SignatureFields):
    """Why it is used again, in words that the signature carries."""

    why = forms.ChoiceField(
        label=_("Why"), choices=list(MEANINGS.items()), widget=forms.RadioSelect
    )
    field_order = ("why", "secret")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
