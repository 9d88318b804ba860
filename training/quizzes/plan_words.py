"""A plan in words: what it asks, whom it lets through, how long it takes."""

from dataclasses import dataclass

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from training.quizzes.risks import (
    Curve,
    Risk,
    Scope,
    family_curve,
    minutes,
    passing_curve,
    risks_of,
)
from training.quizzes.worked_plan import Form, WorkedPlan

SENTENCES = {
    Scope.GROUP_FAILS: gettext_noop(
        "Someone who misses %(rate)s of everything fails in %(n)s of 100."
    ),
    Scope.GROUP_PASSES: gettext_noop(
        "Someone who misses %(rate)s of everything passes in %(n)s of 100."
    ),
    Scope.FAMILY_PASSES: gettext_noop(
        "Someone who misses %(rate)s of one family is certified in it in %(n)s of 100."
    ),
    Scope.ALONE_FAILS: gettext_noop("Someone who misses %(rate)s fails in %(n)s of 100."),
    Scope.ALONE_PASSES: gettext_noop("Someone who misses %(rate)s passes in %(n)s of 100."),
    Scope.BLOCK_PASSES: gettext_noop(
        "Critical block: someone who misses %(rate)s of clear parts passes in %(n)s of 100."
    ),
    Scope.BLOCK_FAILS: gettext_noop(
        "Critical block: an attentive person with %(rate)s lapses fails in %(n)s of 100."
    ),
    Scope.REFUSING_PASSES: gettext_noop(
        "Someone who refuses %(rate)s of the good parts passes that side in %(n)s of 100."
    ),
}


# The same in few words, in lines, for the points on the curve.
ON_CURVE = {
    Scope.GROUP_FAILS: gettext_noop("misses %(rate)s everywhere: group fails in %(n)s of 100"),
    Scope.GROUP_PASSES: gettext_noop("misses %(rate)s\neverywhere:\ngroup passes\nin %(n)s of 100"),
    Scope.FAMILY_PASSES: gettext_noop("misses %(rate)s of one family:\ncertified in %(n)s of 100"),
    Scope.ALONE_FAILS: gettext_noop("misses %(rate)s: fails in %(n)s of 100"),
    Scope.ALONE_PASSES: gettext_noop("misses %(rate)s:\npasses in\n%(n)s of 100"),
}


@dataclass(frozen=True, slots=True)
class RiskWords:
    """A risk as a sentence, and what a second try makes of it."""

    words: str
    twice: str


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """A risk as a point on the curve: true miss rate, chance of passing, and a few words in lines."""

    x: float
    y: float
    words: str


def percent(share: float) -> str:
    """Write a share as per cent without needless decimals: 5 %, 0.5 %."""
    hundred = round(100 * share, 1)
    decimals = 0 if hundred == int(hundred) else 1
    return f"{number_format(hundred, decimals)} %"


def risk_words(plan: WorkedPlan) -> list[RiskWords]:
    return [_words(risk) for risk in risks_of(plan)]


def _words(risk: Risk) -> RiskWords:
    sentence = _(SENTENCES[risk.scope]) % {"rate": percent(risk.rate), "n": risk.of_hundred}
    twice = ""
    if risk.twice is not None:
        twice = _("With a second try: %(n)s of 100.") % {"n": round(100 * risk.twice)}
    return RiskWords(sentence, twice)


def _point(risk: Risk) -> CurvePoint:
    failing = risk.scope in (Scope.GROUP_FAILS, Scope.ALONE_FAILS)
    words = _(ON_CURVE[risk.scope]) % {"rate": percent(risk.rate), "n": risk.of_hundred}
    return CurvePoint(risk.rate, 1 - risk.probability if failing else risk.probability, words)


def numbers_words(plan: WorkedPlan) -> list[tuple[str, str, str]]:
    """Return the plan in numbers for the margin: label, number, note."""
    per_family = sorted(set(plan.bad.values()))
    each = str(per_family[0]) if len(per_family) == 1 else f"{per_family[0]}–{per_family[-1]}"
    rows = [
        (
            _("Bad parts"),
            str(plan.total_bad),
            _("%(each)s of each of %(families)s families")
            % {"each": each, "families": len(plan.bad)}
            if len(plan.bad) > 1
            else "",
        ),
        (_("Good parts"), str(plan.good), _("one set for all of them")),
    ]
    if plan.critical:
        rows.append(
            (_("Critical block"), str(sum(plan.critical.values())), _("clear parts, none missed"))
        )
    rows.append((_("Length"), str(plan.total), _("parts, about %(n)s min") % {"n": minutes(plan)}))
    return rows


def rule_words(plan: WorkedPlan) -> list[str]:
    """Return what passes, in sentences."""
    refused = _("%(n)s or fewer of %(of)s good parts refused") % {
        "n": plan.false_rejects_allowed,
        "of": plan.good,
    }
    if plan.misses_allowed is not None:
        said = [
            _("Group passed: %(n)s or fewer of %(of)s bad parts missed, and %(refused)s.")
            % {"n": plan.misses_allowed, "of": plan.total_bad, "refused": refused},
            _("Family certified: group passed, and %(n)s or fewer of its own missed.")
            % {"n": min(plan.family_misses_allowed.values())},
        ]
    else:
        said = [
            _("Each family by itself: %(n)s or fewer of its own bad parts missed, and %(refused)s.")
            % {"n": _spread(list(plan.family_misses_allowed.values())), "refused": refused}
        ]
    if plan.critical:
        said.append(_("Critical level: none of the clear parts missed."))
    if plan.tightened:
        said.append(
            _("Fewer misses are allowed than usual, because some parts have been met before.")
        )
    if plan.form is Form.SHORT_BANK:
        said.append(
            _("Short-bank plan: valid 6 months, marked on the certificate, 10 planted parts.")
        )
    return said


def _spread(numbers: list[int]) -> str:
    low, high = min(numbers), max(numbers)
    return str(low) if low == high else f"{low}–{high}"


RATES = tuple(place / 200 for place in range(121))


@dataclass(frozen=True)
class Operating:
    """The operating characteristic of a plan: one or two curves, risks marked, and its finding."""

    curves: list[Curve]
    points: list[CurvePoint]
    finding: str


def operating(plan: WorkedPlan) -> Operating:
    """Return the curves of a plan and the risks marked on them."""
    group = plan.group_plan()
    curves = [passing_curve(plan, RATES, _("the group") if group is not None else _("each family"))]
    if group is not None and len(group.families) > 1:
        curves.append(family_curve(group, RATES, _("one family alone\n(1 % missed in the others)")))
    marked = [risk for risk in risks_of(plan) if risk.scope in ON_CURVE]
    return Operating(
        curves, [_point(risk) for risk in marked], " ".join(_words(risk).words for risk in marked)
    )
