"""Classical item analysis: proportion right, discrimination, reliability."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import special

from training.statistics.checks import (
    BoolArray,
    FloatArray,
    IntArray,
    matrix01,
    probability,
    real_number,
    whole_number,
)
from training.statistics.proportions import Interval
from training.statistics.wording import Wording, gettext_noop

LEAST_PERSONS = 3
# Sums of squares below this are round-off of a variable that does not vary.
NO_SPREAD = 1e-12


@dataclass(frozen=True)
class Reliability:
    """How well the number right orders persons; every part is None with a reason.

    Attributes
    ----------
    alpha : float or None
        Cronbach's alpha; for answers of 0 and 1 it is Kuder and Richardson's
        formula 20.
    alpha_if_deleted : tuple of float or None, one per item
        Alpha of the other items.
    kr21 : float or None
        Kuder and Richardson's formula 21, which takes all items as equally hard.
    sem_population, sem_sample : float or None
        Standard error of measurement in items, from the standard deviation of scores
        with divisor n, or n - 1.
    score_mean, score_sd_sample : float or None
        Mean and standard deviation (divisor n - 1) of the number right.
    reason : Wording or None
        Why the rest is None.
    """

    alpha: float | None
    alpha_if_deleted: tuple[float | None, ...]
    kr21: float | None
    sem_population: float | None
    sem_sample: float | None
    score_mean: float | None
    score_sd_sample: float | None
    reason: Wording | None


@dataclass(frozen=True)
class ClassicalAnalysis:
    """What a table of right and wrong answers says of its items and of the whole.

    Attributes
    ----------
    answered, right : ndarray of int, shape (items,)
    proportion : tuple of float or None
        Share right of those who answered; None for an item nobody answered.
    point_biserial : tuple of float or None
        Correlation of the item with the score of all items, the item included.
    corrected_point_biserial : tuple of float or None
        Correlation with the score of the other items; the one to show.
    reliability : Reliability
        Alpha (KR-20), KR-21 and standard error of measurement.
    """

    answered: IntArray
    right: IntArray
    proportion: tuple[float | None, ...]
    point_biserial: tuple[float | None, ...]
    corrected_point_biserial: tuple[float | None, ...]
    reliability: Reliability

    @property
    def alpha(self) -> float | None:
        """Cronbach's alpha."""
        return self.reliability.alpha

    @property
    def kr20(self) -> float | None:
        """Kuder and Richardson's formula 20: alpha for answers of 0 and 1."""
        return self.reliability.alpha

    @property
    def kr21(self) -> float | None:
        """Kuder and Richardson's formula 21."""
        return self.reliability.kr21

    @property
    def sem(self) -> float | None:
        """Standard error of measurement with the sample standard deviation."""
        return self.reliability.sem_sample

    @property
    def reason(self) -> Wording | None:
        """Why there is no reliability."""
        return self.reliability.reason


def classical_analysis(
    answers: npt.ArrayLike, seen: npt.ArrayLike | None = None
) -> ClassicalAnalysis:
    """Describe items and test as classical test theory does.

    Parameters
    ----------
    answers : array_like, shape (persons, items)
        1 for right, 0 for wrong; cells not seen may hold anything.
    seen : array_like, shape (persons, items), optional
        1 where answered; everything when None. With gaps, correlations use each
        person's share right of the (other) items seen, and alpha is None.

    Returns
    -------
    ClassicalAnalysis
        A correlation is None where fewer than three persons answered or one of the two
        variables does not vary.

    Raises
    ------
    ValueError
        When a seen cell holds anything but 0 and 1, shapes differ, or the table is
        empty.

    Notes
    -----
    KR-20 is k/(k-1) (1 - sum(p q)/var) with the variance of scores of divisor n, as
    p q has divisor n too; dividing by n - 1 on one side only is a common slip. KR-21
    is k/(k-1) (1 - M (k - M)/(k var)), M the mean score. The standard error of
    measurement is sd sqrt(1 - alpha). Formulas: Kuder and Richardson (1937,
    Psychometrika 2); Cronbach (1951, Psychometrika 16); both from memory.

    Examples
    --------
    >>> found = classical_analysis([[1, 1, 1], [1, 1, 0], [1, 0, 0], [0, 0, 0]])
    >>> found.proportion, found.alpha
    ((0.75, 0.5, 0.25), 0.75)
    """
    mask = None if seen is None else matrix01("seen", seen)
    table = matrix01("answers", answers, mask)
    if table.size == 0:
        raise ValueError("answers is empty; give at least one person and one item.")
    shown = np.ones(table.shape) if mask is None else mask
    answered, right = shown.sum(axis=0), table.sum(axis=0)
    items = range(table.shape[1])
    return ClassicalAnalysis(
        answered=answered.astype(np.int64),
        right=right.astype(np.int64),
        proportion=tuple(float(right[i] / answered[i]) if answered[i] else None for i in items),
        point_biserial=tuple(_item_total(table, shown, i, corrected=False) for i in items),
        corrected_point_biserial=tuple(_item_total(table, shown, i, corrected=True) for i in items),
        reliability=_reliability(table, shown),
    )


