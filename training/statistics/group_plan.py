"""The exam of look-alike families together: one rule for the group, a floor for each family.

Constants without a source beside them come from the project's own study of group plans.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from scipy.special import gammaln, xlog1py, xlogy

from training.statistics.bank_ladder import best_plan_for_bank
from training.statistics.checks import (
    FloatArray,
    distinct_names,
    one_for_each,
    probability,
    whole_number,
)
from training.statistics.family_evidence import accumulate, critical_block
from training.statistics.sampling_plan import (
    acceptance_probability,
    checked_risks,
    design_plan,
    most_errors_allowed,
    rate_on_fresh,
)
from training.statistics.wording import gettext_noop

__all__ = [
    "GroupDecision",
    "GroupPlan",
    "GroupRisks",
    "GroupVerdict",
    "accumulate",
    "best_plan_for_bank",
    "critical_block",
    "decide_group",
    "design_group_plan",
    "group_lost",
    "group_risks",
    "tighten_group_plan",
]

LEAST_PER_FAMILY = 8
# Somebody who misses half of one family's specimens passes its floor with at most this.
BLIND_RATE = 0.5
BLIND_RISK = 0.05
GOOD_SPECIMENS = 30
FALSE_REJECTS_ALLOWED = 3
# Up to this share of specimens seen before a plan stands; beyond the second it must not be used.
SEEN_SHARE_IGNORED = 0.10
SEEN_SHARE_REFUSED = 0.30


@dataclass(frozen=True)
class GroupPlan:
    """Numbers of specimens and the errors allowed, for a group and for each family in it.

    Attributes
    ----------
    families : tuple of str
        Names in the order in which rates and misses are given.
    per_family : int
        Bad specimens of each family.
    misses_allowed : int
        Most misses over the whole group.
    family_misses_allowed : int
        Most misses among a family's own specimens: its floor.
    good : int
        Good specimens of the group.
    false_rejects_allowed : int
        Most good specimens rejected.
    alpha, beta : float
        Exact risks of the group's miss rule when every family is missed at p_ok, p_bad.
    """

    families: tuple[str, ...]
    per_family: int
    misses_allowed: int
    family_misses_allowed: int
    good: int
    false_rejects_allowed: int
    alpha: float
    beta: float

    @property
    def bad(self) -> int:
        """Bad specimens of the group."""
        return self.per_family * len(self.families)


@dataclass(frozen=True)
class GroupRisks:
    """Exact probabilities of passing: each family certified, all of them, the group alone."""

    by_family: dict[str, float]
    all_families: float
    group: float


class GroupVerdict(StrEnum):
    """Why a family is certified or not."""

    CERTIFIED = gettext_noop("certified")
    GROUP_MISSES = gettext_noop("too many misses in the group")
    GROUP_FALSE_REJECTS = gettext_noop("too many good specimens rejected")
    FAMILY_MISSES = gettext_noop("too many misses in this family")


@dataclass(frozen=True)
class GroupDecision:
    """Outcome of a finished sitting: the group's, and a verdict for every family."""

    passed: bool
    verdicts: dict[str, GroupVerdict]
    misses: int
    false_rejects: int

    @property
    def certified(self) -> tuple[str, ...]:
        """Names of the families certified, in plan order."""
        return tuple(f for f, v in self.verdicts.items() if v is GroupVerdict.CERTIFIED)


