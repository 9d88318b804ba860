"""Forms of panel rounds: opening one, a look from the booth, and closing with a signature."""

from collections.abc import Sequence
from typing import Any, Final

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.people.forms import SignatureFields
from training.people.models import Person
from training.specimens.models import Action, Pool, ReferenceDecision, Specimen
from training.specimens.services.panels import MOST_GAP, MOST_LOOKS, GivenLook

# The four actions under the words of the keys in the booth.
ACTION_KEYS: Final = {
    "run": Action.KEEP_RUNNING,
    "trim": Action.TRIM,
    "tag": Action.SEGREGATE,
    "call": Action.STOP,
}
MOST_SPECIMENS = 200


class PanelForm(forms.Form):
    """Who looks at which specimens, how often, and how many days lie between."""

    specimens = forms.ModelMultipleChoiceField(
        label=_("Specimens"),
        queryset=Specimen.objects.none(),
        error_messages={"required": _("Choose at least one specimen.")},
    )
    members = forms.ModelMultipleChoiceField(
        label=_("Members of the panel"),
        queryset=Person.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    others = forms.CharField(
        label=_("Named inspectors, by personnel number"),
        required=False,
        max_length=200,
        help_text=_("Several with commas between."),
    )
    looks = forms.IntegerField(
        label=_("Looks of each member"), min_value=1, max_value=MOST_LOOKS, initial=2
    )
    gap_days = forms.IntegerField(
        label=_("Least days between two looks"), min_value=1, max_value=MOST_GAP, initial=1
    )
    note = forms.CharField(label=_("Note"), required=False, max_length=400)

    def __init__(
        self, *args: Any, specimens: Sequence[Specimen], people: Sequence[Person], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        keys = [each.pk for each in specimens]
        self.fields["specimens"].queryset = (  # type: ignore[attr-defined]
            Specimen.objects.filter(pk__in=keys).select_related("job", "family")
        )
        self.fields["members"].queryset = Person.objects.filter(  # type: ignore[attr-defined]
            pk__in=[each.pk for each in people]
        ).order_by("name")
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Fieldset(gettext("Who looks"), "members", "others"),
            Fieldset(
                gettext("How often"),
                Row(
                    Column("looks", css_class="col-md-4"), Column("gap_days", css_class="col-md-8")
                ),
                "note",
            ),
        )

    def clean_others(self) -> list[Person]:
        numbers = {each.strip() for each in self.cleaned_data["others"].split(",") if each.strip()}
        found = list(Person.objects.filter(personnel_no__in=numbers, is_active=True))
        unknown = numbers - {each.personnel_no for each in found}
        if unknown:
            raise ValidationError(
                gettext("Nobody has the number %(numbers)s.")
                % {"numbers": ", ".join(sorted(unknown))}
            )
        return found

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        chosen = given.get("specimens") or ()
        if len(chosen) > MOST_SPECIMENS:
            self.add_error(
                "specimens",
                gettext("At most %(most)s in one round: members tire.") % {"most": MOST_SPECIMENS},
            )
        return given

    def everybody(self) -> list[Person]:
        """Return the members ticked and those named, each once."""
        given = [*self.cleaned_data["members"], *self.cleaned_data["others"]]
        return list({each.pk: each for each in given}.values())


class LookForm(forms.Form):
    """One look as the booth sends it; times are those of the device."""

    answer_id = forms.UUIDField()
    ordinal = forms.IntegerField()
    verdict = forms.ChoiceField(choices=ReferenceDecision.Decision)
    seconds = forms.FloatField(min_value=0, max_value=86_400)
    made = forms.DateTimeField(input_formats=["%Y-%m-%dT%H:%M:%S.%f%z", "%Y-%m-%dT%H:%M:%S%z"])
    family = forms.CharField(required=False, max_length=60)
    action = forms.ChoiceField(required=False, choices=[("", ""), *((k, k) for k in ACTION_KEYS)])
    words = forms.CharField(required=False, max_length=500)

    def given(self) -> GivenLook:
        """Return the look; call it on a form that is valid."""
        data = self.cleaned_data
        return GivenLook(
            look_id=data["answer_id"],
            ordinal=data["ordinal"],
            answer=data["verdict"],
            judging_ms=round(data["seconds"] * 1000),
            looked_at=data["made"],
            family=data["family"],
            action=ACTION_KEYS[data["action"]].value if data["action"] else "",
            words=data["words"],
        )

    def problems(self) -> str:
        """Say in one line what is wrong and in which field."""
        return "; ".join(
            f"{name}: {' '.join(str(each) for each in errors)}"
            for name, errors in self.errors.items()
        )


class CloseForm(SignatureFields):
    """Closing a round: where what is not settled goes, a note, and the signature."""

    unsettled_to = forms.ChoiceField(
        label=_("Exam specimens that are not settled"),
        choices=[
            (Pool.NEITHER, _("leave the exams, into neither pool")),
            (Pool.TEACHING, _("go to teaching, for discussion")),
            ("", _("stay where they are, under the decision they had")),
        ],
        initial=Pool.NEITHER,
        required=False,
        widget=forms.RadioSelect,
    )
    note = forms.CharField(
        label=_("Note on the decisions"),
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    field_order = ["unsettled_to", "note", "secret"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
