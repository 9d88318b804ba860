"""A beta law of rates among operators: fitting it and averaging functions of the rate."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.optimize import minimize
from scipy.special import betainc, betaincinv, betaln, expit

from training.statistics.checks import FloatArray, IntArray

NODES = 80
# Priors of the methods study: logit of the mean rate, logarithm of alpha + beta.
MEAN_PRIOR = (-3.0, 2.0)
SIZE_PRIOR = (np.log(30.0), 1.5)


@dataclass(frozen=True)
class BetaLaw:
    """Rates spread over [low, high] as a beta law with shapes alpha and beta."""

    alpha: float
    beta: float
    low: float = 0.0
    high: float = 1.0

    @property
    def mean(self) -> float:
        """Mean rate."""
        return self.low + (self.high - self.low) * self.alpha / (self.alpha + self.beta)

    def share_up_to(self, rate: float) -> float:
        """Share of rates at or below the given one."""
        place = (rate - self.low) / (self.high - self.low)
        return float(betainc(self.alpha, self.beta, min(1.0, max(0.0, place))))

    def parts(
        self, function: Callable[[FloatArray], FloatArray], cut: float
    ) -> tuple[FloatArray, FloatArray]:
        """Return the integrals of a function of the rate up to the cut and beyond.

        Parameters
        ----------
        function : callable
            Takes rates of shape (nodes,), returns shape (..., nodes).
        cut : float
            Rate at which the range is split; integrands may jump there.

        Returns
        -------
        tuple of ndarray
            Both parts; their sum is the mean of the function.

        Notes
        -----
        Gauss-Legendre rule over the distribution function, 80 nodes on either side.
        """
        split = self.share_up_to(cut)
        below = self._integral(function, 0.0, split)
        return below, self._integral(function, split, 1.0)

    def _integral(
        self, function: Callable[[FloatArray], FloatArray], start: float, end: float
    ) -> FloatArray:
        places, weights = _legendre()
        shares = start + (end - start) * places
        spread = np.asarray(betaincinv(self.alpha, self.beta, shares))
        values = function(self.low + (self.high - self.low) * spread)
        integral: FloatArray = np.asarray(values @ (weights * (end - start)))
        return integral


def fit_error_rates(errors: IntArray, shown: IntArray) -> BetaLaw:
    """Fit the beta law of error rates to what operators did.

    Parameters
    ----------
    errors, shown : ndarray of int, shape (operators,)
        Errors and judgements of each; a sequential stop changes nothing.

    Returns
    -------
    BetaLaw
        Most probable law given weak priors: the mean's logit is N(-3, 2), the
        logarithm of alpha + beta N(log 30, 1.5), given as mean and deviation.

    Notes
    -----
    Beta-binomial likelihood (J. A. Keats and F. M. Lord, Psychometrika 27 (1962),
    from memory). The priors keep it defined when nobody or everybody errs.
    """

    def penalty(at: FloatArray) -> float:
        mean, size = expit(at[0]), np.exp(at[1])
        a, b = mean * size, (1 - mean) * size
        likelihood = betaln(a + errors, b + shown - errors) - betaln(a, b)
        from_priors = sum(
            ((x - centre) / spread) ** 2 / 2
            for x, (centre, spread) in zip(at, (MEAN_PRIOR, SIZE_PRIOR), strict=True)
        )
        return float(from_priors - likelihood.sum())

    start = np.array([MEAN_PRIOR[0], SIZE_PRIOR[0]])
    bounds = [
        (centre - 6 * spread, centre + 6 * spread) for centre, spread in (MEAN_PRIOR, SIZE_PRIOR)
    ]
    at = minimize(penalty, start, method="L-BFGS-B", bounds=bounds).x
    mean, size = float(expit(at[0])), float(np.exp(at[1]))
    return BetaLaw(mean * size, (1 - mean) * size)


@cache
def _legendre() -> tuple[FloatArray, FloatArray]:
    """Return nodes and weights on [0, 1]."""
    places, weights = np.polynomial.legendre.leggauss(NODES)
    return (places + 1) / 2, weights / 2
