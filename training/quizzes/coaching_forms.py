"""The form that records coaching after an exam that was not passed; signed by the coach."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Layout, Row
from django import forms
from django.utils.translation import gettext_lazy as _

from training.people.forms import SignatureFields
from training.quizzes.services.coaching import MOST_MINUTES

LONGEST_WORDS = 2000


class CoachingForm(SignatureFields):
    """Which families were gone through, when, how long, and what was said and done."""

    families = forms.MultipleChoiceField(
        label=_("Families gone through"), widget=forms.CheckboxSelectMultiple
    )
    day = forms.DateField(
        label=_("Day"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    minutes = forms.IntegerField(
        label=_("Minutes"), min_value=1, max_value=MOST_MINUTES, required=False
    )
    words = forms.CharField(
        label=_("What was gone through"),
        help_text=_("Which parts were missed, what to look for, how it was practised."),
        max_length=LONGEST_WORDS,
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def __init__(
        self, *args: Any, families: Mapping[str, str], today: dt.date, **kwargs: Any
    ) -> None:
        kwargs.setdefault("initial", {"families": list(families), "day": today})
        super().__init__(*args, **kwargs)
        self.fields["families"].choices = list(families.items())  # type: ignore[attr-defined]
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            "families",
            Row(Column("day", css_class="col-md-6"), Column("minutes", css_class="col-md-6")),
            "words",
            "secret",
        )
