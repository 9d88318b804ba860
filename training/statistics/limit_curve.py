"""The curve of a person's rejection against severity, with the band it may lie in."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

from training.statistics.checks import FloatArray, vector, vector01
from training.statistics.limit_grid import (
    LAPSES,
    LOG_RATIO,
    LOG_SIGMA,
    LimitPrior,
    limit_log_prior,
    weighted_by_lapse,
)
from training.statistics.operator_limit import DEFAULT_PRIOR

BAND = (0.025, 0.975)


@dataclass(frozen=True)
class RejectionCurve:
    """Share rejected at given severities: posterior mean and central 95 % at each of them.

    Attributes
    ----------
    share, low, high : ndarray, shape (severities,)
        In [0, 1]; share and both ends rise with severity.
    """

    share: FloatArray
    low: FloatArray
    high: FloatArray


def rejection_curve(
    log_ratio: npt.ArrayLike,
    rejected: npt.ArrayLike,
    at: npt.ArrayLike,
    *,
    prior: LimitPrior = DEFAULT_PRIOR,
) -> RejectionCurve:
    """Foretell how often a person rejects parts of given severities.

    Parameters
    ----------
    log_ratio, rejected : array_like, shape (judgements,)
        As in `operator_limit.fit_limit`.
    at : array_like, shape (severities,)
        Natural logarithms of severity / limit at which to draw the curve.
    prior : LimitPrior, optional
        As in `operator_limit.fit_limit`.

    Returns
    -------
    RejectionCurve

    Raises
    ------
    ValueError
        For NaN, values of rejected other than 0 and 1, or different lengths.

    Notes
    -----
    The same model and grid as `fit_limit`: P(reject) = lapse/2 + (1 - lapse)
    Phi((at - mu)/sigma), weighted by the posterior of mu, sigma and lapse. The band is
    pointwise: at each severity 95 % of the posterior lies in it.

    Examples
    --------
    >>> shown = np.linspace(-0.4, 0.4, 24)
    >>> curve = rejection_curve(shown, shown > 0.1, [-0.6, 0.1, 0.6])
    >>> [round(float(share), 1) for share in curve.share]
    [0.0, 0.5, 1.0]
    """
    shown = vector("log_ratio", log_ratio)
    answer = vector01("rejected", rejected, shown.size)
    places = vector("at", at)
    weights = _posterior(weighted_by_lapse(shown, answer), prior)
    lapse = np.array([rate for rate, _ in LAPSES])[:, None, None]
    drawn = np.empty((3, places.size))
    for place, value in enumerate(places):
        agree = ndtr((value - LOG_RATIO[:, None]) / np.exp(LOG_SIGMA))
        chance = (lapse / 2 + (1 - lapse) * agree).ravel()
        drawn[:, place] = _mean_and_band(chance, weights)
    return RejectionCurve(*drawn)


def _posterior(by_lapse: FloatArray, prior: LimitPrior) -> FloatArray:
    """Return the joint posterior, flat, in the order of lapse, ratio, sigma."""
    joint = by_lapse + limit_log_prior(prior)
    weight = np.exp(joint - joint.max())
    flat: FloatArray = (weight / weight.sum()).ravel()
    return flat


def _mean_and_band(chance: FloatArray, weights: FloatArray) -> tuple[float, float, float]:
    order = np.argsort(chance)
    # The middle of each weight, so that no end of the grid counts for more than the others.
    below = np.cumsum(weights[order]) - weights[order] / 2
    low, high = np.interp(BAND, below, chance[order])
    return float(chance @ weights), float(low), float(high)