def alpha_interval(alpha: float, items: int, persons: int, confidence: float = 0.95) -> Interval:
    """Give the interval of Cronbach's alpha.

    Parameters
    ----------
    alpha : float
        Estimate, below 1.
    items, persons : int
        At least 2 each.
    confidence : float, optional
        In (0, 1).

    Returns
    -------
    Interval
        The lower end may be negative.

    Raises
    ------
    ValueError
        When an argument is out of range.

    Notes
    -----
    Feldt (1965, Psychometrika 30; from memory): (1 - alpha_hat)/(1 - alpha) follows an
    F distribution with persons - 1 and (persons - 1)(items - 1) degrees of freedom.

    Examples
    --------
    >>> interval = alpha_interval(0.85, items=7, persons=89)
    >>> round(interval.low, 4), round(interval.high, 4)
    (0.7971, 0.8932)
    """
    estimate = real_number("alpha", alpha, high=1.0)
    whole_number("items", items, 2)
    whole_number("persons", persons, 2)
    tail = (1.0 - probability("confidence", confidence, open_ends=True)) / 2.0
    freedom = persons - 1, (persons - 1) * (items - 1)
    low, high = (1.0 - (1.0 - estimate) * special.fdtri(*freedom, p) for p in (1.0 - tail, tail))
    return Interval(float(low), float(high))


def _item_total(
    table: FloatArray, shown: FloatArray, item: int, *, corrected: bool
) -> float | None:
    """Correlate an item with the share right of all items, or of the others."""
    score, count = table.sum(axis=1), shown.sum(axis=1)
    if corrected:
        score, count = score - table[:, item], count - shown[:, item]
    rows: BoolArray = (shown[:, item] > 0) & (count > 0)
    if rows.sum() < LEAST_PERSONS:
        return None
    own = table[rows, item] - table[rows, item].mean()
    other = score[rows] / count[rows]
    other = other - other.mean()
    spread_own, spread_other = float(own @ own), float(other @ other)
    if min(spread_own, spread_other) < NO_SPREAD:
        return None
    return float(own @ other) / math.sqrt(spread_own * spread_other)


def _reliability(table: FloatArray, shown: FloatArray) -> Reliability:
    persons, items = table.shape
    reason = _why_no_reliability(table, shown)
    if reason is not None:
        return Reliability(None, (None,) * items, None, None, None, None, None, reason)
    score = table.sum(axis=1)
    mean, variance = float(score.mean()), float(score.var())
    alpha = _alpha(table)
    sample_sd = math.sqrt(variance * persons / (persons - 1))
    unexplained = math.sqrt(1.0 - alpha) if alpha is not None else None
    deleted = [_alpha(np.delete(table, item, axis=1)) for item in range(items)]
    return Reliability(
        alpha=alpha,
        alpha_if_deleted=tuple(deleted),
        kr21=items / (items - 1) * (1.0 - mean * (items - mean) / (items * variance)),
        sem_population=None if unexplained is None else math.sqrt(variance) * unexplained,
        sem_sample=None if unexplained is None else sample_sd * unexplained,
        score_mean=mean,
        score_sd_sample=sample_sd,
        reason=None,
    )


def _alpha(table: FloatArray) -> float | None:
    items: int = table.shape[1]
    variance = float(table.sum(axis=1).var())
    if items < 2 or variance < NO_SPREAD:
        return None
    share = table.mean(axis=0)
    # Never above 1 in theory; round-off may lift it there when all items agree.
    unshared = float((share * (1.0 - share)).sum()) / variance
    return min(1.0, items / (items - 1) * (1.0 - unshared))


def _why_no_reliability(table: FloatArray, shown: FloatArray) -> Wording | None:
    missing = int(shown.size - shown.sum())
    if missing:
        return Wording(
            gettext_noop(
                "Reliability needs an answer of every person to every item; "
                "%(missing)d of %(cells)d answers are missing."
            ),
            missing=missing,
            cells=shown.size,
        )
    if table.shape[1] < 2:
        return Wording(gettext_noop("Reliability needs at least two items."))
    if table.shape[0] < 2:
        return Wording(gettext_noop("Reliability needs at least two persons."))
    if float(table.sum(axis=1).var()) < NO_SPREAD:
        return Wording(gettext_noop("All persons have the same score: reliability is undefined."))
    return None
