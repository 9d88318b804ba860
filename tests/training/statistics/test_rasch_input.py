"""Rasch fit on degenerate designs and bad input."""

from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from tests.training.statistics.rasch_tables import assert_finite, random_table
from tests.training.statistics.simulated import rasch_bank, seen_at_random
from training.statistics.item_difficulty import expected_score, fit_rasch, severity_covariates

# ------------------------------------------------------------------ degenerate designs


@pytest.mark.parametrize("answer", [0, 1])
def test_all_alike_answers_stay_finite(answer: int) -> None:
    fit = fit_rasch(np.full((5, 4), answer), np.ones((5, 4)))

    assert fit.converged
    assert_finite(fit)
    assert (fit.difficulty < 0).all() == bool(answer)


def test_one_person_and_one_item_are_enough_to_answer() -> None:
    assert_finite(fit_rasch([[1, 0, 1]], [[1, 1, 1]]))
    assert_finite(fit_rasch([[1], [0], [1]], [[1]] * 3))
    assert_finite(fit_rasch([[1]], [[1]]))


def test_items_nobody_saw_stand_at_the_prior() -> None:
    seen = np.zeros((20, 4))
    seen[:, :3] = 1
    answers = (np.random.default_rng(0).random((20, 4)) < 0.7) * seen

    fit = fit_rasch(answers, seen)

    assert fit.answered[3] == 0
    assert fit.item_sd is not None
    assert fit.difficulty_se[3] == pytest.approx(fit.item_sd)
    assert fit.linked


def test_person_without_answers_stands_at_the_group_mean() -> None:
    bank = rasch_bank(np.random.default_rng(4), 20, 12, 12)
    seen = bank.seen.copy()
    seen[7] = 0
    group = np.repeat(["new", "old"], 10)

    fit = fit_rasch(bank.answers, seen, group, tolerance=1e-9)

    assert fit.group_labels == ("new", "old")
    assert fit.ability[7] == pytest.approx(fit.group_mean[0], abs=1e-6)
    assert fit.ability_se[7] == pytest.approx(fit.ability_sd, abs=1e-6)


def test_cells_not_seen_may_hold_anything() -> None:
    bank = rasch_bank(np.random.default_rng(4), 20, 12, 8)
    dirty = np.where(bank.seen == 1, bank.answers, np.nan)

    assert fit_rasch(dirty, bank.seen).difficulty == pytest.approx(
        fit_rasch(bank.answers, bank.seen).difficulty
    )


def test_truth_values_and_whole_numbers_are_the_same_as_floats() -> None:
    bank = rasch_bank(np.random.default_rng(4), 20, 12, 8)
    expected = fit_rasch(bank.answers, bank.seen).difficulty
    for kind in (bool, np.int8, np.int64):
        fit = fit_rasch(bank.answers.astype(kind), bank.seen.astype(kind))
        assert (fit.difficulty == expected).all()


def test_too_few_iterations_are_admitted() -> None:
    bank = rasch_bank(np.random.default_rng(4), 20, 12, 8)

    fit = fit_rasch(bank.answers, bank.seen, max_iterations=1)

    assert not fit.converged
    assert fit.iterations == 1
    assert fit.reason == "The fit did not settle within 1 iterations."
    assert fit_rasch(bank.answers, bank.seen).reason is None


def test_persons_all_alike_leave_no_scale_without_prior() -> None:
    answers = np.array([[1, 1, 0, 0], [0, 0, 1, 1], [1, 0, 1, 0], [0, 1, 0, 1]] * 5)

    fit = fit_rasch(answers, np.ones_like(answers), prior=False)

    assert not fit.converged
    assert_finite(fit)
    assert fit.reason == "Persons differ no more than by chance: there is no scale to fit."


def test_perfect_order_of_persons_and_items_grows_without_end_without_prior() -> None:
    answers = np.vstack([np.tril(np.ones((6, 5)), -1)] * 2)

    fit = fit_rasch(answers, np.ones_like(answers), prior=False)

    assert not fit.converged
    assert_finite(fit)
    assert fit.reason is not None
    assert "grow without end" in fit.reason
    assert fit_rasch(answers, np.ones_like(answers)).converged


def test_group_without_a_wrong_answer_is_out_of_reach_without_prior() -> None:
    answers = np.array([[1, 1, 1]] * 4 + [[1, 0, 0], [0, 1, 0], [0, 0, 1], [0, 1, 1]])

    with pytest.raises(ValueError, match=r"group 'new', has only right answers.*keep prior=True"):
        fit_rasch(answers, np.ones_like(answers), ["new"] * 4 + ["old"] * 4, prior=False)


