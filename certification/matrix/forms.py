"""What the matrix is asked for: whose, which jobs, at which moment."""

import datetime as dt
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from certification.certificates.selectors import language_now
from training.floor.models import JobGroup
from training.people.models import Crew
from training.people.texts import in_language


class MatrixForm(forms.Form):
    crew = forms.ModelChoiceField(
        Crew.objects.all(),
        to_field_name="code",
        required=False,
        label=_("Crew"),
        empty_label=_("All"),
    )
    group = forms.ModelChoiceField(
        JobGroup.objects.all(),
        to_field_name="code",
        required=False,
        label=_("Jobs"),
        empty_label=_("All"),
    )
    at = forms.DateTimeField(
        required=False,
        label=_("At this moment"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%Y-%m-%d"],
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        error_messages={"invalid": _("Give day and time as 2026-11-25 22:00.")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.label_suffix = ""
        for field in self.fields.values():
            shown = isinstance(field.widget, forms.Select)
            field.widget.attrs["class"] = "form-select" if shown else "form-control"
        self.fields["crew"].label_from_instance = (  # type: ignore[attr-defined]
            lambda crew: in_language(crew.name, language_now())
        )

    def moment(self, now: dt.datetime) -> dt.datetime:
        """Return the moment asked for, or now."""
        asked: dt.datetime | None = self.cleaned_data.get("at") if self.is_valid() else None
        return asked or now
