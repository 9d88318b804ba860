"""Whom a worked plan lets through and whom it stops: exact risks, as people out of a hundred."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from training.quizzes.worked_plan import Form, WorkedPlan
from training.statistics.bank_ladder import SHORT_RATE_BAD, SHORT_RATE_OK
from training.statistics.family_evidence import LAPSE_RATE
from training.statistics.group_plan import GroupPlan, group_risks
from training.statistics.sampling_plan import acceptance_probability, repeated_risk
from training.statistics.sequential_plan import operating_characteristic
from training.statistics.sitting_length import (
    LengthLaw,
    length_until_lost,
    length_when_both_decided,
)

ATTENTIVE: Final = 0.01
HALF_BLIND: Final = 0.50
RATES: Final = (0.01, 0.02, 0.05, 0.10, 0.15, 0.20, 0.30, 0.40, 0.50)
CRITICAL_RATE: Final = 0.10
# Looking, answering and the next part: assumed, common practice, no source.
SECONDS_EACH: Final = 13
# What a strict and a careful eye refuses of good parts.
REFUSING: Final = 0.20
CAREFUL: Final = 0.02


class Scope(StrEnum):
    """What a risk is about."""

    GROUP_FAILS = "group_fails"
    GROUP_PASSES = "group_passes"
    FAMILY_PASSES = "family_passes"
    ALONE_FAILS = "alone_fails"
    ALONE_PASSES = "alone_passes"
    BLOCK_PASSES = "block_passes"
    BLOCK_FAILS = "block_fails"
    REFUSING_PASSES = "refusing_passes"
    CAREFUL_PASSES = "careful_passes"


@dataclass(frozen=True, slots=True)
class Risk:
    """Of a hundred people whose true rate is `rate`, so many fail or pass; `twice` with a second try."""

    scope: Scope
    rate: float
    probability: float
    twice: float | None = None

    @property
    def of_hundred(self) -> int:
        return round(100 * self.probability)


def risks_of(plan: WorkedPlan) -> list[Risk]:
    """Return the risks of a worked plan, the ones people ask for first."""
    group = plan.group_plan()
    if plan.form is Form.PRACTICE or not plan.bad:
        return []
    found = _of_group(plan, group) if group is not None else _of_each(plan)
    strict = separated(plan)[1] if plan.own is not None else REFUSING
    found.append(Risk(Scope.REFUSING_PASSES, strict, good_side_passes(plan, strict)))
    block = sum(plan.critical.values()) or (plan.total_bad if plan.bad_is_critical else 0)
    if block:
        passes = (1 - CRITICAL_RATE) ** block
        found.append(Risk(Scope.BLOCK_PASSES, CRITICAL_RATE, passes, repeated_risk(passes, 2)))
        found.append(Risk(Scope.BLOCK_FAILS, LAPSE_RATE, 1 - (1 - LAPSE_RATE) ** block))
    return found


def good_side_risks(plan: WorkedPlan) -> list[Risk]:
    """Return the two risks of the false-reject side: a careful eye and a strict one pass."""
    careful, strict = CAREFUL, REFUSING
    if plan.own is not None:
        careful, strict = separated(plan)
    return [
        Risk(Scope.CAREFUL_PASSES, careful, good_side_passes(plan, careful)),
        Risk(Scope.REFUSING_PASSES, strict, good_side_passes(plan, strict)),
    ]


def good_side_passes(plan: WorkedPlan, rate: float) -> float:
    """Return the exact chance that the false-reject side is passed at a true rate."""
    if plan.own is not None:
        return operating_characteristic(plan.own.false_rejects, rate).p_accept
    return acceptance_probability(plan.good, plan.false_rejects_allowed, rate)


def family_side_passes(plan: WorkedPlan, slug: str, rate: float) -> float:
    """Return the exact chance that a family's own misses stay within its own rule."""
    if plan.own is not None:
        return operating_characteristic(plan.own.misses, rate).p_accept
    return acceptance_probability(plan.bad[slug], plan.family_misses_allowed[slug], rate)


