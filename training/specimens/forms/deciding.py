"""The form that decides what a specimen is; signed."""

from collections.abc import Sequence
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Div, Fieldset, Layout, Row
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.floor.models import Family
from training.people.forms import SignatureFields
from training.specimens.forms.fields import FamilyField
from training.specimens.models import Action, ReferenceDecision


class DecideForm(SignatureFields):
    """What a specimen is, and what says so; signed."""

    basis = forms.ChoiceField(
        label=_("The decision rests on"),
        choices=ReferenceDecision.Basis,
        widget=forms.RadioSelect,
    )
    seen = forms.ChoiceField(
        label=_("At the job's viewing distance and time it"),
        required=False,
        choices=[("", _("was not looked at")), ("yes", _("shows")), ("no", _("does not show"))],
    )
    count = forms.IntegerField(label=_("Number of marks"), initial=1, min_value=0, max_value=999)
    present = forms.MultipleChoiceField(
        label=_("Found on the part"), required=False, widget=forms.CheckboxSelectMultiple
    )
    decision = forms.ChoiceField(
        label=_("The part is"),
        required=False,
        choices=[("accept", _("Accept")), ("reject", _("Reject"))],
        widget=forms.RadioSelect,
    )
    family = FamilyField(
        label=_("Rejected for"), queryset=Family.objects.all(), required=False, empty_label="–"
    )
    clear = forms.BooleanField(
        label=_("Clearly bad: nobody attentive misses it"),
        required=False,
        help_text=_("Present where it must be absent, or 1.5 times the limit and more."),
    )
    action = forms.ChoiceField(
        label=_("If rejected, the operator must"),
        choices=[(value, label) for value, label in Action.choices if value != Action.KEEP_RUNNING],
        initial=Action.SEGREGATE,
    )
    turned = forms.BooleanField(
        label=_("I have read what rests on the decision it had"),
        required=False,
        help_text=_("Asked for when the new decision is the opposite one."),
    )
    reason = forms.CharField(
        label=_("Reason, in a few words"),
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    field_order = [
        "basis",
        "seen",
        "count",
        "present",
        "decision",
        "family",
        "clear",
        "action",
        "turned",
        "reason",
    ]

    def __init__(
        self,
        *args: Any,
        features: Sequence[tuple[str, str]] = (),
        rests: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["present"].choices = features  # type: ignore[attr-defined]
        looked = [Row(Column("count", css_class="col-md-4"), Column("seen", css_class="col-md-8"))]
        if features:
            looked.append("present")
        else:
            del self.fields["present"]
        read = ["turned"] if rests else []
        if not rests:
            del self.fields["turned"]
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Fieldset(gettext("What it rests on"), "basis"),
            Fieldset(
                gettext("What was found, for a measured decision"), *looked, css_class="by-measure"
            ),
            Fieldset(
                gettext("What it is, for a decision by people"),
                Row(
                    Column("decision", css_class="col-md-4"), Column("family", css_class="col-md-8")
                ),
                "clear",
                css_class="by-people",
            ),
            Fieldset(gettext("What is done about it"), "action", *read, "reason"),
            Div("secret", css_class="sign"),
        )

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        by_people = given.get("basis") != ReferenceDecision.Basis.MEASURED
        if by_people and not given.get("decision"):
            self.add_error("decision", gettext("Say accept or reject."))
        if by_people and given.get("decision") == "reject" and not given.get("family"):
            self.add_error("family", gettext("Say which defect family it is rejected for."))
        if given.get("basis") == ReferenceDecision.Basis.QUALITY and not given.get("reason"):
            self.add_error("reason", gettext("Give the reason: others will rest on this decision."))
        return given
