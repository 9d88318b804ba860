"""The form that approves a first piece: its pictures, its tag and the signature."""

from collections.abc import Iterable
from typing import Any, Final

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.floor.models import Job, Press
from training.people.forms import SignatureFields
from training.people.models import Person
from training.specimens.forms.fields import pictures_field, scale_field

# What the tag carries beside press and tool, in the order it is written.
TAG: Final = ("press", "tool", "run", "reason", "cavities", "material", "lot", "remarks")


class FirstPieceForm(SignatureFields):
    """The part that is approved for a run of one job; signed."""

    pictures = pictures_field()
    px_per_mm = scale_field()
    revision = forms.CharField(
        label=_("First-piece revision"),
        max_length=8,
        help_text=_("A new one where the part may look different from now on."),
    )
    press = forms.ChoiceField(label=_("Press"))
    tool = forms.CharField(label=_("Tool"), max_length=20, required=False)
    run = forms.CharField(label=_("Run"), max_length=20, required=False)
    reason = forms.CharField(
        label=_("Approved because of"),
        max_length=80,
        help_text=_("Start of run, change of tool, of material, of setting, after a stop."),
    )
    cavities = forms.CharField(label=_("Cavities"), max_length=40, required=False)
    material = forms.CharField(label=_("Material"), max_length=60, required=False)
    lot = forms.CharField(label=_("Lot"), max_length=40, required=False)
    remarks = forms.CharField(
        label=_("Remarks"), max_length=300, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    checked_by = forms.CharField(
        label=_("Checked by, personnel number"),
        max_length=20,
        required=False,
        help_text=_("Who measured and looked first; not who approves."),
    )

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        presses: Iterable[Press] = [
            press for press in (job.press, *job.alternates.all()) if press is not None
        ]
        choices = [(press.code, press.code) for press in presses]
        self.fields["press"].choices = choices  # type: ignore[attr-defined]
        self.fields["px_per_mm"].help_text = gettext("Of the first picture, if you know it.")
        self.fields["press"].required = bool(choices)
        self.order_fields(["pictures", "px_per_mm", "revision", *TAG, "checked_by", "secret"])
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = _layout()

    def clean_checked_by(self) -> Person | None:
        number = self.cleaned_data["checked_by"].strip()
        if not number:
            return None
        person = Person.objects.filter(personnel_no=number, is_active=True).first()
        if person is None:
            raise forms.ValidationError(
                _("Nobody has the personnel number %(number)s. Leave it out, or correct it."),
                params={"number": number},
            )
        return person

    def tag(self) -> dict[str, str]:
        """Return what is written on the tag, without what was left empty."""
        written = {name: self.cleaned_data.get(name, "").strip() for name in TAG}
        return {name: text for name, text in written.items() if text}


def _layout() -> Layout:
    return Layout(
        Fieldset(gettext("Pictures"), "pictures", "px_per_mm"),
        Fieldset(
            gettext("The tag"),
            Row(
                Column("revision", css_class="col-md-4"),
                Column("press", css_class="col-md-4"),
                Column("tool", css_class="col-md-4"),
            ),
            "reason",
            Row(
                Column("run", css_class="col-md-4"),
                Column("cavities", css_class="col-md-4"),
                Column("lot", css_class="col-md-4"),
            ),
            "material",
            "remarks",
        ),
        Fieldset(gettext("Who answers for it"), "checked_by", "secret"),
    )
