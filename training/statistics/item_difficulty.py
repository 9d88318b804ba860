"""How hard a specimen is: shrunken proportion right, Rasch difficulty, classical figures."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt
from scipy import special

from training.statistics.checks import FloatArray, IntArray
from training.statistics.classical_analysis import (
    ClassicalAnalysis,
    Reliability,
    alpha_interval,
    classical_analysis,
)
from training.statistics.counts import right_of_answered
from training.statistics.rasch import RaschFit, expected_score, fit_rasch, severity_covariates
from training.statistics.wording import Wording, gettext_noop

__all__ = [
    "Band",
    "ClassicalAnalysis",
    "Precision",
    "RaschFit",
    "Reliability",
    "ShrunkenProportion",
    "alpha_interval",
    "classical_analysis",
    "expected_score",
    "fit_rasch",
    "severity_covariates",
    "shrunken_proportion",
]

# Answers an item needs before its difficulty is shown as a band, as a number, and
# before items are ranked: with 8 answers three quarters of pairs 1 logit apart stand in
# the right order, with 20 six in seven, with 30 nine in ten (own study, simulation).
BAND_FROM, NUMBER_FROM, RANK_FROM = 8, 20, 30
# A difficulty with a larger standard error does not choose items.
LARGEST_SE_TO_CHOOSE = 0.6
# Edges of the bands in proportion right; common practice, no source.
HARD_BELOW, EASY_FROM = 0.75, 0.90
LEAST_WEIGHT, MOST_WEIGHT = 2.0, 100.0


class Precision(StrEnum):
    """How much of a difficulty the answers allow to show."""

    TOO_FEW = "too few"
    BAND = "band"
    NUMBER = "number"
    RANK = "rank"


class Band(StrEnum):
    """Difficulty in three steps."""

    EASY = "easy"
    MEDIUM = "medium"
    HARD = "hard"


@dataclass(frozen=True)
class ShrunkenProportion:
    """Proportions right of a bank's items, each drawn towards the bank's.

    Attributes
    ----------
    proportion : ndarray, shape (items,)
        Posterior mean.
    low, high : ndarray, shape (items,)
        Central 95 % of the posterior.
    bank_proportion : float
        Proportion right over all items, in (0, 1).
    weight : float
        Answers the bank's proportion is worth, 2 to 100.
    answered : ndarray of int, shape (items,)
    precision : tuple of Precision
    band : tuple of Band or None
        None below 8 answers.
    reason : tuple of Wording or None
        Why nothing is to be shown of an item.
    """

    proportion: FloatArray
    low: FloatArray
    high: FloatArray
    bank_proportion: float
    weight: float
    answered: IntArray
    precision: tuple[Precision, ...]
    band: tuple[Band | None, ...]
    reason: tuple[Wording | None, ...]


def shrunken_proportion(right: npt.ArrayLike, answered: npt.ArrayLike) -> ShrunkenProportion:
    """Estimate the proportion right of each item from few answers.

    Parameters
    ----------
    right, answered : array_like of int, shape (items,)
        First answers only; items without answers are allowed.

    Returns
    -------
    ShrunkenProportion

    Raises
    ------
    ValueError
        For negative numbers, fractions, NaN, more right than answered, or no items.

    Notes
    -----
    Each proportion has a Beta prior with the bank's proportion as mean and a weight
    found by moments (Kleinman 1973, Journal of the American Statistical Association
    68; from memory), held within 2 and 100 answers. With fewer than two answered
    items nothing is known of the spread between items and the weight is 2; with all
    answers right (or wrong) half an answer of either kind is added to the bank's.
    Coverage of the interval in simulation: 0.92 at 3 answers an item, 0.94 to 0.96
    from 8 on.

    Examples
    --------
    >>> found = shrunken_proportion([9, 20, 3], [10, 24, 8])
    >>> found.precision[0].value, found.band[2].value
    ('band', 'hard')
    """
    x, n = right_of_answered(right, answered)
    if x.size == 0:
        raise ValueError("right is empty; give at least one item.")
    bank, weight = _prior(x, n)
    posterior = x + weight * bank, n - x + weight * (1.0 - bank)
    mean: FloatArray = (x + weight * bank) / (n + weight)
    return ShrunkenProportion(
        proportion=mean,
        low=np.asarray(special.betaincinv(*posterior, 0.025), dtype=np.float64),
        high=np.asarray(special.betaincinv(*posterior, 0.975), dtype=np.float64),
        bank_proportion=bank,
        weight=weight,
        answered=n.astype(np.int64),
        precision=tuple(_precision(int(count)) for count in n),
        band=tuple(
            _band(float(share)) if count >= BAND_FROM else None
            for share, count in zip(mean, n, strict=True)
        ),
        reason=tuple(_too_few(int(count)) for count in n),
    )


def _prior(x: FloatArray, n: FloatArray) -> tuple[float, float]:
    """Mean and weight of the Beta prior by moments."""
    total_right, total = float(x.sum()), float(n.sum())
    if total_right in (0.0, total):
        total_right, total = total_right + 0.5, total + 1.0
    bank = total_right / total
    given = n > 0
    items = int(given.sum())
    if items < 2:
        return bank, LEAST_WEIGHT
    size, share = n[given], x[given] / n[given]
    binomial = bank * (1.0 - bank)
    excess = float((size * (share - bank) ** 2).sum()) - binomial * (items - 1)
    room = binomial * float(size.sum() - (size**2).sum() / size.sum() - (items - 1))
    # With one answer an item there is no room: what looks like spread is chance.
    correlation = excess / max(room, 1e-9)
    weight = 1.0 / max(correlation, 1e-3) - 1.0
    return bank, float(np.clip(weight, LEAST_WEIGHT, MOST_WEIGHT))


def _precision(answered: int) -> Precision:
    if answered < BAND_FROM:
        return Precision.TOO_FEW
    if answered < NUMBER_FROM:
        return Precision.BAND
    return Precision.NUMBER if answered < RANK_FROM else Precision.RANK


def _band(share: float) -> Band:
    if share < HARD_BELOW:
        return Band.HARD
    return Band.EASY if share >= EASY_FROM else Band.MEDIUM


def _too_few(answered: int) -> Wording | None:
    if answered >= BAND_FROM:
        return None
    return Wording(
        gettext_noop("Not enough answers (%(answered)d of %(needed)d)."),
        answered=answered,
        needed=BAND_FROM,
    )
