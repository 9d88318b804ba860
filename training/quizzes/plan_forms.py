"""The form that writes an exam plan: its risks or numbers, its blueprint, what it allows; signed."""

import datetime as dt
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any, Final

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.people.forms import SignatureFields
from training.quizzes.blueprint import BAD, GOOD, Strata, write_strata
from training.quizzes.full_bank import shown_sizes
from training.quizzes.models import ExamPlan
from training.quizzes.plan_rules import SETTABLE, Rules, read_rules
from training.quizzes.words import stratum_words
from training.quizzes.worked_plan import Form

# Kinds that people write; practice and studies come with the site.
KINDS: Final = (Form.GROUP, Form.OWN, Form.FIXED, Form.SHORT_BANK)
# Shares and risks are written in per cent and stored as shares of 0 to 1.
SHARES: Final = {
    "p_ok": (_("Should pass: errors of"), _("per cent of the parts, such as 5")),
    "p_bad": (_("Should fail: errors of"), _("per cent, above the one that should pass")),
    "alpha": (_("Risk of failing who should pass"), _("per cent, at most")),
    "beta": (_("Risk of passing who should fail"), _("per cent, at most")),
    "critical_p_ok": (_("Critical level: should pass"), _("errors of so many per cent")),
    "critical_p_bad": (_("Critical level: should fail"), _("errors of so many per cent")),
    "critical_alpha": (_("Critical level: risk of failing"), _("per cent, at most")),
    "critical_beta": (_("Critical level: risk of passing"), _("per cent, at most")),
}
NUMBERS: Final = {
    "bad": (_("Bad parts of each family"), ""),
    "misses_allowed": (_("Misses allowed of them"), ""),
    "good": (_("Good parts"), ""),
    "false_rejects_allowed": (_("Good parts that may be refused"), ""),
    "most_synthetic": (
        _("Pictures drawn by program, at most"),
        _("per cent of a draw; 100 sets no limit"),
    ),
    "wait_days": (_("Days before another try"), ""),
    "tries": (_("Tries before quality decides"), ""),
}
# Words that stand in addresses where the code of a plan would.
RESERVED: Final = frozenset({"new", "defaults", "wanted"})
PARTS: Final = (("bad", BAD), ("good", GOOD))


def _percent(label: Any, help_text: Any) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        help_text=help_text,
        min_value=Decimal("0.1"),
        max_value=Decimal("99.9"),
        decimal_places=2,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )


def _whole(label: Any, help_text: Any = "", most: int = 2000) -> forms.IntegerField:
    return forms.IntegerField(label=label, help_text=help_text, min_value=0, max_value=most)


def _words(label: Any) -> forms.CharField:
    return forms.CharField(label=label, max_length=80, required=False)


