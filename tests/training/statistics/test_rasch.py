"""Rasch fit: known truths and what must always hold."""

from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import expit

from tests.training.statistics.rasch_tables import assert_finite, random_table, small_tables
from tests.training.statistics.simulated import centred_errors, judged_bank, rasch_bank
from training.statistics.item_difficulty import expected_score, fit_rasch, severity_covariates

# ------------------------------------------------------------------ known truth


@pytest.mark.parametrize(
    ("persons", "items", "each", "reps", "rmse", "coverage"),
    [
        (25, 40, 30, 40, 0.607, 0.951),
        (60, 120, 40, 25, 0.612, 0.943),
        (300, 200, 40, 8, 0.396, 0.951),
    ],
)
def test_known_difficulties_are_recovered(
    persons: int, items: int, each: int, reps: int, rmse: float, coverage: float
) -> None:
    """Figures of the own methods study, which used the same seeds."""
    squares, covered, iterations = [], [], 0
    for rep in range(reps):
        bank = rasch_bank(np.random.default_rng([2026, persons, items, rep]), persons, items, each)
        fit = fit_rasch(bank.answers, bank.seen)
        assert fit.converged
        error = centred_errors(fit.difficulty, bank.difficulty)
        squares.append((error**2).mean())
        covered.append((np.abs(error) < 1.96 * fit.difficulty_se).mean())
        iterations = max(iterations, fit.iterations)

    assert np.sqrt(np.mean(squares)) == pytest.approx(rmse, abs=0.001)
    assert np.mean(covered) == pytest.approx(coverage, abs=0.001)
    assert iterations <= 20


def test_group_means_undo_an_unfair_split() -> None:
    """Weak persons saw mostly half A: with one population A looks harder than it is."""
    bias: dict[bool, list[float]] = {False: [], True: []}
    gaps = []
    for rep in range(15):
        rng = np.random.default_rng([91, rep])
        group = np.repeat([0, 1], 30)
        ability = rng.normal(np.where(group == 0, -0.5, 0.5), 0.8)
        difficulty = rng.normal(-1.8, 1.2, 120)
        likely = np.where(np.arange(120) < 60, 1.5, 0.5)
        seen = np.zeros((60, 120))
        for row, weak in zip(seen, group == 0, strict=True):
            odds = likely if weak else likely[::-1]
            row[rng.choice(120, 40, replace=False, p=odds / odds.sum())] = 1
        answers = (rng.random(seen.shape) < expit(ability[:, None] - difficulty)) * seen
        for grouped, biases in bias.items():
            fit = fit_rasch(answers, seen, group if grouped else None)
            error = fit.difficulty - difficulty
            biases.append(error[:60].mean() - error[60:].mean())
        gaps.append(fit.group_mean[1] - fit.group_mean[0])

    assert np.mean(bias[False]) > 0.06
    assert abs(np.mean(bias[True])) < 0.05
    assert np.mean(gaps) == pytest.approx(1.0, abs=0.15)


def test_severity_halves_the_error_where_answers_are_few() -> None:
    plain: list[float] = []
    helped: list[float] = []
    covered = []
    for rep in range(10):
        rng = np.random.default_rng([21, rep])
        bank, distance = judged_bank(rng, 25, 120, 40)
        rated = np.where(np.isinf(distance), -2.0, distance) + rng.normal(0, 0.10, 120)
        fits = [
            fit_rasch(bank.answers, bank.seen),
            fit_rasch(bank.answers, bank.seen, covariates=severity_covariates(rated)),
        ]
        for fit, squares in zip(fits, (plain, helped), strict=True):
            error = centred_errors(fit.difficulty, bank.difficulty)
            squares.append(float((error**2).mean()))
        covered.append((np.abs(error) < 1.96 * fits[1].difficulty_se).mean())
        assert fits[1].converged

    assert np.sqrt(np.mean(helped)) < 0.62 * np.sqrt(np.mean(plain))
    assert np.mean(covered) > 0.93


def test_covariates_cost_at_most_sixty_iterations_in_a_bank_of_fair_size() -> None:
    for rep in range(4):
        rng = np.random.default_rng([21, rep])
        bank, distance = judged_bank(rng, 100, 200, 40)
        rated = np.where(np.isinf(distance), -2.0, distance) + rng.normal(0, 0.10, 200)

        fit = fit_rasch(bank.answers, bank.seen, covariates=severity_covariates(rated))

        assert fit.converged
        assert fit.iterations <= 60


