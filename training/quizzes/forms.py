"""Forms of quizzes: an answer from the booth, and the steps of opening an exam."""

from typing import Any, Final

from crispy_forms.helper import FormHelper
from django import forms
from django.conf import settings
from django.utils.translation import gettext_lazy as _

from training.people.forms import SignatureFields
from training.people.models import Device, Person
from training.quizzes.models import Action
from training.quizzes.services.judging import ACCEPT, REJECT, Given

# The four actions under the words of the keys in the booth.
ACTION_KEYS: Final = {
    "run": Action.KEEP_RUNNING,
    "trim": Action.TRIM,
    "tag": Action.SEGREGATE,
    "call": Action.STOP,
}
ANSWERS: Final = (ACCEPT.value, REJECT.value)


class JudgementForm(forms.Form):
    """One answer as the booth sends it; times are those of the device."""

    answer_id = forms.UUIDField()
    ordinal = forms.IntegerField()
    verdict = forms.ChoiceField(choices=[(answer, answer) for answer in ANSWERS])
    seconds = forms.FloatField(min_value=0, max_value=86_400)
    made = forms.DateTimeField(input_formats=["%Y-%m-%dT%H:%M:%S.%f%z", "%Y-%m-%dT%H:%M:%S%z"])
    view = forms.IntegerField(required=False, min_value=0)
    x = forms.IntegerField(required=False)
    y = forms.IntegerField(required=False)
    family = forms.CharField(required=False, max_length=60)
    action = forms.ChoiceField(required=False, choices=[("", ""), *((k, k) for k in ACTION_KEYS)])

    def given(self) -> Given:
        """Return the answer; call it on a form that is valid."""
        data = self.cleaned_data
        x, y = data["x"], data["y"]
        return Given(
            judgement_id=data["answer_id"],
            ordinal=data["ordinal"],
            answer=data["verdict"],
            judging_ms=round(data["seconds"] * 1000),
            answered_at=data["made"],
            place=None if x is None or y is None else (x, y),
            view=data["view"] or 0,
            family=data["family"],
            action=ACTION_KEYS[data["action"]].value if data["action"] else "",
        )

    def problems(self) -> str:
        """Say in one line what is wrong and in which field."""
        return "; ".join(
            f"{name}: {' '.join(str(each) for each in errors)}"
            for name, errors in self.errors.items()
        )


class OpenExamForm(SignatureFields):
    """The last step of opening an exam: the device it is sat on, and the invigilator's signature."""

    device = forms.ModelChoiceField(
        label=_("Tablet the exam is sat on"), queryset=Device.objects.none()
    )
    language = forms.ChoiceField(
        label=_("Language of the exam"),
        choices=settings.LANGUAGES,
        help_text=_("It begins in this one; the person may change over at any part."),
    )

    def __init__(
        self, *args: Any, person: Person, device: Device | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["language"].initial = person.ui_language
        enrolled = Device.objects.filter(withdrawn_at=None)
        field = self.fields["device"]
        field.queryset = enrolled  # type: ignore[attr-defined]
        field.initial = device
        self.order_fields(["device", "language", "secret"])
        self.helper = FormHelper()
        self.helper.form_tag = False


class FindPersonForm(forms.Form):
    """Who sits the exam: by name, personnel number or badge."""

    q = forms.CharField(label=_("Name, personnel number or badge"), max_length=60, required=False)
