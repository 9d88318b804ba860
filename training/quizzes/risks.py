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

ATTENTIVE: Final = 0.01
HALF_BLIND: Final = 0.50
RATES: Final = (0.01, 0.02, 0.05, 0.10, 0.15, 0.20, 0.30, 0.40, 0.50)
CRITICAL_RATE: Final = 0.10
# Looking, answering and the next part: assumed, common practice, no source.
SECONDS_EACH: Final = 13


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
    found = _of_group(group) if group is not None else _of_each(plan)
    false_rejects = acceptance_probability(plan.good, plan.false_rejects_allowed, 0.20)
    found.append(Risk(Scope.REFUSING_PASSES, 0.20, false_rejects))
    block = sum(plan.critical.values()) or (plan.total_bad if plan.bad_is_critical else 0)
    if block:
        passes = (1 - CRITICAL_RATE) ** block
        found.append(Risk(Scope.BLOCK_PASSES, CRITICAL_RATE, passes, repeated_risk(passes, 2)))
        found.append(Risk(Scope.BLOCK_FAILS, LAPSE_RATE, 1 - (1 - LAPSE_RATE) ** block))
    return found


def _of_group(group: GroupPlan) -> list[Risk]:
    fails = 1 - group_risks(group, 0.05).group
    passes = group_risks(group, 0.20).group
    rates = dict.fromkeys(group.families, ATTENTIVE)
    first = group.families[0]
    alone = group_risks(group, {**rates, first: HALF_BLIND}).by_family[first]
    return [
        Risk(Scope.GROUP_FAILS, 0.05, fails),
        Risk(Scope.GROUP_PASSES, 0.20, passes, repeated_risk(passes, 2)),
        Risk(Scope.FAMILY_PASSES, HALF_BLIND, alone, repeated_risk(alone, 2)),
    ]


def _of_each(plan: WorkedPlan) -> list[Risk]:
    ok, bad = (SHORT_RATE_OK, SHORT_RATE_BAD) if plan.form is Form.SHORT_BANK else (0.05, 0.20)
    numbers = [(plan.bad[name], allowed) for name, allowed in plan.family_misses_allowed.items()]
    fails = max(1 - acceptance_probability(n, c, ok) for n, c in numbers)
    passes = max(acceptance_probability(n, c, bad) for n, c in numbers)
    return [
        Risk(Scope.ALONE_FAILS, ok, fails),
        Risk(Scope.ALONE_PASSES, bad, passes, repeated_risk(passes, 2)),
    ]


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
        numbers = [(plan.bad[f], c) for f, c in plan.family_misses_allowed.items()]
        y = tuple(min(acceptance_probability(n, c, rate) for n, c in numbers) for rate in rates)
    return Curve(name, tuple(rates), y)


def family_curve(group: GroupPlan, rates: Sequence[float], name: str) -> Curve:
    """Return the chance that one family is certified at the rate, the others missed at 1 %."""
    first = group.families[0]
    others = dict.fromkeys(group.families, ATTENTIVE)
    y = tuple(group_risks(group, {**others, first: rate}).by_family[first] for rate in rates)
    return Curve(name, tuple(rates), y)


def minutes(plan: WorkedPlan) -> int:
    """Return about how long the sitting takes."""
    return max(1, round(plan.total * SECONDS_EACH / 60))
