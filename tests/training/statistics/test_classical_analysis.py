"""Classical item analysis: independent code, what must always hold, degenerate tables."""

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from tests.training.statistics.simulated import Table
from training.statistics.item_difficulty import alpha_interval, classical_analysis

seeds = st.integers(0, 2**32 - 1)


def random_answers(seed: int, *, persons: int | None = None, items: int | None = None) -> Table:
    rng = np.random.default_rng(seed)
    shape = persons or int(rng.integers(3, 30)), items or int(rng.integers(2, 12))
    return (rng.random(shape) < rng.uniform(0.2, 0.8)).astype(float)


def some(value: float | None) -> float:
    assert value is not None
    return value


@settings(max_examples=60, deadline=None)
@given(seeds)
def test_correlations_agree_with_scipy(seed: int) -> None:
    answers = random_answers(seed)
    found = classical_analysis(answers)
    total = answers.sum(axis=1)

    for item in range(answers.shape[1]):
        own, rest = answers[:, item], total - answers[:, item]
        if np.ptp(own) and np.ptp(rest):
            expected = stats.pearsonr(own, rest).statistic
            assert some(found.corrected_point_biserial[item]) == pytest.approx(expected, abs=1e-10)
        else:
            assert found.corrected_point_biserial[item] is None


@settings(max_examples=60, deadline=None)
@given(seeds)
def test_alpha_agrees_with_the_covariance_formula(seed: int) -> None:
    """k/(k-1) (1 - trace/sum of the covariance matrix), divisor n - 1 throughout."""
    answers = random_answers(seed)
    found = classical_analysis(answers)
    covariance = np.cov(answers, rowvar=False)
    if covariance.sum() < 1e-12:
        assert found.alpha is None
        assert found.reason is not None
        return
    items = answers.shape[1]

    expected = items / (items - 1) * (1 - np.trace(covariance) / covariance.sum())

    assert some(found.alpha) == pytest.approx(expected, abs=1e-10)
    assert found.kr20 == found.alpha
    assert some(found.alpha) <= 1


@settings(max_examples=40, deadline=None)
@given(seeds)
def test_alpha_and_correlations_survive_turning_right_and_wrong_about(seed: int) -> None:
    answers = random_answers(seed)

    found, turned = classical_analysis(answers), classical_analysis(1 - answers)

    if found.alpha is not None:
        assert some(turned.alpha) == pytest.approx(found.alpha, abs=1e-9)
    for ours, theirs in zip(
        found.corrected_point_biserial, turned.corrected_point_biserial, strict=True
    ):
        assert (ours is None) == (theirs is None)
        if ours is not None:
            assert some(theirs) == pytest.approx(ours, abs=1e-9)
            assert -1 - 1e-12 <= ours <= 1 + 1e-12


@settings(max_examples=40, deadline=None)
@given(seeds)
def test_order_of_persons_does_not_matter(seed: int) -> None:
    answers = random_answers(seed)
    moved = np.random.default_rng(seed).permutation(answers)

    found, again = classical_analysis(answers), classical_analysis(moved)

    assert again.proportion == found.proportion
    assert (found.alpha is None) == (again.alpha is None)
    if found.alpha is not None:
        assert some(again.alpha) == pytest.approx(found.alpha, abs=1e-12)


def test_equally_hard_items_make_both_kuder_richardson_formulas_equal() -> None:
    answers = [[1, 1, 0, 0], [1, 1, 1, 1], [0, 0, 1, 1], [0, 0, 0, 0]]

    found = classical_analysis(answers)

    assert some(found.kr21) == pytest.approx(some(found.kr20))


def test_standard_error_follows_from_alpha() -> None:
    answers = random_answers(5, persons=40, items=10)
    found = classical_analysis(answers)
    total = answers.sum(axis=1)

    assert some(found.sem) == pytest.approx(total.std(ddof=1) * np.sqrt(1 - some(found.alpha)))
    assert some(found.reliability.sem_population) < some(found.sem)


