"""The form that records a check of five parts after a changed sheet was read; signed."""

from collections.abc import Sequence
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.utils.translation import gettext_lazy as _

from training.floor.services import CHECK_SHOWN
from training.people.forms import SignatureFields
from training.people.models import Person


class ReadingCheckForm(SignatureFields):
    """Who judged the five parts, and how many rightly."""

    person = forms.ChoiceField(label=_("Who judged the parts"))
    right = forms.TypedChoiceField(
        label=_("Judged right, of five"),
        choices=[("", "–"), *((n, str(n)) for n in reversed(range(CHECK_SHOWN + 1)))],
        coerce=int,
    )

    def __init__(self, *args: Any, waiting: Sequence[Person], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.waiting = {person.personnel_no: person for person in waiting}
        self.fields["person"].choices = [  # type: ignore[attr-defined]
            ("", _("choose")),
            *((number, f"{person.name}, {number}") for number, person in self.waiting.items()),
        ]
        self.order_fields(["person", "right", "secret"])
        self.helper = FormHelper()
        self.helper.form_tag = False

    def chosen(self) -> Person:
        return self.waiting[self.cleaned_data["person"]]
