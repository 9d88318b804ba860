"""A plan in words: what it asks, whom it lets through, how long it takes."""

from dataclasses import dataclass

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from training.quizzes.own_plan import OwnTables
from training.quizzes.risks import (
    ATTENTIVE,
    HALF_BLIND,
    Curve,
    Risk,
    Scope,
    family_curve,
    family_side_passes,
    good_side_curve,
    good_side_risks,
    lengths,
    minutes,
    minutes_for,
    passing_curve,
    risks_of,
    separated,
)
from training.quizzes.worked_plan import Form, WorkedPlan
from training.statistics.group_plan import group_risks

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
    Scope.CAREFUL_PASSES: gettext_noop(
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
    Scope.CAREFUL_PASSES: gettext_noop("refuses %(rate)s: passes in %(n)s of 100"),
    Scope.REFUSING_PASSES: gettext_noop("refuses %(rate)s:\npasses in\n%(n)s of 100"),
}
MISS_SIDE = frozenset(ON_CURVE) - {Scope.CAREFUL_PASSES, Scope.REFUSING_PASSES}


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
        (
            _("Good parts"),
            str(plan.good),
            _("one set for all of them") if len(plan.bad) > 1 else "",
        ),
    ]
    if plan.critical:
        rows.append(
            (_("Critical block"), str(sum(plan.critical.values())), _("clear parts, none missed"))
        )
    note = _("parts, about %(n)s min") % {"n": minutes(plan)}
    if plan.own is not None:
        rows[:2] = [(label, number, _("at most")) for label, number, _note in rows[:2]]
        note = _("parts at most; ends when both sides are decided")
    rows.append((_("Length"), str(plan.total), note))
    return rows


def rule_words(plan: WorkedPlan) -> list[str]:
    """Return what passes, in sentences."""
    if plan.own is not None:
        return _own_rule(plan, plan.own)
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


def _own_rule(plan: WorkedPlan, own: OwnTables) -> list[str]:
    first = next(n for n, errors in enumerate(own.misses.accept) if errors >= 0)
    said = [
        _("Misses and false rejects are each decided by their own table, as soon as they can be.")
        + " "
        + _("Without an error a side is passed after %(n)s parts; at the latest after %(cap)s.")
        % {"n": first, "cap": own.misses.cap},
        _("Passed when both sides are passed: separates %(ok)s from %(bad)s on either side.")
        % {"ok": percent(float(plan.p_ok)), "bad": percent(float(plan.p_bad))},
        _(
            "A side that is decided goes on being shown and is no longer counted, "
            "so that the mix betrays nothing. The exam ends when both are decided."
        ),
    ]
    if own.critical:
        said.append(_("These are the risks of the critical level."))
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
    marked = [risk for risk in risks_of(plan) if risk.scope in MISS_SIDE]
    return Operating(
        curves, [_point(risk) for risk in marked], " ".join(_words(risk).words for risk in marked)
    )


def operating_good_side(plan: WorkedPlan) -> Operating:
    """Return the curve of the false-reject side, with a careful and a strict eye marked on it."""
    marked = good_side_risks(plan)
    return Operating(
        [good_side_curve(plan, RATES, _("good parts"))],
        [_point(risk) for risk in marked],
        " ".join(_words(risk).words for risk in marked),
    )


@dataclass(frozen=True, slots=True)
class LengthRow:
    """How long the sitting of one kind of person lasts, in parts and minutes."""

    who: str
    mean: float
    mean_minutes: int
    most: int
    most_minutes: int


def length_rows(plan: WorkedPlan) -> list[LengthRow]:
    """Return how long a sitting lasts for an attentive, a still good and a weak eye."""
    ok, bad = separated(plan)
    kinds = {
        ATTENTIVE: _("Attentive: misses %(rate)s"),
        ok: _("Still good: misses %(rate)s"),
        round((ok * bad) ** 0.5, 2): _("Between: misses %(rate)s"),
        bad: _("Weak: misses %(rate)s"),
    }
    return [
        LengthRow(
            kinds[each.rate] % {"rate": percent(each.rate)},
            each.mean,
            minutes_for(each.mean),
            each.most,
            minutes_for(each.most),
        )
        for each in lengths(plan, sorted(kinds))
    ]


def worth_words(plan: WorkedPlan) -> list[str]:
    """Say what one family's certificate is worth: what passing shows, and what it does not."""
    ok, bad = (percent(rate) for rate in separated(plan))
    name = next(iter(plan.bad))
    group = plan.group_plan()
    if group is not None:
        alone = group_risks(group, {**dict.fromkeys(plan.bad, ATTENTIVE), name: HALF_BLIND})
        return [
            _("It says that the whole group separates %(ok)s from %(bad)s.")
            % {"ok": ok, "bad": bad},
            _(
                "Of this family alone it says that someone who misses half of it is stopped in "
                "%(n)s of 100. “20 %%” may be printed for the family only over three sittings."
            )
            % {"n": round(100 * (1 - alone.by_family[name]))},
        ]
    blind = round(100 * (1 - family_side_passes(plan, name, HALF_BLIND)))
    said = [
        _("It says of this family alone that misses of %(ok)s are told from %(bad)s.")
        % {"ok": ok, "bad": bad}
    ]
    if plan.own is not None:
        said.append(
            _("It says “accepted by plan” and gives no rate: the number judged was not fixed.")
        )
    else:
        said.append(_("Someone who misses half of it is stopped in %(n)s of 100.") % {"n": blind})
    if plan.form is Form.SHORT_BANK:
        said.append(_("It is marked as short bank and ends after 6 months."))
    return said
