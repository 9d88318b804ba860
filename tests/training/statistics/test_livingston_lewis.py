"""Livingston and Lewis: the published cases, its kin, and what is refused."""

import math

import numpy as np
import pytest

from tests.training.statistics.published_data import numbers
from training.statistics.beta_law import BetaLaw
from training.statistics.consistency import decision_consistency, livingston_lewis
from training.statistics.livingston_lewis import classify


def test_supplied_law() -> None:
    """R package betafunctions 1.9.0: beta(5, 3) on .25 to .75, length 50, cut one half."""
    result = classify(BetaLaw(5, 3, 0.25, 0.75), 50, 0.5)

    assert result.true_fail == pytest.approx(0.156123, abs=1e-6)
    assert result.false_fail == pytest.approx(0.092579, abs=1e-6)
    assert result.true_pass == pytest.approx(0.680858, abs=1e-6)
    assert result.false_pass == pytest.approx(0.070440, abs=1e-6)
    assert result.kappa == pytest.approx(0.397886, abs=1e-6)


def test_data_case() -> None:
    """The same package's 1,000 scores: reliability .7, cut 50 of 100."""
    scores = numbers("livingston_lewis_1000.csv")[:, 0]
    result = livingston_lewis(scores, 50, 0.7, highest=100)
    assert result.law is not None
    assert result.classification is not None

    assert result.effective_length == pytest.approx(84.43, abs=0.005)
    law = (result.law.alpha, result.law.beta, result.law.low, result.law.high)
    assert law == pytest.approx((2.567113, 1.482522, 0.319897, 0.699307), abs=1e-5)
    assert result.classification.accuracy == pytest.approx(0.872640, abs=1e-5)
    assert result.classification.consistency == pytest.approx(0.822142, abs=1e-5)
    assert result.classification.kappa == pytest.approx(0.527883, abs=1e-5)


def test_with_kr21_the_effective_length_is_the_real_one() -> None:
    rng = np.random.default_rng([5, 21])
    right = rng.binomial(65, 1 - rng.beta(2, 20, 200))
    mean, variance = right.mean(), right.var(ddof=1)
    kr21 = 65 / 64 * (1 - mean * (65 - mean) / (65 * variance))

    assert livingston_lewis(right, 62, kr21, highest=65).effective_length == pytest.approx(65)


def test_with_kr21_it_agrees_with_the_beta_binomial() -> None:
    """300 operators, 3 errors of 65 allowed: within .015 of each other (study: .001 to .013)."""
    rng = np.random.default_rng([5, 22])
    right = rng.binomial(65, 1 - rng.beta(1.2, 26, 300))
    mean, variance = right.mean(), right.var(ddof=1)
    kr21 = 65 / 64 * (1 - mean * (65 - mean) / (65 * variance))
    both = livingston_lewis(right, 62, kr21, highest=65, parameters=2).classification
    ours = decision_consistency(65 - right, 65, 3, cut=3 / 65)
    assert both is not None

    assert both.consistency == pytest.approx(ours.consistency, abs=0.015)
    assert both.accuracy == pytest.approx(ours.accuracy, abs=0.015)


def test_scores_with_no_spread_of_their_own_fall_back_to_two_moments() -> None:
    rng = np.random.default_rng([5, 23])
    result = livingston_lewis(rng.binomial(20, 0.9, 40), 17, 0.1, highest=20)
    assert result.law is not None
    assert result.classification is not None

    assert 0 <= result.law.low < result.law.high <= 1
    assert math.isfinite(result.classification.accuracy)


@pytest.mark.parametrize("seed", range(20))
def test_shares_add_up_whatever_the_scores(seed: int) -> None:
    rng = np.random.default_rng([5, 24, seed])
    scores = rng.integers(0, 11, rng.integers(2, 40))
    result = livingston_lewis(
        scores, float(rng.integers(1, 11)), rng.uniform(0.05, 0.95), highest=10
    )
    if result.classification is None:
        assert result.reason == "All scores are alike; nothing tells the persons apart."
        return
    shares = (
        result.classification.true_fail,
        result.classification.false_pass,
        result.classification.true_pass,
        result.classification.false_fail,
    )

    assert min(shares) >= -1e-9
    assert sum(shares) == pytest.approx(1)


def test_scores_all_alike_give_a_reason() -> None:
    result = livingston_lewis([40, 40, 40], 36, 0.5, highest=40)

    assert result.classification is None
    assert result.reason == "All scores are alike; nothing tells the persons apart."


@pytest.mark.parametrize(
    ("scores", "cut", "reliability", "message"),
    [
        ([40], 36, 0.5, r"^scores holds 1 value\(s\)"),
        ([40, 41], 36, 0.5, r"^scores run from 40 to 41, beyond 0 to 40"),
        ([40, math.nan], 36, 0.5, r"^scores holds NaN"),
        ([40, 30], 41, 0.5, r"^cut is 41"),
        ([40, 30], 36, 1, r"^reliability is 1, not strictly"),
        ([40, 30], 36, 0, r"^reliability is 0, not strictly"),
    ],
)
def test_bad_input_is_refused(
    scores: list[float], cut: float, reliability: float, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        livingston_lewis(scores, cut, reliability, highest=40)


def test_other_numbers_of_parameters_are_refused() -> None:
    with pytest.raises(ValueError, match=r"^parameters is 3; give 4 or 2"):
        livingston_lewis([40, 30], 36, 0.5, highest=40, parameters=3)
