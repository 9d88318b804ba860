"""The posterior of an operator's limit written out grid point by grid point."""

import math
from collections.abc import Sequence

import numpy as np
from scipy.stats import norm

from tests.training.statistics.simulated import Table

RATIOS = np.linspace(-0.8, 0.8, 65)
SIGMAS = np.linspace(math.log(0.03), math.log(1.2), 25)
LAPSES = {0.005: 0.45, 0.02: 0.30, 0.05: 0.15, 0.10: 0.07, 0.20: 0.03}
DEFAULT = (0.0, 0.25, math.log(0.2), 0.6)


def plain_posterior(
    shown: Table, rejected: Table, prior: tuple[float, float, float, float] = DEFAULT
) -> Table:
    """Return the normalised posterior, shape (65, 25)."""
    mean, sd, sigma_mean, sigma_sd = prior
    posterior = np.zeros((65, 25))
    for i, ratio in enumerate(RATIOS):
        for j, sigma in enumerate(SIGMAS):
            reject = norm.cdf((shown - ratio) / math.exp(sigma))
            for lapse, weight in LAPSES.items():
                p = lapse / 2 + (1 - lapse) * reject
                posterior[i, j] += weight * np.prod(np.where(rejected == 1, p, 1 - p))
            posterior[i, j] *= norm.pdf(ratio, mean, sd) * norm.pdf(sigma, sigma_mean, sigma_sd)
    normalised: Table = posterior / posterior.sum()
    return normalised


def plain_family_prior(
    judgements: Sequence[tuple[Table, Table]],
) -> tuple[float, float, float, float]:
    """Forty rounds of empirical Bayes."""
    flat = (0.0, 1e6, 0.0, 1e6)
    likelihoods = [plain_posterior(*pair, flat) for pair in judgements]
    prior = (0.0, 0.2, math.log(0.2), 0.5)
    count = len(judgements)
    for _ in range(40):
        mean, sd, sigma_mean, sigma_sd = prior
        weight = np.outer(norm.pdf(RATIOS, mean, sd), norm.pdf(SIGMAS, sigma_mean, sigma_sd))
        posteriors = [like * weight / (like * weight).sum() for like in likelihoods]
        ratio = sum(posterior.sum(axis=1) for posterior in posteriors)
        sigma = sum(posterior.sum(axis=0) for posterior in posteriors)
        new_mean = float(ratio @ RATIOS) / (count + 1)
        new_sigma = (float(sigma @ SIGMAS) + 2 * math.log(0.2)) / (count + 2)
        prior = (
            new_mean,
            math.sqrt((float(ratio @ (RATIOS - new_mean) ** 2) + 4 * 0.15**2) / (count + 4)),
            new_sigma,
            math.sqrt((float(sigma @ (SIGMAS - new_sigma) ** 2) + 4 * 0.5**2) / (count + 4)),
        )
    return prior
