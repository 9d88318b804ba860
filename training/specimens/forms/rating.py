"""The form that rates a specimen."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Layout, Row
from django import forms
from django.utils.translation import gettext_lazy as _

from training.specimens.limit_rows import UNITS


class RateForm(forms.Form):
    """How severe the largest mark is, and with what that was measured."""

    severity = forms.DecimalField(
        label=_("Measured severity"),
        min_value=0,
        max_value=99999,
        decimal_places=4,
        help_text=_("The largest mark, measured on the part. 0 for a clean part."),
    )
    unit = forms.ChoiceField(label=_("Unit"), choices=[("", "–"), *UNITS.items()])
    measured_how = forms.CharField(
        label=_("Measured with"),
        max_length=120,
        help_text=_("For example: measuring microscope, feeler gauge, comparison sheet."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Row(Column("severity", css_class="col-md-5"), Column("unit", css_class="col-md-7")),
            "measured_how",
        )
