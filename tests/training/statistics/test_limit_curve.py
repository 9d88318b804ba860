"""The curve of rejection: against the grid written out, its shape, and how often the band is right."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from tests.training.statistics.plain_limit import DEFAULT, LAPSES, RATIOS, SIGMAS
from training.statistics.limit_curve import rejection_curve
from training.statistics.operator_limit import fit_limit


def plain_share(shown: np.ndarray, rejected: np.ndarray, at: float) -> float:
    """Return the posterior mean of the share rejected, one grid point after the other."""
    mean, sd, sigma_mean, sigma_sd = DEFAULT
    total = weighted = 0.0
    for ratio in RATIOS:
        for sigma in SIGMAS:
            believed = norm.pdf(ratio, mean, sd) * norm.pdf(sigma, sigma_mean, sigma_sd)
            agree = norm.cdf((shown - ratio) / math.exp(sigma))
            for lapse, weight in LAPSES.items():
                p = lapse / 2 + (1 - lapse) * agree
                likely = weight * believed * np.prod(np.where(rejected == 1, p, 1 - p))
                here = lapse / 2 + (1 - lapse) * norm.cdf((at - ratio) / math.exp(sigma))
                total += likely
                weighted += likely * here
    return float(weighted / total)


@pytest.mark.parametrize("at", [-0.5, 0.0, 0.2, 0.9])
def test_the_mean_is_that_of_the_grid_written_out(at: float) -> None:
    rng = np.random.default_rng(7)
    shown = rng.uniform(-0.5, 0.5, 16)
    rejected = (shown + rng.normal(0, 0.2, 16) > 0.1).astype(float)
    found = rejection_curve(shown, rejected, [at])
    assert found.share[0] == pytest.approx(plain_share(shown, rejected, at), abs=1e-9)


@given(st.integers(0, 2**32 - 1), st.integers(3, 40))
def test_it_rises_with_severity_and_stays_in_its_band(seed: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    shown = rng.uniform(-0.8, 0.8, count)
    rejected = rng.integers(0, 2, count)
    found = rejection_curve(shown, rejected, np.linspace(-1.5, 1.2, 12))
    for row in (found.share, found.low, found.high):
        assert (np.diff(row) >= -1e-12).all()
        assert ((row >= 0) & (row <= 1)).all()
    assert (found.low <= found.high).all()


def test_it_crosses_a_half_where_the_limit_is_found() -> None:
    shown = np.linspace(-0.4, 0.4, 48)
    limit = fit_limit(shown, shown > math.log(1.2))
    assert limit.ratio is not None
    found = rejection_curve(shown, shown > math.log(1.2), [math.log(limit.ratio)])
    assert found.share[0] == pytest.approx(0.5, abs=0.03)


def test_the_band_holds_the_truth_about_as_often_as_it_says() -> None:
    rng = np.random.default_rng(11)
    at = np.array([-0.3, 0.0, 0.3])
    held = []
    for truth in rng.normal(0, 0.15, 120):
        shown = np.linspace(-0.4, 0.4, 36)
        share = 0.01 + 0.98 * norm.cdf((shown - truth) / 0.2)
        found = rejection_curve(shown, rng.random(36) < share, at)
        right = 0.01 + 0.98 * norm.cdf((at - truth) / 0.2)
        held.append((found.low <= right) & (right <= found.high))
    assert 0.91 <= np.mean(held) <= 1.0


def test_answers_other_than_0_and_1_are_refused() -> None:
    with pytest.raises(ValueError, match="rejected"):
        rejection_curve([0.1, 0.2], [1, 2], [0.0])
