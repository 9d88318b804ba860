"""The forms of the register: a real part, a signed limit sample, and what was done with a copy."""

import datetime as dt
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.floor.limit_rulings import SampleKind
from training.floor.models import Family, Job, JobGroup, Zone
from training.people.forms import SignatureFields
from training.specimens.forms.fields import FamilyField, JobField
from training.specimens.limit_rows import UNITS
from training.specimens.models import Condition, Handling, Pool
from training.specimens.services.real_parts import NewCopy

LETTERS = ("A", "B")


def _day(label: Any, help_text: Any = "") -> forms.DateField:
    return forms.DateField(
        label=label,
        help_text=help_text,
        # The browser's own picker takes ISO in every language.
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
    )


class CopiesFields(forms.Form):
    """Where the two copies of a part are kept, until when they hold, and for how many hands."""

    place_a = forms.CharField(
        label=_("Copy A is kept"),
        max_length=120,
        help_text=_("The one that is used: cabinet and drawer."),
    )
    place_b = forms.CharField(
        label=_("Copy B is kept"),
        max_length=120,
        required=False,
        help_text=_("Kept apart, in the dark, to compare A with. Leave empty if there is none."),
    )
    expires_day = _day(_("Valid to"), _("Colour and gloss change with light and hands."))
    most_handlings = forms.IntegerField(
        label=_("Handlings before it is looked at"),
        required=False,
        min_value=1,
        max_value=9999,
        help_text=_("Empty: it is not counted."),
    )

    def copies(self) -> list[NewCopy]:
        given = self.cleaned_data
        return [
            NewCopy(letter, place, given["expires_day"], given["most_handlings"])
            for letter in LETTERS
            if (place := given[f"place_{letter.lower()}"].strip())
        ]


def _copies_fieldset() -> Fieldset:
    return Fieldset(
        gettext("Its copies"),
        Row(Column("place_a", css_class="col-md-6"), Column("place_b", css_class="col-md-6")),
        Row(
            Column("expires_day", css_class="col-md-6"),
            Column("most_handlings", css_class="col-md-6"),
        ),
    )


class RealPartForm(CopiesFields):
    """A numbered real part that examines or teaches instead of a picture."""

    number = forms.CharField(
        label=_("Number"), max_length=20, help_text=_("As it is written on the part or its bag.")
    )
    job = JobField(
        label=_("Job"), queryset=Job.objects.filter(ended_day=None), empty_label=_("choose")
    )
    zone = forms.ChoiceField(label=_("Zone"), choices=Zone)
    family = FamilyField(
        label=_("Defect family"),
        queryset=Family.objects.all(),
        empty_label=_("choose"),
        help_text=_("For a good part: the family it is near to, or might be taken for."),
    )
    severity = forms.DecimalField(
        label=_("Measured severity"),
        required=False,
        min_value=0,
        max_value=99999,
        decimal_places=4,
        help_text=_("The largest mark, measured on the part. 0 for a clean part."),
    )
    unit = forms.ChoiceField(label=_("Unit"), choices=[("", "–"), *UNITS.items()], required=False)
    pool = forms.ChoiceField(label=_("Pool"), choices=Pool, initial=Pool.EXAM)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(["number", "job", "zone", "family", "severity", "unit", "pool"])
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Fieldset(
                gettext("The part"),
                Row(Column("number", css_class="col-md-4"), Column("pool", css_class="col-md-4")),
                Row(Column("job", css_class="col-md-8"), Column("zone", css_class="col-md-4")),
                "family",
                Row(
                    Column("severity", css_class="col-md-4"),
                    Column("unit", css_class="col-md-4"),
                ),
            ),
            _copies_fieldset(),
        )