def _of_group(plan: WorkedPlan, group: GroupPlan) -> list[Risk]:
    ok, bad = separated(plan)
    fails = 1 - group_risks(group, ok).group
    passes = group_risks(group, bad).group
    rates = dict.fromkeys(group.families, ATTENTIVE)
    first = group.families[0]
    alone = group_risks(group, {**rates, first: HALF_BLIND}).by_family[first]
    return [
        Risk(Scope.GROUP_FAILS, ok, fails),
        Risk(Scope.GROUP_PASSES, bad, passes, repeated_risk(passes, 2)),
        Risk(Scope.FAMILY_PASSES, HALF_BLIND, alone, repeated_risk(alone, 2)),
    ]


def _of_each(plan: WorkedPlan) -> list[Risk]:
    ok, bad = separated(plan)
    fails = max(1 - family_side_passes(plan, name, ok) for name in plan.bad)
    passes = max(family_side_passes(plan, name, bad) for name in plan.bad)
    return [
        Risk(Scope.ALONE_FAILS, ok, fails),
        Risk(Scope.ALONE_PASSES, bad, passes, repeated_risk(passes, 2)),
    ]


def separated(plan: WorkedPlan) -> tuple[float, float]:
    """Return the miss rates whose risks the plan states."""
    if plan.form is Form.SHORT_BANK:
        # Sittings of the first revisions do not hold the rates themselves.
        return SHORT_RATE_OK, SHORT_RATE_BAD
    return float(plan.p_ok), float(plan.p_bad)


@dataclass(frozen=True, slots=True)
class Curve:
    """A named curve of the chance of passing over the true miss rate, both from 0 to 1."""

    name: str
    x: tuple[float, ...]
    y: tuple[float, ...]


def passing_curve(plan: WorkedPlan, rates: Sequence[float], name: str) -> Curve:
    """Return the chance that the whole sitting passes when every family is missed at the rate."""
    group = plan.group_plan()
    if group is not None:
        y = tuple(group_risks(group, rate).group for rate in rates)
    else:
        y = tuple(min(family_side_passes(plan, f, rate) for f in plan.bad) for rate in rates)
    return Curve(name, tuple(rates), y)


def family_curve(group: GroupPlan, rates: Sequence[float], name: str) -> Curve:
    """Return the chance that one family is certified at the rate, the others missed at 1 %."""
    first = group.families[0]
    others = dict.fromkeys(group.families, ATTENTIVE)
    y = tuple(group_risks(group, {**others, first: rate}).by_family[first] for rate in rates)
    return Curve(name, tuple(rates), y)


def good_side_curve(plan: WorkedPlan, rates: Sequence[float], name: str) -> Curve:
    """Return the chance that the false-reject side is passed over the true rate."""
    return Curve(name, tuple(rates), tuple(good_side_passes(plan, rate) for rate in rates))


def minutes(plan: WorkedPlan) -> int:
    """Return about how long the sitting takes; at most, where it may be decided earlier."""
    return minutes_for(plan.total)


def minutes_for(judgements: float) -> int:
    """Return about how long so many judgements take."""
    return max(1, round(judgements * SECONDS_EACH / 60))


def length_law(plan: WorkedPlan, p_miss: float, p_false_reject: float) -> LengthLaw:
    """Return the exact law of the number of judgements at true rates, every family alike.

    Where several families are decided one by one the rare end because all of them are lost is left
    out, so the law is then an upper one.
    """
    if plan.own is not None:
        return length_when_both_decided(
            plan.own.misses, p_miss, plan.own.false_rejects, p_false_reject
        )
    allowed = plan.misses_allowed
    if allowed is None:
        alone = len(plan.bad) == 1
        allowed = min(plan.family_misses_allowed.values()) if alone else plan.total_bad
    return length_until_lost(
        plan.total_bad,
        allowed,
        p_miss,
        good=plan.good,
        false_rejects_allowed=plan.false_rejects_allowed,
        p_false_reject=p_false_reject,
        others=sum(plan.critical.values()),
        stop_when_lost=plan.stop_when_lost,
    )


@dataclass(frozen=True, slots=True)
class Length:
    """How long a sitting of somebody with this miss rate lasts: mean, and what 95 of 100 stay within."""

    rate: float
    mean: float
    most: int


def lengths(plan: WorkedPlan, rates: Sequence[float]) -> list[Length]:
    """Return the judgements of people who refuse 2 % of good parts, by their miss rate."""
    laws = [(rate, length_law(plan, rate, CAREFUL)) for rate in rates]
    return [Length(rate, law.mean, law.quantile(0.95)) for rate, law in laws]
