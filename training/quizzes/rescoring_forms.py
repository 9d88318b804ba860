"""The form that scores an exam again; signed."""

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.utils.translation import gettext_lazy as _

from training.people.forms import SignatureFields


class RescoreForm(SignatureFields):
    """A few words for the person examined, and the signature."""

    words = forms.CharField(
        label=_("In a few words, for the person examined"),
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    field_order = ["words", "secret"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