# ------------------------------------------------------------------ what must always hold


@settings(max_examples=60, deadline=None)
@given(small_tables)
def test_any_table_gives_finite_numbers(shape: tuple[int, int, int]) -> None:
    answers, seen = random_table(shape)

    fit = fit_rasch(answers, seen)

    assert fit.converged
    assert_finite(fit)
    assert fit.answered.tolist() == seen.sum(axis=0).tolist()


@settings(max_examples=30, deadline=None)
@given(small_tables, st.randoms())
def test_order_of_persons_and_items_does_not_matter(
    shape: tuple[int, int, int], random: Random
) -> None:
    answers, seen = random_table(shape)
    rows, columns = list(range(shape[0])), list(range(shape[1]))
    random.shuffle(rows)
    random.shuffle(columns)
    group = np.arange(shape[0]) % 2

    fit = fit_rasch(answers, seen, group)
    moved = fit_rasch(answers[np.ix_(rows, columns)], seen[np.ix_(rows, columns)], group[rows])

    assert moved.difficulty == pytest.approx(fit.difficulty[columns], abs=1e-8)
    assert moved.ability == pytest.approx(fit.ability[rows], abs=1e-8)
    assert moved.linked == fit.linked


@settings(max_examples=30, deadline=None)
@given(small_tables)
def test_turning_right_and_wrong_about_turns_the_scale_about(shape: tuple[int, int, int]) -> None:
    """Without prior; with it, bad luck: the prior expects items that most get right."""
    persons, items, seed = shape
    rng = np.random.default_rng(seed)
    answers = (rng.random((persons + 4, items)) < 0.5).astype(float)
    answers[0], answers[1] = 1, 0

    fit = fit_rasch(answers, np.ones_like(answers), prior=False, ability_sd=1.0)
    turned = fit_rasch(1 - answers, np.ones_like(answers), prior=False, ability_sd=1.0)

    assert turned.difficulty == pytest.approx(-fit.difficulty, abs=1e-6)
    assert turned.ability == pytest.approx(-fit.ability, abs=1e-6)
    assert turned.log_likelihood == pytest.approx(fit.log_likelihood, abs=1e-8)


def test_three_hundred_odd_designs_converge_quickly() -> None:
    most = 0
    for seed in range(300):
        rng = np.random.default_rng([9, seed])
        answers, seen = random_table((int(rng.integers(1, 7)), int(rng.integers(1, 9)), seed))
        fit = fit_rasch(answers, seen)
        assert fit.converged
        assert_finite(fit)
        most = max(most, fit.iterations)

    assert most <= 40


def test_more_right_answers_never_make_an_item_harder() -> None:
    rng = np.random.default_rng(3)
    bank = rasch_bank(rng, 30, 10, 10)
    before = fit_rasch(bank.answers, bank.seen).difficulty
    better = bank.answers.copy()
    wrong = int(np.flatnonzero(better[:, 4] == 0)[0])
    better[wrong, 4] = 1

    after = fit_rasch(better, bank.seen).difficulty

    assert after[4] - after.mean() < before[4] - before.mean()


# ------------------------------------------------------------------ what a fit foretells


def test_expected_score_is_about_the_score_reached() -> None:
    bank = rasch_bank(np.random.default_rng(6), 200, 40, 40)
    fit = fit_rasch(bank.answers, bank.seen)

    expected = expected_score(fit, range(40))

    assert expected.shape == (200,)
    assert ((expected > 0) & (expected < 40)).all()
    assert expected.mean() == pytest.approx(bank.answers.sum(axis=1).mean(), abs=0.3)
    assert np.corrcoef(expected, bank.answers.sum(axis=1))[0, 1] > 0.98


def test_expected_scores_of_parts_add_up() -> None:
    bank = rasch_bank(np.random.default_rng(6), 12, 9, 9)
    fit = fit_rasch(bank.answers, bank.seen)

    total = expected_score(fit, [0, 1, 2]) + expected_score(fit, np.array([3, 4]))

    assert expected_score(fit, [0, 1, 2, 3, 4]) == pytest.approx(total)
