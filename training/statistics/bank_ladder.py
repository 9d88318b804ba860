"""Which plan the specimens of one family allow: the best that fits, down to none."""

from dataclasses import dataclass
from enum import StrEnum

from training.statistics.checks import whole_number
from training.statistics.sampling_plan import acceptance_probability
from training.statistics.wording import gettext_noop

LEAST_FRESH = 8
# The short plan: 12 with 1 missed separates 2 % from 29 %.
SHORT_N = 12
SHORT_RATE_OK = 0.02
SHORT_RATE_BAD = 0.29
SHORT_RISK = 0.10
SHORT_VALID_MONTHS = 6
SHORT_PLANTED_PARTS = 10


class BankStep(StrEnum):
    """Steps of the ladder, best first."""

    OWN = gettext_noop("own plan")
    GROUP = gettext_noop("group plan")
    SHORT = gettext_noop("short-bank plan")
    NONE = gettext_noop("not examinable yet")


@dataclass(frozen=True)
class BankPlan:
    """The best plan that one family's specimens allow, always shown with its price.

    Attributes
    ----------
    step : BankStep
        Where on the ladder.
    bad : int
        Bad specimens one sitting draws.
    misses_allowed : int or None
        Of the short plan; the own and the group plan carry their own numbers.
    seen_share : float
        Least share of the draw the person has met before.
    alpha, beta : float or None
        Exact risks of the short plan at 2 % and 29 %.
    wanted : int
        Fresh bad specimens still wanted to be examined at all; 0 from the short plan on.
    wanted_for_next : int
        Specimens still wanted for the next step up; 0 at the top.
    valid_months : int or None
        Shorter validity of the certificate; None for the usual one.
    planted_parts : int or None
        Planted parts of the observed check, when raised.
    """

    step: BankStep
    bad: int
    misses_allowed: int | None
    seen_share: float
    alpha: float | None
    beta: float | None
    wanted: int
    wanted_for_next: int
    valid_months: int | None
    planted_parts: int | None


def best_plan_for_bank(
    fresh: int,
    in_window: int,
    *,
    own_plan_cap: int | None = None,
    per_family: int = LEAST_FRESH,
    in_pool: int | None = None,
) -> BankPlan:
    """Return the best plan for which a family holds enough bad specimens for one person.

    Parameters
    ----------
    fresh : int
        Bad specimens of the exam pool the person may be shown now, at least 0.
    in_window : int
        Those that are fresh now or become so within the freshness window, at least
        fresh: what the next sitting will find.
    own_plan_cap : int, optional
        Largest number of bad specimens the family's own plan may ask for; None
        where no own plan is wanted.
    per_family : int, optional
        Bad specimens the group plan draws from this family, at least 8.
    in_pool : int, optional
        All bad specimens of the exam pool, those met before included, at least
        in_window (which is the default).

    Returns
    -------
    BankPlan
        Own plan with twice its cap fresh; group plan with a draw fresh now and two in
        the window; signed short plan with 8 fresh; otherwise none, with the wanted
        number.

    Raises
    ------
    ValueError
        For counts that are negative or out of order.

    Notes
    -----
    The short plan draws 12, fresh ones first, and allows 1 miss. Where the pool holds
    fewer than 12 it draws what there is and allows as many as still stop somebody who
    misses 29 % with 90 %: none below 12.

    Examples
    --------
    >>> plan = best_plan_for_bank(3, 3)
    >>> plan.step, plan.wanted
    (<BankStep.NONE: 'not examinable yet'>, 5)
    """
    fresh = whole_number("fresh", fresh)
    in_window = whole_number("in_window", in_window, fresh, remedy="it includes the fresh ones")
    pool = in_window if in_pool is None else in_pool
    pool = whole_number("in_pool", pool, in_window, remedy="it includes those in the window")
    per_family = whole_number("per_family", per_family, LEAST_FRESH)
    own = None if own_plan_cap is None else 2 * whole_number("own_plan_cap", own_plan_cap, 1)
    if own is not None and fresh >= own:
        return _unpriced(BankStep.OWN, own // 2, 0)
    if fresh >= per_family and in_window >= 2 * per_family:
        return _unpriced(BankStep.GROUP, per_family, 0 if own is None else own - fresh)
    if fresh >= LEAST_FRESH:
        lacking = max(per_family - fresh, 2 * per_family - in_window)
        return _short(fresh, pool, lacking)
    wanted = LEAST_FRESH - fresh
    return BankPlan(BankStep.NONE, 0, None, 0.0, None, None, wanted, wanted, None, None)


def _unpriced(step: BankStep, bad: int, wanted_for_next: int) -> BankPlan:
    return BankPlan(step, bad, None, 0.0, None, None, 0, wanted_for_next, None, None)


def _short(fresh: int, pool: int, wanted_for_next: int) -> BankPlan:
    bad = min(SHORT_N, pool)
    allowed = int(acceptance_probability(bad, 1, SHORT_RATE_BAD) <= SHORT_RISK)
    return BankPlan(
        step=BankStep.SHORT,
        bad=bad,
        misses_allowed=allowed,
        seen_share=max(0, bad - fresh) / bad,
        alpha=1 - acceptance_probability(bad, allowed, SHORT_RATE_OK),
        beta=acceptance_probability(bad, allowed, SHORT_RATE_BAD),
        wanted=0,
        wanted_for_next=wanted_for_next,
        valid_months=SHORT_VALID_MONTHS,
        planted_parts=SHORT_PLANTED_PARTS,
    )
