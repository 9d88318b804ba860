"""What is answered to one step of an exercise."""

from typing import Any

from django import forms
from django.utils import timezone


class StepForm(forms.Form):
    """A choice with its own identifier, so that it may be sent twice; times are the device's."""

    choice = forms.CharField(max_length=3)
    answer_id = forms.UUIDField()
    seconds = forms.FloatField(required=False, min_value=0, max_value=86_400)
    made = forms.DateTimeField(
        required=False, input_formats=["%Y-%m-%dT%H:%M:%S.%f%z", "%Y-%m-%dT%H:%M:%S%z"]
    )

    def given(self) -> dict[str, Any]:
        """Return the answer; call it on a form that is valid."""
        data = self.cleaned_data
        return {
            "choice": data["choice"],
            "answer_id": data["answer_id"],
            "judging_ms": round((data["seconds"] or 0) * 1000),
            "answered_at": data["made"] or timezone.now(),
        }

    def problems(self) -> str:
        """Say in one line what is wrong and in which field."""
        return "; ".join(
            f"{name}: {' '.join(str(each) for each in errors)}"
            for name, errors in self.errors.items()
        )