class PlanForm(SignatureFields):
    """A new plan of a kind, or the next revision of one; `parameters` and `rules` once it is valid.

    With `preview` nothing is signed, so neither words nor secret are asked for.
    """

    code = forms.CharField(
        label=_("Short code"),
        max_length=50,
        help_text=_("small letters, digits and hyphens; it stays for good"),
        validators=[
            RegexValidator(
                r"^[a-z0-9]+(-[a-z0-9]+)*$",
                _("Only small letters, digits and hyphens, such as inspectors-own."),
            )
        ],
    )
    name_en = _words(_("Name (English)"))
    name_es = _words(_("Name (Spanish)"))
    day = forms.DateField(
        label=_("In force from"),
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
        help_text=_("but not before the second signature"),
    )
    reason = forms.CharField(
        label=_("Reason"), max_length=200, help_text=_("what changes, and because of what")
    )
    families = forms.TypedChoiceField(label=_("Worked out for"), coerce=int, required=False)

    def __init__(
        self,
        *args: Any,
        kind: Form,
        today: dt.date,
        revised: ExamPlan | None = None,
        preview: bool = False,
        **kwargs: Any,
    ) -> None:
        kwargs["initial"] = _initial(kind, today, revised)
        super().__init__(*args, **kwargs)
        self.kind, self.revised, self.today = kind, revised, today
        self.parameters: dict[str, Any] = {}
        self.rules: Rules | None = None
        self._add_fields()
        sizes = shown_sizes(kind)
        self.fields["families"].choices = [  # type: ignore[attr-defined]
            (n, gettext("%(n)s families") % {"n": n}) for n in sizes
        ]
        if len(sizes) == 1:
            del self.fields["families"]
        if revised is not None:
            del self.fields["code"]
        if preview:
            for name in ("code", "secret", "reason", "day"):
                if name in self.fields:
                    self.fields[name].required = False
        self.preview = preview
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = self._layout()

    def _add_fields(self) -> None:
        """Add what this kind of plan has."""
        settable = SETTABLE[self.kind]
        self.shares = [name for name in SHARES if name in settable]
        self.numbers = [name for name in NUMBERS if name in settable]
        for name in self.shares:
            self.fields[name] = _percent(*SHARES[name])
        for name in self.numbers:
            self.fields[name] = _whole(*NUMBERS[name])
        for part, strata in PARTS:
            for place, label in enumerate(_stratum_labels(part, strata)):
                self.fields[f"{part}_{place}"] = _whole(label, most=100)
        self.flags = [name for name in ("pictured", "stop_when_lost") if name in settable]
        labels = {
            "pictured": _("Pictures (else numbered real parts)"),
            "stop_when_lost": _("Stop as soon as it can no longer be passed"),
        }
        for name in self.flags:
            self.fields[name] = forms.BooleanField(label=labels[name], required=False)

    def _layout(self) -> Layout:
        risks = gettext("Risks") if self.shares else ""
        rows = [
            _row([*(["code"] if self.revised is None else []), "name_en", "name_es"], 4),
            _row(["day", *(["families"] if "families" in self.fields else [])], 4),
        ]
        sets = [Fieldset(risks, *_rows(self.shares, 4))] if self.shares else []
        return Layout(
            *rows,
            *sets,
            Fieldset(gettext("Numbers"), *_rows(self.numbers, 4), *self.flags),
            *(
                Fieldset(legend, _row([f"{part}_{place}" for place in range(3)], 3))
                for part, legend in (
                    ("bad", gettext("Bad parts by severity ÷ limit, per cent of them")),
                    ("good", gettext("Good parts by severity ÷ limit, per cent of them")),
                )
            ),
            "reason",
            "secret",
        )

    def clean_code(self) -> str:
        code: str = self.cleaned_data["code"]
        if code in RESERVED:
            raise forms.ValidationError(_("This word is kept for the site; choose another code."))
        return code

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        named = any(given.get(name, "").strip() for name in ("name_en", "name_es"))
        if not named and not self.preview:
            self.add_error("name_en", _("Name the plan in one language at least."))
        self._check_order(given)
        for part, strata in PARTS:
            shares = [given.get(f"{part}_{place}") for place in range(len(strata))]
            if None not in shares and sum(filter(None, shares)) != 100:
                self.add_error(
                    f"{part}_0",
                    _("The three shares add to %(sum)s; make them 100.")
                    % {"sum": sum(filter(None, shares))},
                )
        if not self.errors:
            self._read(given)
        return given

    def _check_order(self, given: Mapping[str, Any]) -> None:
        """Say which number is out of order, where a pair is."""
        for prefix in ("", "critical_"):
            low, high = given.get(f"{prefix}p_ok"), given.get(f"{prefix}p_bad")
            if low is not None and high is not None and low >= high:
                self.add_error(
                    f"{prefix}p_bad",
                    _("Give more than the %(low)s %% that should pass.") % {"low": low},
                )
        for errors, of in (("misses_allowed", "bad"), ("false_rejects_allowed", "good")):
            some, whole = given.get(errors), given.get(of)
            if some is not None and whole is not None and some >= whole:
                self.add_error(
                    errors,
                    _("Allow fewer than the %(whole)s parts judged.") % {"whole": whole},
                )

    def _read(self, given: Mapping[str, Any]) -> None:
        """Read the rules; what they refuse is said at the field it is about, or above."""
        made: dict[str, Any] = {name: float(given[name] / 100) for name in self.shares}
        made |= {name: given[name] for name in (*self.numbers, *self.flags)}
        for part, strata in PARTS:
            shares = [given[f"{part}_{place}"] / 100 for place in range(len(strata))]
            made[f"{part}_strata"] = [
                {**row, "share": share}
                for row, share in zip(write_strata(strata), shares, strict=True)
            ]
        kept = dict(self.revised.parameters) if self.revised is not None else {}
        try:
            self.rules = read_rules(self.kind, kept | made)
        except ValueError as error:
            name = next((name for name in self.fields if str(error).startswith(name)), None)
            self.add_error(name, _("This cannot be worked out: %(why)s") % {"why": error})
            return
        self.parameters = kept | made

    def name(self) -> dict[str, str]:
        """Return the plan's name in the languages it was written in."""
        written = {code: self.cleaned_data[f"name_{code}"].strip() for code in ("en", "es")}
        return {code: words for code, words in written.items() if words}

    def size(self) -> int:
        """Return for how many families the figures are worked out; 0 for the usual case."""
        return int(self.cleaned_data.get("families") or 0)


def _initial(kind: Form, today: dt.date, revised: ExamPlan | None) -> dict[str, Any]:
    """Return what the form begins with: the revision in hand, or the kind's defaults."""
    rules = read_rules(kind, revised.parameters if revised is not None else {})
    values: dict[str, Any] = {
        name: Decimal(str(round(100 * getattr(rules, name), 4))).normalize() for name in SHARES
    }
    values |= {name: f"{value:f}" for name, value in values.items()}
    values |= {name: getattr(rules, name) for name in (*NUMBERS, "pictured", "stop_when_lost")}
    for part in ("bad", "good"):
        for place, stratum in enumerate(getattr(rules, f"{part}_strata")):
            values[f"{part}_{place}"] = round(100 * stratum.share)
    values |= {"day": today, "families": 5}
    if revised is not None:
        values |= {f"name_{code}": revised.name.get(code, "") for code in ("en", "es")}
        values["day"] = max(today, revised.day)
    return values


def _stratum_labels(part: str, strata: Strata) -> list[str]:
    return [f"{gettext(part)}, {stratum_words(each)}" for each in strata]


def _row(names: Iterable[str], of: int) -> Row:
    return Row(*(Column(name, css_class=f"col-md-{12 // of}") for name in names))


def _rows(names: list[str], of: int) -> list[Row]:
    return [_row(names[place : place + of], of) for place in range(0, len(names), of)]
