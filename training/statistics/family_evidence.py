"""What a person's sittings show about one family, and the block none of which may be missed."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from training.statistics.checks import distinct_names, probability, whole_number
from training.statistics.proportions import upper_bound
from training.statistics.sampling_plan import (
    acceptance_probability,
    most_errors_allowed,
    repeated_risk,
)
from training.statistics.wording import gettext_noop

SITTINGS_COUNTED = 3
LEAST_SHOWN = 24
CLAIMED_RATE = 0.20
# One in eight: 24 specimens allow 2 misses (11.5 %), 30 allow 3 (12.3 %).
CLAIM_RISK = 0.125

# A specimen is clear from this multiple of the limit on, or when presence decides.
CLEAR_SEVERITY = 1.5
LEAST_PER_FAMILY = 3
LAPSE_RATE = 0.005


@dataclass(frozen=True)
class FamilySitting:
    """Own bad specimens of one family in one sitting: how many missed of how many shown."""

    missed: int
    shown: int


class EvidenceReason(StrEnum):
    """Why a family's own claim may not be printed."""

    TOO_FEW_SHOWN = gettext_noop("too few specimens shown in the last sittings")
    TOO_MANY_MISSED = gettext_noop("too many missed in the last sittings")


@dataclass(frozen=True)
class Evidence:
    """What the last sittings show about one family.

    Attributes
    ----------
    sittings : int
        Sittings counted, at most three.
    shown, missed : int
        Their bad specimens of the family, and those missed.
    allowed : int or None
        Most misses with which the claim holds; None while too few were shown.
    separates : bool
        Whether the family's own claim may be printed.
    rate : float
        The rate of the claim: somebody missing that share would fail.
    risk : float or None
        Exact probability that somebody at that rate stays within ``allowed``.
    upper : float or None
        One-sided 90 % upper bound of the miss rate; None without specimens.
    reason : EvidenceReason or None
        Why the claim may not be printed; None when it may.
    """

    sittings: int
    shown: int
    missed: int
    allowed: int | None
    separates: bool
    rate: float
    risk: float | None
    upper: float | None
    reason: EvidenceReason | None


def accumulate(
    sittings: Sequence[FamilySitting | tuple[int, int]], rate: float = CLAIMED_RATE
) -> Evidence:
    """Return what a person's last three sittings in order show about one family.

    Parameters
    ----------
    sittings : sequence of FamilySitting or (missed, shown)
        Oldest first; all of them in the order taken, failed ones included, with
        specimens met for the first time.
    rate : float, optional
        Miss rate the claim is about, in (0, 1).

    Returns
    -------
    Evidence
        ``separates`` only with at least 24 specimens and few enough misses.

    Raises
    ------
    ValueError
        When a sitting misses more than it showed or rate is out of range.

    Notes
    -----
    Allowed is the largest number of misses that somebody at ``rate`` stays within
    with at most one in eight: 2 of 24. Taking the last three in order, never the
    best three, keeps the binomial probability exact.

    Examples
    --------
    >>> evidence = accumulate([(1, 8), (0, 8), (1, 8)])
    >>> evidence.separates, evidence.allowed, round(evidence.risk, 3)
    (True, 2, 0.115)
    """
    rate = probability("rate", rate, open_ends=True)
    counted = [_sitting(i, sitting) for i, sitting in enumerate(sittings)][-SITTINGS_COUNTED:]
    shown = sum(sitting.shown for sitting in counted)
    missed = sum(sitting.missed for sitting in counted)
    allowed = most_errors_allowed(shown, rate, CLAIM_RISK) if shown >= LEAST_SHOWN else None
    if allowed is None:
        reason: EvidenceReason | None = EvidenceReason.TOO_FEW_SHOWN
    else:
        reason = EvidenceReason.TOO_MANY_MISSED if missed > allowed else None
    return Evidence(
        sittings=len(counted),
        shown=shown,
        missed=missed,
        allowed=allowed,
        separates=reason is None,
        rate=rate,
        risk=None if allowed is None else acceptance_probability(shown, allowed, rate),
        upper=upper_bound(missed, shown) if shown else None,
        reason=reason,
    )


@dataclass(frozen=True)
class CriticalBlock:
    """Clear specimens over all critical families of a person, none of which may be missed.

    Attributes
    ----------
    n : int
        Specimens in all.
    by_family : dict of str to int
        Their share, at least three each; empty when no families were named.
    risk : float
        Exact probability that somebody missing at ``p_bad`` passes.
    risk_two_tries : float
        The same with a second try on other specimens.
    attentive, attentive_two_tries : float
        Exact probability that somebody with 0.5 % lapses passes.
    """

    n: int
    by_family: dict[str, int]
    risk: float
    risk_two_tries: float
    attentive: float
    attentive_two_tries: float


def critical_block(
    p_bad: float = 0.10, beta: float = 0.05, families: Sequence[str] = ()
) -> CriticalBlock:
    """Return the smallest block without a miss that stops somebody missing at p_bad.

    Parameters
    ----------
    p_bad : float, optional
        Miss rate on clear specimens to be stopped, in (0, 1).
    beta : float, optional
        Largest probability of passing at that rate, in (0, 1).
    families : sequence of str, optional
        The person's critical families, among which the block is shared as evenly
        as possible; more than n / 3 of them make it longer.

    Returns
    -------
    CriticalBlock
        29 specimens for 10 % and 5 %.

    Raises
    ------
    ValueError
        For rates out of range or a family named twice.

    Notes
    -----
    Least n with (1 - p_bad)^n <= beta. One block for all families, not one each:
    eight blocks of 22 would fail most attentive people once.

    Examples
    --------
    >>> block = critical_block(families=["crack", "missing clip"])
    >>> block.n, block.by_family, round(block.risk, 3)
    (29, {'crack': 15, 'missing clip': 14}, 0.047)
    """
    p_bad = probability("p_bad", p_bad, open_ends=True)
    beta = probability("beta", beta, open_ends=True)
    names = distinct_names("families", families) if families else ()
    least = math.ceil(math.log(beta) / math.log1p(-p_bad))
    n = max(least, LEAST_PER_FAMILY * len(names))
    share, rest = divmod(n, len(names)) if names else (0, 0)
    risk, attentive = (1 - p_bad) ** n, (1 - LAPSE_RATE) ** n
    return CriticalBlock(
        n=n,
        by_family={name: share + (i < rest) for i, name in enumerate(names)},
        risk=risk,
        risk_two_tries=repeated_risk(risk, 2),
        attentive=attentive,
        attentive_two_tries=repeated_risk(attentive, 2),
    )


def _sitting(index: int, sitting: FamilySitting | tuple[int, int]) -> FamilySitting:
    if not isinstance(sitting, FamilySitting):
        sitting = FamilySitting(*sitting)
    shown = whole_number(f"sittings[{index}].shown", sitting.shown)
    missed = whole_number(
        f"sittings[{index}].missed", sitting.missed, 0, shown, remedy="count misses among the shown"
    )
    return FamilySitting(missed, shown)