def test_odd_tables_never_give_nan_without_prior() -> None:
    fits = 0
    for seed in range(80):
        answers, seen = random_table((4 + seed % 9, 1 + seed % 5, seed))
        group = np.arange(len(answers)) % 2 if seed % 2 else None
        try:
            fit = fit_rasch(answers, seen, group, prior=False, ability_sd=1 if seed % 3 else None)
        except ValueError:
            continue
        fits += 1
        assert_finite(fit)
        assert fit.converged == (fit.reason is None)

    assert fits > 20


# ------------------------------------------------------------------ one scale or several


def test_separate_halves_are_called_not_linked() -> None:
    answers = (np.random.default_rng(1).random((10, 8)) < 0.7).astype(float)
    seen = np.zeros((10, 8))
    seen[:5, :4] = seen[5:, 4:] = 1

    fit = fit_rasch(answers * seen, seen)

    assert not fit.linked
    assert fit.link_reason is not None
    assert "share no answers" in fit.link_reason


def test_a_chain_of_answers_links() -> None:
    seen = np.eye(6) + np.eye(6, k=1)

    assert fit_rasch(np.zeros((6, 6)), seen).linked


@pytest.mark.parametrize(("common", "linked"), [(9, False), (10, True)])
def test_groups_need_ten_items_in_common(common: int, linked: bool) -> None:
    seen = np.zeros((8, 30))
    seen[:4, : 15 + common] = 1
    seen[4:, 15:] = 1

    fit = fit_rasch(np.ones((8, 30)) * seen, seen, ["a"] * 4 + ["b"] * 4)

    assert fit.linked is linked
    assert (fit.link_reason is None) is linked


# ------------------------------------------------------------------ bad input

GOOD = [[1, 0, 1], [0, 1, 1]]
ONES = [[1, 1, 1], [1, 1, 1]]


@pytest.mark.parametrize(
    ("answers", "seen", "options", "message"),
    [
        ([[1, 2, 0], [0, 1, 1]], ONES, {}, "answers, row 1, column 2, is 2; give 1"),
        ([[1, np.nan, 0], [0, 1, 1]], ONES, {}, "answers, row 1, column 2, is nan"),
        ([[1, -1, 0], [0, 1, 1]], ONES, {}, "answers, row 1, column 2, is -1"),
        (GOOD, [[1, 1, np.nan], [1, 1, 1]], {}, "seen, row 1, column 3"),
        (GOOD, [[1, 1], [1, 1]], {}, "give both the same rows and columns"),
        ([1, 0], [1, 1], {}, "seen has 1 dimension"),
        (GOOD, np.zeros((2, 3)), {}, "seen holds no answer at all"),
        (np.zeros((0, 3)), np.zeros((0, 3)), {}, "seen holds no answer at all"),
        (GOOD, ONES, {"group": [1]}, "group has shape .*one label for each of the 2 persons"),
        (GOOD, ONES, {"group": [1.0, np.nan]}, "group holds NaN"),
        (GOOD, ONES, {"covariates": [1.0, 2.0]}, "one row for each of the 3 items"),
        (GOOD, ONES, {"covariates": [1.0, np.inf, 0]}, "covariates, row 2.*rate the item"),
        (GOOD, ONES, {"ability_sd": 1.0}, "only with prior=False"),
        (GOOD, ONES, {"prior": False, "covariates": [1, 2, 3]}, "leave prior=True"),
        (GOOD, ONES, {"prior": False}, "item 3, has only right answers.*keep prior=True"),
        ([[1, 0], [0, 0]], [[1, 1]] * 2, {"prior": False}, "item 2, has only wrong answers"),
        ([[1, 0], [0, 0]], [[1, 0]] * 2, {"prior": False}, "item 2, has no answers"),
        ([[1, 0], [0, 1]], [[1, 1]] * 2, {"prior": False, "ability_sd": 0}, "ability_sd is 0"),
        (GOOD, ONES, {"nodes": 2}, "nodes is 2"),
        (GOOD, ONES, {"tolerance": 0}, "tolerance is 0"),
        (GOOD, ONES, {"max_iterations": 0}, "max_iterations is 0"),
    ],
)
def test_bad_input_is_named_with_its_remedy(
    answers: npt.ArrayLike, seen: npt.ArrayLike, options: dict[str, Any], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        fit_rasch(answers, seen, **options)


def test_expected_score_refuses_items_that_do_not_exist() -> None:
    fit = fit_rasch(GOOD, ONES)

    with pytest.raises(ValueError, match="items is 3"):
        expected_score(fit, [0, 3])
    with pytest.raises(ValueError, match="items is empty"):
        expected_score(fit, [])


def test_covariates_are_capped_and_blind_to_sign() -> None:
    assert severity_covariates([-0.5, 0.5, 3]) == pytest.approx(
        np.array([[0.5, 0.25], [0.5, 0.25], [0.8, 0.64]])
    )


def test_seen_at_random_gives_each_person_the_same_number() -> None:
    seen = seen_at_random(np.random.default_rng(0), 5, 9, 4)

    assert seen.sum(axis=1).tolist() == [4] * 5
