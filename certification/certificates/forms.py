"""The form by which a named person decides about a passed sitting, and signs."""

from collections.abc import Sequence
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Fieldset, Layout
from django import forms
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _

from certification.certificates.models import RequalificationNeed, SittingDecision
from training.people.forms import SignatureFields

Outcome = SittingDecision.Outcome


class DecideForm(SignatureFields):
    """What is granted, why less than asked, which order it fulfils, and the secret to sign."""

    outcome = forms.ChoiceField(label=_("Decision"), widget=forms.RadioSelect)
    reason = forms.CharField(
        label=_("Reason"),
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Needed where less is granted than was passed. The person reads it."),
    )
    closes = forms.MultipleChoiceField(
        label=_("Requalification orders this fulfils"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Close an order only when everything else it asks for is done too."),
    )

    field_order = ("outcome", "reason", "closes", "secret")

    def __init__(
        self,
        *args: Any,
        critical: bool,
        may_grant_critical: bool,
        needs: Sequence[RequalificationNeed],
        signing: str,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.needs = {str(need.pk): need for need in needs}
        self.fields["outcome"].choices = _outcomes(critical, may_grant_critical)  # type: ignore[attr-defined]
        parts: list[Any] = ["outcome", "reason"]
        if needs:
            self.fields["closes"].choices = [  # type: ignore[attr-defined]
                (str(need.pk), need.order.number) for need in needs
            ]
            parts.append("closes")
        else:
            del self.fields["closes"]
        said = format_html('<p class="soft mb-3">{}</p>', signing)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Fieldset(str(_("Decide")), *parts), Fieldset(str(_("Sign")), HTML(said), "secret")
        )

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        outcome = given.get("outcome")
        if outcome and outcome != Outcome.GRANTED and not given.get("reason", "").strip():
            self.add_error("reason", _("Say why: the person will read it."))
        if outcome == Outcome.NOT_GRANTED and given.get("closes"):
            self.add_error("closes", _("A sitting that is not granted fulfils no order."))
        return given


def _outcomes(critical: bool, may_grant_critical: bool) -> list[tuple[str, Any]]:
    choices: list[tuple[str, Any]] = []
    if not critical:
        choices.append((Outcome.GRANTED, _("Grant")))
    elif may_grant_critical:
        choices.append((Outcome.GRANTED, _("Grant, with the critical level")))
    if critical:
        choices.append((Outcome.ORDINARY_ONLY, _("Grant at ordinary level only")))
    choices.append((Outcome.NOT_GRANTED, _("Do not grant")))
    return choices
