"""Probit threshold: other programs on random data, symmetry, missing maxima, bad input."""

import math
import warnings

import numpy as np
import numpy.typing as npt
import psignifit
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.special import log_ndtr, ndtr
from scipy.stats import binom
from statsmodels.genmod import families
from statsmodels.genmod.generalized_linear_model import GLM

from tests.training.statistics.published_data import numbers
from tests.training.statistics.simulated import Table
from training.statistics.operator_limit import fit_limit, probit_threshold

seeds = st.integers(0, 2**32 - 1)


def grouped(seed: int) -> tuple[Table, Table, Table]:
    """Levels, positive answers and trials of a random curve."""
    rng = np.random.default_rng(seed)
    level = np.sort(rng.normal(size=int(rng.integers(4, 12))))
    trials = rng.integers(5, 40, level.size).astype(float)
    chance = ndtr(rng.normal(0, 0.5) + rng.choice([-1, 1]) * rng.uniform(0.5, 1.5) * level)
    return level, rng.binomial(trials.astype(int), chance).astype(float), trials


def some(value: float | None) -> float:
    assert value is not None
    return value


@settings(max_examples=40, deadline=None)
@given(seeds)
def test_curve_agrees_with_the_generalised_linear_model_of_statsmodels(seed: int) -> None:
    level, positive, trials = grouped(seed)
    found = probit_threshold(level, positive, trials)
    if found.reason is not None:
        return
    link = families.Binomial(link=families.links.Probit())
    design = np.column_stack([np.ones(level.size), level])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = GLM(np.column_stack([positive, trials - positive]), design, family=link).fit(
            tol=1e-12, maxiter=200
        )

    assert found.intercept == pytest.approx(theirs.params[0], abs=1e-5)
    assert found.slope == pytest.approx(theirs.params[1], abs=1e-5)
    assert found.deviance == pytest.approx(theirs.deviance, abs=1e-6)
    assert found.log_likelihood == pytest.approx(theirs.llf, abs=1e-6)
    gradient = np.array([-1 / theirs.params[1], theirs.params[0] / theirs.params[1] ** 2])
    variance = gradient @ theirs.cov_params() @ gradient
    assert found.threshold_se == pytest.approx(math.sqrt(variance), rel=1e-3)


@pytest.mark.parametrize("seed", range(3))
def test_threshold_and_spread_agree_with_psignifit(seed: int) -> None:
    """Its maximum of the posterior; flat enough priors at 180 answers."""
    rng = np.random.default_rng([61, seed])
    level, trials = np.linspace(-0.4, 0.4, 9), np.full(9, 20)
    positive = rng.binomial(trials, ndtr((level - 0.05) / 0.2))
    theirs = psignifit.psignifit(
        np.column_stack([level, positive, trials]),
        experiment_type="yes/no",
        sigmoid="norm",
        fixed_parameters={"lambda": 0, "gamma": 0, "eta": 0},
    ).parameter_estimate

    found = probit_threshold(level, positive, trials)

    assert found.threshold == pytest.approx(theirs["threshold"], abs=5e-4)
    # Its width spans 5 to 95 % of the curve: 3.2897 sigma.
    assert found.sigma == pytest.approx(theirs["width"] / 3.28971, rel=0.01)


def test_operators_limit_agrees_with_psignifits_posterior_mean() -> None:
    rng = np.random.default_rng(62)
    level, trials = np.linspace(-0.4, 0.4, 9), np.full(9, 20)
    positive = rng.binomial(trials, 0.01 + 0.98 * ndtr((level - 0.1) / 0.2))
    theirs = psignifit.psignifit(
        np.column_stack([level, positive, trials]),
        experiment_type="equal asymptote",
        sigmoid="norm",
        fixed_parameters={"eta": 0},
    ).parameter_estimate_mean
    answers = np.concatenate([np.arange(20) < count for count in positive])

    found = fit_limit(np.repeat(level, 20), answers)

    assert math.log(some(found.ratio)) == pytest.approx(theirs["threshold"], abs=0.01)


@pytest.mark.parametrize("lapse", [0.0, 0.03])
def test_guessing_and_lapses_reach_the_highest_likelihood(lapse: float) -> None:
    level, positive, trials = numbers("psignifit_demo_2afc.csv").T
    level = 1000 * level

    def lost(line: Table) -> float:
        p = 0.5 + (0.5 - lapse) * ndtr(line[0] + line[1] * level)
        return -float(binom.logpmf(positive, trials, np.clip(p, 1e-12, 1 - 1e-12)).sum())

    best = min(
        (
            minimize(lost, start, method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12})
            for start in ([-3, 1], [-1, 0.5], [-5, 1])
        ),
        key=lambda result: float(result.fun),
    )
    found = probit_threshold(level, positive, trials, guess=0.5, lapse=lapse)

    assert found.log_likelihood == pytest.approx(-best.fun, abs=1e-6)
    assert found.threshold == pytest.approx(-best.x[0] / best.x[1], abs=1e-4)