class LimitSampleForm(CopiesFields, SignatureFields):
    """A signed part that shows the worst that passes, or the least that is refused."""

    code = forms.CharField(
        label=_("Number"), max_length=20, help_text=_("As it is written on the sample's tag.")
    )
    job_group = forms.ModelChoiceField(
        label=_("Group of jobs"), queryset=JobGroup.objects.all(), empty_label=_("choose")
    )
    family = FamilyField(
        label=_("Defect family"), queryset=Family.objects.all(), empty_label=_("choose")
    )
    zone = forms.ChoiceField(label=_("Zone"), choices=Zone)
    kind = forms.ChoiceField(
        label=_("It shows"),
        choices=[
            (SampleKind.WORST_ACCEPTED, _("the worst that is accepted")),
            (SampleKind.LEAST_REFUSED, _("the least that is refused")),
        ],
    )
    text_en = forms.CharField(label=_("What it shows (English)"), max_length=200)
    text_es = forms.CharField(label=_("What it shows (Spanish)"), max_length=200, required=False)
    second_signature = forms.CharField(
        label=_("Second signature"),
        max_length=120,
        help_text=_("Who else signed the tag: the customer, or a second person of quality."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        first = ["code", "job_group", "zone", "family", "kind", "text_en", "text_es"]
        self.order_fields([*first, "place_a", "place_b", "expires_day", "most_handlings"])
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Fieldset(
                gettext("The sample"),
                Row(
                    Column("code", css_class="col-md-4"),
                    Column("job_group", css_class="col-md-4"),
                    Column("zone", css_class="col-md-4"),
                ),
                Row(Column("family", css_class="col-md-6"), Column("kind", css_class="col-md-6")),
                Row(
                    Column("text_en", css_class="col-md-6"),
                    Column("text_es", css_class="col-md-6"),
                ),
            ),
            _copies_fieldset(),
            Fieldset(gettext("Who answers for it"), "second_signature", "secret"),
        )

    def text(self) -> dict[str, str]:
        given = {code: self.cleaned_data[f"text_{code}"].strip() for code in ("en", "es")}
        return {code: words for code, words in given.items() if words}


class HandlingForm(forms.Form):
    """What was done with one copy, and how it was found."""

    copy = forms.ChoiceField(label=_("Copy"))
    what = forms.ChoiceField(
        label=_("What was done"),
        choices=[pair for pair in Handling.What.choices if pair[0] != Handling.What.JUDGED],
    )
    condition = forms.ChoiceField(label=_("Found"), choices=Condition)
    times = forms.IntegerField(
        label=_("Passed through hands"),
        initial=1,
        min_value=1,
        max_value=999,
        help_text=_("times since the last entry"),
    )
    place = forms.CharField(
        label=_("Kept from now on"),
        max_length=120,
        required=False,
        help_text=_("Only if it moved."),
    )
    expires_day = forms.DateField(
        label=_("Valid to"),
        required=False,
        help_text=_("Only for “valid for longer”."),
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
    )
    words = forms.CharField(
        label=_("Remark"), max_length=300, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, copies: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["copy"].choices = copies  # type: ignore[attr-defined]
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Row(
                Column("copy", css_class="col-md-4"),
                Column("what", css_class="col-md-4"),
                Column("condition", css_class="col-md-4"),
            ),
            Row(
                Column("times", css_class="col-md-4"),
                Column("place", css_class="col-md-4"),
                Column("expires_day", css_class="col-md-4"),
            ),
            "words",
        )


class RegisterFilter(forms.Form):
    """What the register is narrowed to."""

    number = forms.CharField(label=_("Number"), required=False, max_length=20)
    family = forms.ChoiceField(label=_("Defect family"), required=False)
    kind = forms.ChoiceField(
        label=_("Kind"),
        required=False,
        choices=[
            ("", _("all")),
            ("specimen", _("examination parts")),
            ("sample", _("limit samples")),
        ],
    )
    care = forms.ChoiceField(
        label=_("Show"), required=False, choices=[("", _("all")), ("1", _("what wants care"))]
    )

    def __init__(self, *args: Any, families: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["family"].choices = [("", gettext("all")), *families]  # type: ignore[attr-defined]
        for field in self.fields.values():
            select = isinstance(field, forms.ChoiceField)
            field.widget.attrs["class"] = "form-select" if select else "form-control"

    def wanted(self) -> dict[str, str]:
        self.is_valid()
        return {name: self.cleaned_data.get(name, "") for name in self.fields}


def today_plus_year(today: dt.date) -> dt.date:
    """Return the day a year on, which is what most samples are signed for."""
    return today + dt.timedelta(days=365)
