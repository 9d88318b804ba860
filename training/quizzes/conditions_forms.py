"""The form of the page before an exam: what the person saw on the screen, and what is granted."""

from typing import Any, Final

from django import forms
from django.utils.translation import gettext_lazy as _

from training.people.models import VisionCheck
from training.quizzes.models import ExamConditions
from training.quizzes.screen_check import LIGHTNESS, LINE_PLACES, ScreenAnswer
from training.quizzes.services.conditions import MOST_EXTRA_PERCENT

# A card at the 96 CSS pixels to the inch that a screen without a known size is taken for.
CARD_AT_FIRST: Final = 324
EXTRA_TIME: Final = (0, 10, 25, 50, 100)
CHECK, ANYWAY = "check", "anyway"
Glasses = ExamConditions.Glasses


class ConditionsForm(forms.Form):
    """Screen and person; `anyway` asks for a reason and a signature instead of what was seen."""

    squares = forms.TypedChoiceField(
        label=_("Squares counted"),
        choices=[(n, str(n)) for n in range(len(LIGHTNESS) + 1)],
        coerce=int,
        widget=forms.RadioSelect,
    )
    line = forms.TypedChoiceField(
        label=_("Place of the line"),
        choices=[(n, str(n)) for n in range(1, LINE_PLACES + 1)],
        coerce=int,
        widget=forms.RadioSelect,
    )
    card_width_px = forms.IntegerField(
        label=_("Width of the card, in pixels of this page"), min_value=100, max_value=2000
    )
    density_percent = forms.IntegerField(min_value=25, max_value=1000, widget=forms.HiddenInput)
    card_fits = forms.BooleanField(label=_("A bank card fits the frame"), required=False)
    glasses = forms.ChoiceField(
        label=_("Glasses"), choices=Glasses.choices, widget=forms.RadioSelect
    )
    extra_time_percent = forms.TypedChoiceField(
        label=_("Extra time"),
        choices=[(n, f"{n} %") for n in EXTRA_TIME if n <= MOST_EXTRA_PERCENT],
        coerce=int,
        widget=forms.RadioSelect,
    )
    read_aloud = forms.BooleanField(label=_("Limits read aloud"), required=False)
    note = forms.CharField(
        label=_("Note"), max_length=500, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    secret = forms.CharField(
        label=_("Your password or PIN, to sign"),
        required=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args: Any, anyway: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.anyway = anyway
        if anyway:
            # What was seen is known from the check that failed.
            for name in ("squares", "line", "card_width_px", "density_percent"):
                self.fields[name].required = False
            for name, error in (
                ("note", _("Say why the exam is sat on this screen all the same.")),
                ("secret", _("Sign with your password or PIN.")),
            ):
                self.fields[name].required = True
                self.fields[name].error_messages["required"] = error

    def seen(self) -> ScreenAnswer:
        """Return what the person saw; call it on a form that is valid."""
        data = self.cleaned_data
        return ScreenAnswer(
            squares=data["squares"],
            line=data["line"],
            card_width_px=data["card_width_px"],
            density_percent=data["density_percent"],
            card_fits=data["card_fits"],
        )


def first_values(near: VisionCheck | None) -> dict[str, Any]:
    """Return what the page begins with; the eye check says whether glasses are to be worn."""
    worn = near is not None and near.result.text == VisionCheck.Result.MEETS_WITH_GLASSES
    return {
        "card_width_px": CARD_AT_FIRST,
        "density_percent": 100,
        "glasses": Glasses.WORN if worn else Glasses.NOT_NEEDED,
        "extra_time_percent": 0,
    }
