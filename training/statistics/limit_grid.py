"""Likelihood and posterior of a person's limit on a fixed grid."""

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from training.statistics.checks import FloatArray

# Grid of the posterior: log(limit ratio) from 45 % to 223 %, log spread, lapse rate.
LOG_RATIO = np.linspace(-0.8, 0.8, 65)
HALF_STEP = (LOG_RATIO[1] - LOG_RATIO[0]) / 2
LOG_SIGMA = np.linspace(math.log(0.03), math.log(1.2), 25)
LAPSES = ((0.005, 0.45), (0.02, 0.30), (0.05, 0.15), (0.10, 0.07), (0.20, 0.03))
# No product of 64 probabilities above 0.0025 leaves the range of a double.
BLOCK = 64


@dataclass(frozen=True)
class LimitPrior:
    """Normal priors of log(limit ratio) and of log sigma."""

    mean: float
    sd: float
    log_sigma_mean: float
    log_sigma_sd: float


def limit_log_likelihood(shown: FloatArray, rejected: FloatArray) -> FloatArray:
    """Return the log-likelihood on the grid, shape (65, 25), lapse summed out."""
    by_lapse = weighted_by_lapse(shown, rejected)
    top: FloatArray = by_lapse.max(axis=0)
    summed: FloatArray = top + np.log(np.exp(by_lapse - top).sum(axis=0))
    return summed


def weighted_by_lapse(shown: FloatArray, rejected: FloatArray) -> FloatArray:
    """Return the log-likelihood plus the log weight of each lapse rate, shape (5, 65, 25)."""
    by_lapse = np.zeros((len(LAPSES), LOG_RATIO.size, LOG_SIGMA.size))
    inverse_sigma = np.exp(-LOG_SIGMA)
    sign = np.where(rejected == 1, 1.0, -1.0)
    for start in range(0, shown.size, BLOCK):
        part = slice(start, start + BLOCK)
        distance = sign[part, None] * (shown[part, None] - LOG_RATIO)
        agree = ndtr(distance[:, :, None] * inverse_sigma)
        for place, (lapse, _) in enumerate(LAPSES):
            share = lapse / 2 + (1 - lapse) * agree
            by_lapse[place] += np.log(np.multiply.reduce(share, axis=0))
    by_lapse += np.log([weight for _, weight in LAPSES])[:, None, None]
    return by_lapse


def limit_log_prior(prior: LimitPrior) -> FloatArray:
    """Return the log prior on the grid but for a constant, shape (65, 25)."""
    log_prior: FloatArray = (
        -0.5 * ((LOG_RATIO - prior.mean) / prior.sd)[:, None] ** 2
        - 0.5 * ((LOG_SIGMA - prior.log_sigma_mean) / prior.log_sigma_sd) ** 2
    )
    return log_prior


def limit_posterior(log_likelihood: FloatArray, prior: LimitPrior) -> FloatArray:
    """Return the normalised posterior, shape (..., 65, 25)."""
    log_joint = log_likelihood + limit_log_prior(prior)
    weight = np.exp(log_joint - log_joint.max(axis=(-2, -1), keepdims=True))
    posterior: FloatArray = weight / weight.sum(axis=(-2, -1), keepdims=True)
    return posterior
