"""The form that decides many specimens again by their measurement; signed once."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout
from django import forms
from django.utils.translation import gettext_lazy as _

from training.people.forms import SignatureFields


class DecideAgainForm(SignatureFields):
    """Which of the offered specimens are decided, and why now."""

    specimens = forms.TypedMultipleChoiceField(
        label=_("Specimens"),
        coerce=UUID,
        error_messages={"required": _("Tick at least one specimen.")},
    )
    reason = forms.CharField(
        label=_("Reason, in a few words"),
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    field_order = ["reason", "secret"]

    def __init__(self, *args: Any, offered: Sequence[UUID], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["specimens"].choices = [  # type: ignore[attr-defined]
            (str(key), str(key)) for key in offered
        ]
        self.helper = FormHelper()
        self.helper.form_tag = False
        # The specimens are ticked in the table.
        self.helper.layout = Layout("reason", "secret")
