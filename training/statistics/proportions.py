"""Intervals for a rate of errors: what x errors in n judgements say about the true rate."""

import math
from dataclasses import dataclass

from scipy.special import betaincinv, ndtri

from training.statistics.checks import probability, whole_number


@dataclass(frozen=True)
class Interval:
    """Lower and upper end of an interval, in the unit of the quantity it is for."""

    low: float
    high: float

    @property
    def width(self) -> float:
        """Distance between the two ends."""
        return self.high - self.low

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high


def clopper_pearson(x: int, n: int, confidence: float = 0.95) -> Interval:
    """Return the exact two-sided interval for a proportion.

    Parameters
    ----------
    x : int
        Errors found, 0 <= x <= n.
    n : int
        Judgements made, at least 1.
    confidence : float, optional
        Coverage wanted, strictly between 0 and 1.

    Returns
    -------
    Interval
        Rates in [0, 1]; the low end is 0 when x = 0, the high end 1 when x = n.

    Raises
    ------
    ValueError
        For counts that are not whole, x > n, n < 1 or confidence outside (0, 1).

    Notes
    -----
    Each end leaves (1 - confidence) / 2 in its tail, also at x = 0 and x = n, so the
    interval covers the true rate at least as often as stated, usually more often
    [1]_. Meant for a fixed number of judgements, not for a sequential stop.

    References
    ----------
    .. [1] C. J. Clopper and E. S. Pearson, "The use of confidence or fiducial limits
       illustrated in the case of the binomial", Biometrika 26 (1934), 404-413.

    Examples
    --------
    One miss among 29 bad parts (Newcombe 1998, Table I: .0009 to .1776):

    >>> interval = clopper_pearson(1, 29)
    >>> round(interval.low, 4), round(interval.high, 4)
    (0.0009, 0.1776)
    """
    x, n = _counts(x, n)
    tail = (1 - _confidence(confidence)) / 2
    return Interval(_lower(x, n, tail), _upper(x, n, tail))


def wilson(x: int, n: int, confidence: float = 0.95) -> Interval:
    """Return the Wilson score interval for a proportion.

    Parameters
    ----------
    x : int
        Errors found, 0 <= x <= n.
    n : int
        Judgements made, at least 1.
    confidence : float, optional
        Coverage wanted on average, strictly between 0 and 1.

    Returns
    -------
    Interval
        Rates in [0, 1].

    Raises
    ------
    ValueError
        For counts that are not whole, x > n, n < 1 or confidence outside (0, 1).

    Notes
    -----
    Without continuity correction, method 3 of [1]_. Shorter than `clopper_pearson`;
    its coverage may fall below the stated one for single rates, hence for charts and
    not for certificates.

    References
    ----------
    .. [1] R. G. Newcombe, "Two-sided confidence intervals for the single proportion",
       Statistics in Medicine 17 (1998), 857-872.

    Examples
    --------
    >>> interval = wilson(0, 20)
    >>> interval.low, round(interval.high, 4)
    (0.0, 0.1611)
    """
    x, n = _counts(x, n)
    z = -float(ndtri((1 - _confidence(confidence)) / 2))
    centre = (x + z * z / 2) / (n + z * z)
    half = z * math.sqrt(x * (n - x) / n + z * z / 4) / (n + z * z)
    # The ends are 0 and 1 exactly there; rounding would miss them by an ulp.
    low = 0.0 if x == 0 else max(0.0, centre - half)
    high = 1.0 if x == n else min(1.0, centre + half)
    return Interval(low, high)


def upper_bound(x: int, n: int, confidence: float = 0.90) -> float:
    """Return the exact one-sided upper bound of a proportion, as certificates print it.

    Parameters
    ----------
    x : int
        Errors found, 0 <= x <= n.
    n : int
        Judgements made, at least 1.
    confidence : float, optional
        Probability with which the bound lies above the true rate, in (0, 1).

    Returns
    -------
    float
        The rate at which x errors or fewer in n have probability 1 - confidence;
        1 when x = n.

    Raises
    ------
    ValueError
        For counts that are not whole, x > n, n < 1 or confidence outside (0, 1).

    Notes
    -----
    All of 1 - confidence lies in the upper tail. Valid for a fixed number of
    judgements only: after a sequential stop say "accepted by plan" instead.

    Examples
    --------
    >>> round(upper_bound(3, 65), 4)
    0.0999
    """
    x, n = _counts(x, n)
    return _upper(x, n, 1 - _confidence(confidence))


def _lower(x: int, n: int, tail: float) -> float:
    return 0.0 if x == 0 else float(betaincinv(x, n - x + 1, tail))


def _upper(x: int, n: int, tail: float) -> float:
    # The mirrored lower end keeps full precision near 1.
    return 1.0 if x == n else 1 - float(betaincinv(n - x, x + 1, tail))


def _counts(x: int, n: int) -> tuple[int, int]:
    n = whole_number("n", n, 1, remedy="give the number of judgements, at least 1")
    x = whole_number("x", x, 0, n, remedy="errors lie between 0 and the judgements n")
    return x, n


def _confidence(confidence: float) -> float:
    return probability(
        "confidence", confidence, open_ends=True, remedy="give a share such as 0.95 for 95 %"
    )
