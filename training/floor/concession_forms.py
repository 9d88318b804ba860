"""The forms of a concession: writing it line by line, counting its parts, ending it early; signed."""

import datetime as dt
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Layout, Row
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.floor.concessions import Conceded, why_not_conceded
from training.floor.limits import Measure
from training.floor.line_forms import JUDGED, MEASURES, MeasureFields
from training.floor.paper_selectors import Concedable
from training.floor.paper_words import line_choices, line_key
from training.floor.sheet_words import language_code
from training.people.forms import SignatureFields

# What a line takes over from the line in force; it cannot be changed by a concession.
TAKEN_OVER = ("feature_en", "feature_es", "compare_to")
MOST_LINES = 4
# More than any run; what the database can hold is larger.
MOST_PARTS = 100_000_000


def day_field(label: Any, help_text: Any = "", *, required: bool = True) -> forms.DateField:
    """Return a field for a day with the browser's own picker, which takes ISO in every language."""
    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    return forms.DateField(label=label, help_text=help_text, widget=widget, required=required)


def columns(*given: tuple[str, int]) -> Row:
    return Row(*(Column(name, css_class=f"col-md-{width}") for name, width in given))


def form_helper(*layout: Any) -> FormHelper:
    """Return a helper for a form that stands inside the template's own form element."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    helper.layout = Layout(*layout)
    return helper


class ConcessionLineForm(MeasureFields):
    """One line in force and what is accepted instead of it for a while."""

    instead_of = forms.ChoiceField(label=_("The line it loosens"))

    def __init__(self, *args: Any, choice: Concedable, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in TAKEN_OVER:
            del self.fields[name]
        self.choice = choice
        self.known = {line_key(ruling.line): ruling.line for ruling in choice.rulings}
        self.fields["instead_of"].choices = [  # type: ignore[attr-defined]
            ("", _("choose")),
            *line_choices(choice.rulings, choice.families, language_code()),
        ]
        self.fields["instead_of"].error_messages["invalid_choice"] = gettext(
            "This line is not in force any more. Open the page anew and choose again."
        )
        self.fields["measure"].choices = [  # type: ignore[attr-defined]
            each for each in MEASURES if each[0] != Measure.ANY
        ]
        self.fields["measure"].initial = Measure.AT_MOST
        self.fields["judged_by"].choices = [("", _("as the line it loosens")), *JUDGED]  # type: ignore[attr-defined]
        self.fields["judged_by"].required = False
        self.conceded: Conceded | None = None
        self.helper = form_helper(
            "instead_of",
            columns(("measure", 4), ("value", 2), ("value2", 2), ("unit", 2), ("count", 2)),
            columns(("judged_by", 6), ("distance_mm", 3), ("time_s", 3)),
            columns(("gauge", 3), ("sample", 3), ("per_area_cm2", 3), ("spacing_mm", 3)),
        )

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        old = self.known.get(given.get("instead_of", ""))
        if old is None:
            return given
        new = self.read_line(
            old.family,
            old.zone,
            old.level,
            feature=old.feature,
            compare_to=old.compare_to or "",
            judged_by=old.judged_by,
        )
        if new is not None:
            self.conceded = Conceded(new, old)
            problem = why_not_conceded(self.conceded, self.choice)
            if problem:
                self.add_error("instead_of", problem)
        return given


class ConcessionLines(forms.BaseFormSet[ConcessionLineForm]):
    """The lines of a concession; the first is asked for."""

    def conceded(self) -> list[Conceded]:
        return [form.conceded for form in self.forms if form.conceded is not None]


ConcessionLineSet = forms.formset_factory(
    ConcessionLineForm,
    formset=ConcessionLines,
    min_num=1,
    validate_min=True,
    extra=MOST_LINES - 1,
    max_num=MOST_LINES,
    validate_max=True,
)


class ConcessionForm(SignatureFields):
    """For how long, for how many parts, and why."""

    number = forms.CharField(label=_("Number"), max_length=20)
    from_day = day_field(_("Valid from"))
    to_day = day_field(_("Last day"), _("empty only with a number of parts"), required=False)
    max_quantity = forms.IntegerField(
        label=_("At most"),
        help_text=_("parts in all"),
        required=False,
        min_value=1,
        max_value=MOST_PARTS,
    )
    reason = forms.CharField(
        label=_("Reason and the customer's reference"),
        max_length=200,
        help_text=_("Who agreed, on which paper; printed on the concession."),
    )

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["from_day"].initial = today
        self.helper = form_helper(
            columns(("number", 3), ("from_day", 3), ("to_day", 3), ("max_quantity", 3)),
            "reason",
            "secret",
        )

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        first, last = given.get("from_day"), given.get("to_day")
        bad = {"to_day", "max_quantity"} & set(self.errors)
        if not bad and last is None and given.get("max_quantity") is None:
            self.add_error(
                "to_day", _("A concession ends: give its last day, a number of parts, or both.")
            )
        if first and first < self.today:
            self.add_error(
                "from_day", _("A concession does not reach back. Give today or a later day.")
            )
        if first and last and last < first:
            self.add_error("to_day", _("The concession would end before it begins."))
        return given


class SecondSignatureForm(SignatureFields):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = form_helper("secret")


class WithdrawForm(SignatureFields):
    """Why a concession ends now; signed."""

    reason = forms.CharField(
        label=_("Reason"), max_length=200, help_text=_("Kept with the paper and shown on it.")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = form_helper("reason", "secret")


class WithdrawAlertForm(WithdrawForm):
    """Why an alert ends early, and on which day; signed."""

    last_day = day_field(_("Last day"), _("it holds to the end of that day"))

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["last_day"].initial = today
        self.helper = form_helper(columns(("last_day", 4), ("reason", 8)), "secret")


class CountForm(forms.Form):
    """How many parts have been made under a concession so far."""

    parts = forms.IntegerField(
        label=_("Parts made so far, in all"), min_value=0, max_value=MOST_PARTS
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = form_helper("parts")