def test_gaps_leave_correlations_and_take_reliability() -> None:
    answers = random_answers(7, persons=30, items=8)
    seen = np.ones_like(answers)
    seen[:10, 0] = 0
    dirty = np.where(seen == 1, answers, np.nan)

    found = classical_analysis(dirty, seen)

    assert found.answered.tolist() == [20] + [30] * 7
    assert found.proportion[0] == pytest.approx(answers[10:, 0].mean())
    rest = answers[10:, 1:].mean(axis=1)
    assert some(found.corrected_point_biserial[0]) == pytest.approx(
        np.corrcoef(answers[10:, 0], rest)[0, 1]
    )
    assert found.alpha is None
    assert found.reason == (
        "Reliability needs an answer of every person to every item; 10 of 240 answers are missing."
    )


@pytest.mark.parametrize(
    ("answers", "reason"),
    [
        ([[1], [0], [1]], "at least two items"),
        ([[1, 0, 1]], "at least two persons"),
        ([[1, 1], [1, 1]], "the same score"),
        ([[0, 0], [0, 0]], "the same score"),
        ([[1, 0], [0, 1]], "the same score"),
    ],
)
def test_what_is_undefined_is_none_with_a_reason(answers: npt.ArrayLike, reason: str) -> None:
    found = classical_analysis(answers)

    assert (found.alpha, found.kr21, found.sem) == (None, None, None)
    assert found.reason is not None
    assert reason in found.reason


def test_items_nobody_saw_or_all_got_right_have_no_correlation() -> None:
    answers = np.array([[1, 1, 0], [1, 0, 0], [1, 1, 0], [1, 0, 0]])
    seen = np.array([[1, 1, 0]] * 4)

    found = classical_analysis(answers, seen)

    assert found.proportion == (1.0, 0.5, None)
    assert found.corrected_point_biserial == (None, None, None)


def test_agreeing_items_reach_alpha_one_and_no_error() -> None:
    found = classical_analysis([[1] * 5, [0] * 5, [1] * 5])

    assert found.alpha == 1.0
    assert found.sem == 0.0


@pytest.mark.parametrize(
    ("answers", "seen", "message"),
    [
        ([[1, 3]], None, "answers, row 1, column 2, is 3"),
        ([[1, np.nan]], None, "answers, row 1, column 2, is nan"),
        ([[1, 0]], [[1, 2]], "seen, row 1, column 2, is 2"),
        ([[1, 0]], [[1], [1]], "same rows and columns"),
        (np.zeros((0, 2)), None, "answers is empty"),
        ([1, 0], None, "answers has 1 dimension"),
    ],
)
def test_bad_input_is_named_with_its_remedy(
    answers: npt.ArrayLike, seen: npt.ArrayLike | None, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        classical_analysis(answers, seen)


def test_interval_of_alpha_covers_at_its_rate() -> None:
    """Parallel normal items: alpha of the population is known."""
    rng = np.random.default_rng(41)
    items, persons, share = 6, 40, 0.4
    truth = items * share / (1 + (items - 1) * share)
    hits = 0
    for _ in range(400):
        common = rng.normal(size=(persons, 1)) * np.sqrt(share)
        scores = common + rng.normal(size=(persons, items)) * np.sqrt(1 - share)
        covariance = np.cov(scores, rowvar=False)
        alpha = items / (items - 1) * (1 - np.trace(covariance) / covariance.sum())
        hits += truth in alpha_interval(alpha, items, persons, 0.90)

    assert 0.86 <= hits / 400 <= 0.94


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((1.2, 5, 20), "alpha is 1.2"),
        ((0.8, 1, 20), "items is 1"),
        ((0.8, 5, 1), "persons is 1"),
        ((float("nan"), 5, 20), "alpha is nan"),
    ],
)
def test_interval_of_alpha_refuses_bad_input(
    arguments: tuple[float, int, int], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        alpha_interval(*arguments)
