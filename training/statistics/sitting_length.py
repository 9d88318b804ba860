"""How long a sitting lasts whose specimens come in one random order: exact mean and quantiles."""

from dataclasses import dataclass

import numpy as np
from scipy.stats import binom, hypergeom

from training.statistics.checks import FloatArray, probability, whole_number
from training.statistics.sampling_plan import DecisionTable
from training.statistics.sequential_plan import stopping_probabilities


@dataclass(frozen=True)
class LengthLaw:
    """The law of the number of judgements of a sitting.

    Attributes
    ----------
    ended : ndarray, shape (cap + 1,)
        Element t is the chance that the sitting has ended after t judgements; the
        last one is 1.
    """

    ended: FloatArray

    @property
    def cap(self) -> int:
        """Most judgements."""
        return int(self.ended.size) - 1

    @property
    def mean(self) -> float:
        """Mean number of judgements."""
        return float((1 - self.ended[:-1]).sum())

    def quantile(self, q: float) -> int:
        """Return the number of judgements that a share q of sittings does not exceed.

        Raises
        ------
        ValueError
            When q is not in (0, 1].
        """
        q = probability("q", q)
        if q == 0:
            raise ValueError("q is 0; give a share of sittings above 0, such as 0.95.")
        # Rounding must not push a share of 1 past the last judgement.
        return int(np.argmax(self.ended >= q - 1e-12))


def length_when_both_decided(
    misses: DecisionTable, p_miss: float, false_rejects: DecisionTable, p_false_reject: float
) -> LengthLaw:
    """Return the law of a sitting that ends when both sides are decided.

    Parameters
    ----------
    misses, false_rejects : DecisionTable
        Plans of the bad and of the good specimens; as many of each are drawn as the
        plan's cap and all of them put into one random order.
    p_miss, p_false_reject : float
        True error rates on either side, in [0, 1].

    Returns
    -------
    LengthLaw

    Raises
    ------
    ValueError
        When a rate is out of range.

    Notes
    -----
    A side that is decided goes on unscored until the other is decided too. Of the
    first t specimens a hypergeometric number is bad; given that number the sides are
    independent, so the sum over it is exact.

    Examples
    --------
    >>> from training.statistics.sequential_plan import design_sequential
    >>> table = design_sequential(0.02, 0.10, 0.05, 0.10)
    >>> law = length_when_both_decided(table, 0.008, table, 0.0056)
    >>> round(law.mean, 1), law.quantile(0.95), law.cap
    (73.8, 126, 182)
    """
    bad_side, good_side = (
        np.cumsum(np.sum(stopping_probabilities(table, rate), axis=0))
        for table, rate in ((misses, p_miss), (false_rejects, p_false_reject))
    )
    ended = _mixed(bad_side, good_side)
    ended[-1] = 1.0
    return LengthLaw(np.minimum(ended, 1.0))


def length_until_lost(
    bad: int,
    misses_allowed: int,
    p_miss: float,
    *,
    good: int,
    false_rejects_allowed: int,
    p_false_reject: float,
    others: int = 0,
    stop_when_lost: bool = True,
) -> LengthLaw:
    """Return the law of a sitting with fixed numbers that ends early only when it is lost.

    Parameters
    ----------
    bad, good, others : int
        Specimens of either side, and those that decide neither, such as the critical
        block; all of them in one random order.
    misses_allowed, false_rejects_allowed : int
        With more errors than this on one side the sitting is lost.
    p_miss, p_false_reject : float
        True error rates, in [0, 1].
    stop_when_lost : bool, optional
        Whether the sitting ends there; otherwise all specimens are shown.

    Returns
    -------
    LengthLaw

    Raises
    ------
    ValueError
        For counts that are not whole or negative, or a rate out of range.

    Notes
    -----
    Exact: multivariate hypergeometric numbers of each kind, independent binomial
    errors given them.

    Examples
    --------
    >>> law = length_until_lost(
    ...     40, 4, 0.05, good=30, false_rejects_allowed=3, p_false_reject=0.02
    ... )
    >>> law.cap, round(law.mean, 1)
    (70, 69.3)
    """
    bad = whole_number("bad", bad, 0)
    good = whole_number("good", good, 0)
    others = whole_number("others", others, 0)
    total = bad + good + others
    ended = np.zeros(total + 1)
    if stop_when_lost:
        bad_holds = _holds(bad, misses_allowed, probability("p_miss", p_miss))
        good_holds = _holds(
            good, false_rejects_allowed, probability("p_false_reject", p_false_reject)
        )
        rest_holds = _mixed(good_holds, np.ones(others + 1))
        ended = 1 - _mixed(bad_holds, rest_holds)
    ended[-1] = 1.0
    return LengthLaw(np.clip(ended, 0.0, 1.0))


def _holds(n: int, allowed: int, p: float) -> FloatArray:
    """Return the chance of at most so many errors after 0 to n judgements."""
    return np.asarray(binom.cdf(allowed, np.arange(n + 1), p), dtype=float)


def _mixed(first: FloatArray, second: FloatArray) -> FloatArray:
    """Return the mean of first[k] second[t - k] over the first t of a random order.

    ``first`` and ``second`` hold one value for each number of their kind shown, from 0
    to all of them.
    """
    m, n = first.size - 1, second.size - 1
    mean = np.empty(m + n + 1)
    for t in range(m + n + 1):
        k = np.arange(max(0, t - n), min(m, t) + 1)
        mean[t] = hypergeom.pmf(k, m + n, m, t) @ (first[k] * second[t - k])
    return mean