@settings(max_examples=40, deadline=None)
@given(seeds)
def test_counting_the_other_answer_keeps_the_threshold(seed: int) -> None:
    level, positive, trials = grouped(seed)

    found = probit_threshold(level, positive, trials)
    other = probit_threshold(level, trials - positive, trials)

    assert (found.reason is None) == (other.reason is None)
    if found.threshold is not None:
        assert other.threshold == pytest.approx(found.threshold, abs=1e-6)
        assert some(other.slope) == pytest.approx(-some(found.slope), abs=1e-6)
        assert some(found.sigma) > 0
        assert some(found.deviance) >= -1e-9


@settings(max_examples=30, deadline=None)
@given(seeds)
def test_order_unit_and_single_answers_do_not_matter(seed: int) -> None:
    level, positive, trials = grouped(seed)
    order = np.random.default_rng(seed).permutation(level.size)
    found = probit_threshold(level, positive, trials)
    moved = probit_threshold(1e-3 * level[order] + 7, positive[order], trials[order])
    single = np.concatenate(
        [np.arange(n) < x for x, n in zip(positive, trials.astype(int), strict=True)]
    )
    apart = probit_threshold(np.repeat(level, trials.astype(int)), single, np.ones(single.size))

    if found.threshold is not None:
        assert moved.threshold == pytest.approx(1e-3 * found.threshold + 7, abs=1e-7)
        assert apart.threshold == pytest.approx(found.threshold, abs=1e-6)


def test_no_better_line_stands_nearby() -> None:
    level, positive, trials = grouped(11)
    found = probit_threshold(level, positive, trials)

    def height(intercept: float, slope: float) -> float:
        z = intercept + slope * level
        return float((positive * log_ndtr(z) + (trials - positive) * log_ndtr(-z)).sum())

    top = height(some(found.intercept), some(found.slope))
    for da, db in ((1e-3, 0), (-1e-3, 0), (0, 1e-3), (0, -1e-3)):
        assert height(some(found.intercept) + da, some(found.slope) + db) < top


@pytest.mark.parametrize(
    ("level", "positive", "trials", "reason"),
    [
        ([], [], [], "two or more different levels"),
        ([1, 1, 1], [0, 1, 2], [5, 5, 5], "two or more different levels"),
        ([1, 2, 3], [0, 0, 0], [5, 5, 5], "All answers are alike"),
        ([1, 2, 3], [5, 5, 5], [5, 5, 5], "All answers are alike"),
        ([1, 2, 3], [0, 0, 5], [5, 5, 5], "split too cleanly"),
        ([1, 2, 3], [0, 2, 5], [5, 5, 5], "split too cleanly"),
        ([1, 2, 3], [5, 2, 0], [5, 5, 5], "split too cleanly"),
        ([1, 2, 3], [2, 2, 2], [4, 4, 4], "do not change with the level"),
        ([1, 2], [3, 3], [0, 0], None),
    ],
)
def test_a_missing_maximum_is_explained(
    level: list[float], positive: list[int], trials: list[int], reason: str | None
) -> None:
    if reason is None:
        with pytest.raises(ValueError, match="positive, value 1, is 3 of 0 trials"):
            probit_threshold(level, positive, trials)
        return
    found = probit_threshold(level, positive, trials)

    assert (found.threshold, found.sigma, found.log_likelihood) == (None, None, None)
    assert found.reason is not None
    assert reason in found.reason


def test_clean_split_with_guessing_is_explained_too() -> None:
    found = probit_threshold([1, 2, 3, 4], [20, 20, 40, 40], [40] * 4, guess=0.5)

    assert found.threshold is None
    assert found.reason == "No curve of finite spread fits the answers best."


def test_levels_without_trials_are_left_aside() -> None:
    level, positive, trials = grouped(11)

    found = probit_threshold([*level, 99], [*positive, 0], [*trials, 0])

    assert found.threshold == pytest.approx(
        some(probit_threshold(level, positive, trials).threshold)
    )


@pytest.mark.parametrize(
    ("level", "positive", "trials", "options", "message"),
    [
        ([np.nan, 1], [1, 1], [2, 2], {}, "level holds NaN"),
        ([0, 1], [3, 1], [2, 2], {}, "positive, value 1, is 3 of 2 trials"),
        ([0, 1], [-1, 1], [2, 2], {}, "positive, value 1, is -1"),
        ([0, 1], [1], [2], {}, "positive holds 1 values; give 2"),
        ([0, 1], [1, 1], [2, 2], {"guess": 0.5, "lapse": 0.5}, "guess and lapse add up"),
        ([0, 1], [1, 1], [2, 2], {"guess": -0.1}, "guess is -0.1"),
    ],
)
def test_bad_input_is_named_with_its_remedy(
    level: npt.ArrayLike,
    positive: npt.ArrayLike,
    trials: npt.ArrayLike,
    options: dict[str, float],
    message: str,
) -> None:
    with pytest.raises(ValueError, match=message):
        probit_threshold(level, positive, trials, **options)
