"""Rasch fit against other programs and against the same steps written out plainly."""

import warnings

import girth
import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.special import expit, log_expit

from tests.training.statistics.plain_rasch import plain_rasch
from tests.training.statistics.published_data import patterns
from tests.training.statistics.simulated import Table, judged_bank, rasch_bank
from training.statistics.item_difficulty import fit_rasch, severity_covariates


def test_marginal_likelihood_is_what_was_summed_over_persons() -> None:
    rng = np.random.default_rng(5)
    bank = rasch_bank(rng, 40, 8, 6)
    fit = fit_rasch(bank.answers, bank.seen, prior=False, ability_sd=1.0)
    points, weights = np.polynomial.hermite_e.hermegauss(81)
    weights = weights / weights.sum()

    def lost(difficulty: Table) -> float:
        z = (2 * bank.answers - 1)[:, :, None] * (points - difficulty[:, None])
        by_node = (log_expit(z) * bank.seen[:, :, None]).sum(axis=1)
        return -float(np.log(np.exp(by_node) @ weights).sum())

    best = minimize(lost, fit.difficulty, method="BFGS")

    assert fit.log_likelihood == pytest.approx(-lost(fit.difficulty), abs=1e-7)
    assert -lost(fit.difficulty) >= -best.fun - 1e-7
    assert fit.difficulty == pytest.approx(best.x, abs=2e-4)


@pytest.mark.parametrize("section", [6, 7])
def test_one_parameter_fit_agrees_with_girth(section: int) -> None:
    answers = patterns(f"lsat{section}.csv")
    fit = fit_rasch(answers, np.ones_like(answers), prior=False)

    theirs = girth.onepl_mml(answers.T.astype(int))

    assert fit.discrimination == pytest.approx(theirs["Discrimination"], abs=1e-3)
    assert fit.standard_difficulty == pytest.approx(theirs["Difficulty"], abs=5e-3)


def test_random_one_parameter_banks_agree_with_girth() -> None:
    for seed in range(5):
        rng = np.random.default_rng([17, seed])
        ability, difficulty = rng.normal(0, 1.2, 400), rng.normal(0, 1, 10)
        answers = (rng.random((400, 10)) < expit(ability[:, None] - difficulty)).astype(float)
        fit = fit_rasch(answers, np.ones_like(answers), prior=False)

        theirs = girth.onepl_mml(answers.T.astype(int))

        assert fit.discrimination == pytest.approx(theirs["Discrimination"], abs=5e-3)
        assert fit.standard_difficulty == pytest.approx(theirs["Difficulty"], abs=1e-2)


def test_two_parameter_likelihood_bounds_the_one_parameter_one() -> None:
    """ltm's two-parameter log-likelihoods; Rizopoulos (2006) prints the ratio 0.57."""
    for section, two_parameters in ((6, -2466.653377), (7, -2658.805114)):
        answers = patterns(f"lsat{section}.csv")
        one = fit_rasch(answers, np.ones_like(answers), prior=False).log_likelihood
        rasch = fit_rasch(answers, np.ones_like(answers), prior=False, ability_sd=1.0)
        assert one is not None
        assert rasch.log_likelihood is not None
        assert rasch.log_likelihood <= one <= two_parameters
        if section == 6:
            assert 2 * (two_parameters - one) == pytest.approx(0.57, abs=0.005)
            assert 2 * (one - rasch.log_likelihood) == pytest.approx(12.23, abs=0.005)


def test_girths_conditional_estimate_agrees_on_random_banks() -> None:
    """Another estimator: it conditions on the score and needs no ability distribution."""
    rng = np.random.default_rng(29)
    ability, difficulty = rng.normal(0, 1, 3000), rng.normal(0, 1, 8)
    answers = (rng.random((3000, 8)) < expit(ability[:, None] - difficulty)).astype(float)
    fit = fit_rasch(answers, np.ones_like(answers), prior=False)

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = girth.rasch_conditional(answers.T.astype(int))["Difficulty"]

    ours = fit.difficulty - fit.difficulty.mean()
    assert ours == pytest.approx(theirs - theirs.mean(), abs=0.03)


@pytest.mark.parametrize("seed", range(6))
def test_every_number_agrees_with_the_steps_written_out(seed: int) -> None:
    rng = np.random.default_rng([31, seed])
    bank, distance = judged_bank(rng, 14, 16, 9)
    rated = severity_covariates(np.where(np.isinf(distance), -2.0, distance))
    group = np.arange(14) % 3 if seed % 2 else np.zeros(14, dtype=int)
    covariates = rated if seed % 3 else None

    fit = fit_rasch(bank.answers, bank.seen, group, covariates)
    plain = plain_rasch(bank.answers, bank.seen, group, covariates)

    assert fit.iterations == plain["iterations"]
    assert fit.difficulty == pytest.approx(plain["difficulty"], abs=1e-9)
    assert fit.difficulty_se == pytest.approx(plain["difficulty_se"], abs=1e-9)
    assert fit.ability == pytest.approx(plain["ability"], abs=1e-9)
    assert fit.ability_se == pytest.approx(plain["ability_se"], abs=1e-9)
    assert fit.group_mean == pytest.approx(plain["group_mean"], abs=1e-9)
    assert fit.ability_sd == pytest.approx(plain["ability_sd"], abs=1e-9)
    assert fit.item_sd == pytest.approx(plain["item_sd"], abs=1e-9)