def design_group_plan(
    families: int | Sequence[str],
    p_ok: float = 0.05,
    p_bad: float = 0.20,
    alpha: float = 0.05,
    beta: float = 0.10,
    *,
    good: int = GOOD_SPECIMENS,
    false_rejects_allowed: int = FALSE_REJECTS_ALLOWED,
) -> GroupPlan:
    """Return the plan by which look-alike families are examined together.

    Parameters
    ----------
    families : int or sequence of str
        How many families, at least 1, or their names, all different. Four to six is
        what the plan is meant for; merge smaller groups where the person's needs allow.
    p_ok, p_bad : float, optional
        Miss rates the group rule separates, 0 < p_ok < p_bad < 1.
    alpha, beta : float, optional
        Largest risk of failing at p_ok and of passing at p_bad over the whole group.
    good : int, optional
        Good specimens, at least 1.
    false_rejects_allowed : int, optional
        Most of them rejected, 0 to good - 1.

    Returns
    -------
    GroupPlan
        With every family at p_ok or p_bad the group rule keeps alpha and beta exactly.

    Raises
    ------
    ValueError
        For no family, names used twice, rates out of order or counts out of range.

    Notes
    -----
    Specimens per family: the fixed plan's number divided by the families, rounded up,
    at least 8; then the most misses that still keep beta, with one specimen more per
    family until alpha is kept as well. The floor is the largest number that somebody
    who misses half of a family stays within with at most 5 %; for 8 to 12 specimens
    it is 1 or 2, and 1 for the usual 8 and 10.

    Examples
    --------
    >>> plan = design_group_plan(5)
    >>> plan.per_family, plan.bad, plan.misses_allowed, plan.family_misses_allowed
    (8, 40, 4, 1)
    """
    names = _family_names(families)
    p_ok, p_bad, alpha, beta = checked_risks(p_ok, p_bad, alpha, beta)
    good = whole_number("good", good, 1)
    allowed = whole_number("false_rejects_allowed", false_rejects_allowed, 0, good - 1)
    count = len(names)
    per_family = max(LEAST_PER_FAMILY, math.ceil(design_plan(p_ok, p_bad, alpha, beta).n / count))
    while True:
        bad = per_family * count
        c = _most_misses(bad, p_bad, beta)
        real_alpha = 1 - acceptance_probability(bad, c, p_ok)
        if real_alpha <= alpha:
            break
        per_family += 1
    floor = min(c, _most_misses(per_family, BLIND_RATE, BLIND_RISK))
    real_beta = acceptance_probability(bad, c, p_bad)
    return GroupPlan(names, per_family, c, floor, good, allowed, real_alpha, real_beta)


def tighten_group_plan(
    plan: GroupPlan,
    seen_share: float,
    p_ok: float = 0.05,
    p_bad: float = 0.20,
    beta: float = 0.10,
) -> GroupPlan:
    """Return the plan for a draw of which the person has met a share before.

    Parameters
    ----------
    plan : GroupPlan
        As designed for fresh specimens.
    seen_share : float
        Share of the draw met before, 0 to 0.30.
    p_ok, p_bad, beta : float, optional
        The figures the plan was designed for.

    Returns
    -------
    GroupPlan
        The same up to a share of 10 %; beyond, as many specimens with fewer misses
        allowed, so that beta holds for the fresh ones. ``alpha`` states what the
        tighter rule costs somebody at p_ok who remembers nothing.

    Raises
    ------
    ValueError
        Beyond 30 %: use the short-bank plan; or when no number of misses keeps beta.

    Examples
    --------
    >>> tighten_group_plan(design_group_plan(5), 0.25).misses_allowed
    2
    """
    share = probability("seen_share", seen_share)
    p_ok, p_bad, _, beta = checked_risks(p_ok, p_bad, 0.05, beta)
    if share > SEEN_SHARE_REFUSED:
        raise ValueError(
            f"seen_share is {share:g}, above {SEEN_SHARE_REFUSED:g}: use the short-bank plan "
            "or wait for fresh specimens."
        )
    if share <= SEEN_SHARE_IGNORED:
        return plan
    seeming = rate_on_fresh(p_bad, share)
    c = min(plan.misses_allowed, _most_misses(plan.bad, seeming, beta))
    return replace(
        plan,
        misses_allowed=c,
        family_misses_allowed=min(c, plan.family_misses_allowed),
        alpha=1 - acceptance_probability(plan.bad, c, p_ok),
        beta=acceptance_probability(plan.bad, c, seeming),
    )


def group_risks(
    plan: GroupPlan,
    rates_by_family: float | Sequence[float] | Mapping[str, float],
    false_reject_rate: float = 0.0,
) -> GroupRisks:
    """Return the exact probabilities that each family, all families and the group pass.

    Parameters
    ----------
    plan : GroupPlan
        The plan of the sitting.
    rates_by_family : float, sequence of float or mapping of str to float
        True miss rate of each family in [0, 1]: one for all, in plan order, or by name.
    false_reject_rate : float, optional
        True rate of rejecting good specimens; 0 leaves that side out.

    Returns
    -------
    GroupRisks
        Probabilities in [0, 1].

    Raises
    ------
    ValueError
        For a rate out of range, a family left out or one the plan does not hold.

    Notes
    -----
    Misses of different families are independent binomials; their totals within the
    floors are convolved, so the figures are exact.

    Examples
    --------
    >>> risks = group_risks(design_group_plan(5), 0.05)
    >>> round(risks.by_family["1"], 3), round(risks.all_families, 3)
    (0.909, 0.743)
    """
    rates = _rates(plan, rates_by_family)
    good_side = acceptance_probability(
        plan.good, plan.false_rejects_allowed, probability("false_reject_rate", false_reject_rate)
    )
    free = [_chances(plan.per_family, rate) for rate in rates]
    floored = [pmf[: plan.family_misses_allowed + 1] for pmf in free]

    def passing(parts: list[FloatArray]) -> float:
        total = np.ones(1)
        for part in parts:
            total = np.convolve(total, part)[: plan.misses_allowed + 1]
        return min(1.0, float(total.sum())) * good_side

    by_family = {
        name: passing([floored[i] if j == i else pmf for j, pmf in enumerate(free)])
        for i, name in enumerate(plan.families)
    }
    return GroupRisks(by_family, all_families=passing(floored), group=passing(free))


