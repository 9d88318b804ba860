"""Outlines as text, and a known length on the picture: what a pointer can do, keys can do too."""

import re
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Layout, Row
from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

POINT = re.compile(r"(-?\d+(?:\.\d+)?)\s*,\s*(-?\d+(?:\.\d+)?)")


class OutlineForm(forms.Form):
    """Outlines as text: one on each line, its points as "x,y" with spaces between them."""

    polygons = forms.CharField(
        label=_("Points"),
        required=False,
        max_length=60_000,
        strip=True,
        help_text=_(
            "One outline on each line: x,y x,y x,y in picture pixels. Empty takes it away."
        ),
        widget=forms.Textarea(
            attrs={"rows": 6, "spellcheck": "false", "autocomplete": "off", "data-points": True}
        ),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False

    def clean_polygons(self) -> list[list[list[float]]]:
        lines = [line for line in self.cleaned_data["polygons"].splitlines() if line.strip()]
        return [self._points(line, number) for number, line in enumerate(lines, start=1)]

    def _points(self, line: str, number: int) -> list[list[float]]:
        if POINT.sub("", line).strip():
            raise ValidationError(
                gettext(
                    "Outline %(outline)s: write each point as two numbers with a comma between,"
                    " for example 120,85, and a space between points."
                )
                % {"outline": number}
            )
        return [[float(x), float(y)] for x, y in POINT.findall(line)]


def outline_text(polygons: Iterable[Sequence[Sequence[float]]]) -> str:
    """Write outlines as `OutlineForm` reads them."""
    return "\n".join(" ".join(f"{x:g},{y:g}" for x, y in polygon) for polygon in polygons)


class ScaleForm(forms.Form):
    """A known length on the picture: its two ends in picture pixels, and its millimetres."""

    x1 = forms.FloatField(label=_("First end, x"), min_value=0)
    y1 = forms.FloatField(label=_("First end, y"), min_value=0)
    x2 = forms.FloatField(label=_("Other end, x"), min_value=0)
    y2 = forms.FloatField(label=_("Other end, y"), min_value=0)
    millimetres = forms.DecimalField(
        label=_("Length between them, mm"),
        min_value=Decimal("0.1"),
        max_value=5000,
        decimal_places=3,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Row(Column("x1"), Column("y1")), Row(Column("x2"), Column("y2")), "millimetres"
        )