def group_lost(plan: GroupPlan, misses: int, false_rejects: int) -> bool:
    """Return whether a running sitting can no longer pass: the only early stop.

    Raises
    ------
    ValueError
        For counts below 0 or beyond the plan's specimens.
    """
    misses = whole_number("misses", misses, 0, plan.bad)
    false_rejects = whole_number("false_rejects", false_rejects, 0, plan.good)
    return misses > plan.misses_allowed or false_rejects > plan.false_rejects_allowed


def decide_group(
    plan: GroupPlan, missed_by_family: Sequence[int] | Mapping[str, int], false_rejects: int
) -> GroupDecision:
    """Return who passes after a sitting that was finished or is lost.

    Parameters
    ----------
    plan : GroupPlan
        The plan of the sitting.
    missed_by_family : sequence of int or mapping of str to int
        Own bad specimens missed, 0 to per_family each, in plan order or by name.
    false_rejects : int
        Good specimens rejected, 0 to good.

    Returns
    -------
    GroupDecision
        A failed family does not stop the others of a passed group; a lost group
        certifies none.

    Raises
    ------
    ValueError
        For counts out of range, a family left out or one the plan does not hold.

    Examples
    --------
    >>> plan = design_group_plan(["flash", "burr", "short shot", "sink"])
    >>> decide_group(plan, [0, 2, 1, 0], false_rejects=1).certified
    ('flash', 'short shot', 'sink')
    """
    missed = {
        name: whole_number(f"missed_by_family[{name!r}]", value, 0, plan.per_family)
        for name, value in one_for_each("missed_by_family", plan.families, missed_by_family).items()
    }
    misses = sum(missed.values())
    passed = not group_lost(plan, misses, false_rejects)
    verdicts = {}
    for name, own in missed.items():
        if misses > plan.misses_allowed:
            verdicts[name] = GroupVerdict.GROUP_MISSES
        elif not passed:
            verdicts[name] = GroupVerdict.GROUP_FALSE_REJECTS
        elif own > plan.family_misses_allowed:
            verdicts[name] = GroupVerdict.FAMILY_MISSES
        else:
            verdicts[name] = GroupVerdict.CERTIFIED
    return GroupDecision(passed, verdicts, misses, int(false_rejects))


def _most_misses(n: int, p_bad: float, beta: float) -> int:
    c = most_errors_allowed(n, p_bad, beta)
    if c is None:
        raise ValueError(
            f"{n} specimens cannot keep beta {beta:g} at p_bad {p_bad:g}, even with no error "
            "allowed; take more specimens."
        )
    return c


def _chances(n: int, p: float) -> FloatArray:
    """Return the binomial probabilities of 0 to n misses."""
    k = np.arange(n + 1)
    ways = gammaln(n + 1) - gammaln(k + 1) - gammaln(n - k + 1)
    # scipy.stats.binom overflows at rates near the smallest floating-point number.
    return np.exp(ways + xlogy(k, p) + xlog1py(n - k, -p))


def _family_names(families: int | Sequence[str]) -> tuple[str, ...]:
    if isinstance(families, Sequence):
        return distinct_names("families", families)
    count = whole_number("families", families, 1, remedy="give at least one family")
    return tuple(str(i + 1) for i in range(count))


def _rates(plan: GroupPlan, rates: float | Sequence[float] | Mapping[str, float]) -> list[float]:
    if not isinstance(rates, Mapping | Sequence | np.ndarray):
        return [probability("rates_by_family", rates)] * len(plan.families)
    named = one_for_each("rates_by_family", plan.families, rates)
    return [probability(f"rates_by_family[{name!r}]", rate) for name, rate in named.items()]
