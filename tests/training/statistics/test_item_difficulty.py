"""Shrunken proportions: coverage, display rules, what must always hold, bad input."""

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from scipy.special import expit

from tests.training.statistics.simulated import rasch_bank
from training.statistics.item_difficulty import Band, Precision, shrunken_proportion

item_counts = st.lists(
    st.integers(0, 60).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))),
    min_size=1,
    max_size=20,
)


@pytest.mark.parametrize(("answered", "least"), [(3, 0.87), (8, 0.935), (20, 0.935), (50, 0.935)])
def test_interval_covers_the_true_proportion(answered: int, least: float) -> None:
    """Own study: .94 to .96; at three answers, where nothing is shown yet, less."""
    rng = np.random.default_rng([12, answered])
    covered = []
    for _ in range(40):
        bank = rasch_bank(rng, 3 * answered, 120, 40)
        crowd = rng.normal(0, 0.8, (1000, 1))
        truth = expit(crowd - bank.difficulty).mean(axis=0)
        found = shrunken_proportion(bank.answers.sum(axis=0), bank.seen.sum(axis=0))
        covered.append(((found.low <= truth) & (truth <= found.high)).mean())

    assert least <= np.mean(covered) <= 0.965


def test_shrinking_beats_the_raw_proportion() -> None:
    rng = np.random.default_rng(3)
    raw, shrunken = [], []
    for _ in range(30):
        truth = rng.beta(6, 1.5, 120)
        right = rng.binomial(8, truth)
        raw.append(((right / 8 - truth) ** 2).mean())
        found = shrunken_proportion(right, np.full(120, 8))
        shrunken.append(((found.proportion - truth) ** 2).mean())

    assert np.mean(shrunken) < 0.65 * np.mean(raw)


def test_weight_finds_the_spread_that_made_the_data() -> None:
    rng = np.random.default_rng(8)
    truth = rng.beta(8, 2, 4000)

    found = shrunken_proportion(rng.binomial(30, truth), np.full(4000, 30))

    assert found.weight == pytest.approx(10, rel=0.1)
    assert found.bank_proportion == pytest.approx(0.8, abs=0.01)


@given(item_counts)
def test_posterior_is_the_beta_distribution_of_scipy(counts: list[tuple[int, int]]) -> None:
    x, n = np.array(counts, dtype=float).T
    found = shrunken_proportion(x, n)
    posterior = stats.beta(
        x + found.weight * found.bank_proportion,
        n - x + found.weight * (1 - found.bank_proportion),
    )

    assert found.proportion == pytest.approx(posterior.mean())
    assert found.low == pytest.approx(posterior.ppf(0.025), abs=1e-9)
    assert found.high == pytest.approx(posterior.ppf(0.975), abs=1e-9)
    assert 2 <= found.weight <= 100
    assert 0 < found.bank_proportion < 1
    assert ((found.low <= found.proportion) & (found.proportion <= found.high)).all()


@given(item_counts)
def test_order_does_not_matter_and_wrong_mirrors_right(
    counts: list[tuple[int, int]],
) -> None:
    x, n = np.array(counts, dtype=float).T
    order = np.argsort(np.sin(np.arange(x.size) * 12.9898))
    found = shrunken_proportion(x, n)

    moved, mirrored = shrunken_proportion(x[order], n[order]), shrunken_proportion(n - x, n)

    assert moved.proportion == pytest.approx(found.proportion[order])
    assert mirrored.proportion == pytest.approx(1 - found.proportion)
    assert mirrored.low == pytest.approx(1 - found.high)


def test_what_may_be_shown_follows_the_number_of_answers() -> None:
    found = shrunken_proportion([6, 7, 18, 19, 29], [7, 8, 19, 20, 30])

    assert found.precision == (
        Precision.TOO_FEW,
        Precision.BAND,
        Precision.BAND,
        Precision.NUMBER,
        Precision.RANK,
    )
    assert found.band[0] is None
    assert found.reason[0] == "Not enough answers (7 of 8)."
    assert found.reason[1:] == (None,) * 4


def test_bands_follow_the_shrunken_proportion() -> None:
    found = shrunken_proportion([99, 80, 40], [100, 100, 100])

    assert found.band == (Band.EASY, Band.MEDIUM, Band.HARD)


def test_single_counts_are_allowed_and_one_item_shrinks_least() -> None:
    found = shrunken_proportion(9, 10)

    assert found.weight == 2
    assert found.proportion.shape == (1,)


@pytest.mark.parametrize(("right", "answered"), [([5, 3], [5, 3]), ([0, 0], [5, 3]), ([0], [0])])
def test_all_right_all_wrong_and_no_answers_stay_inside(
    right: list[int], answered: list[int]
) -> None:
    found = shrunken_proportion(right, answered)

    assert ((found.proportion > 0) & (found.proportion < 1)).all()
    assert np.isfinite(found.low).all()
    assert np.isfinite(found.high).all()


@pytest.mark.parametrize(
    ("right", "answered", "message"),
    [
        ([3], [2], "right, value 1, is 3 of 2 answered; give right no larger"),
        ([-1], [2], "right, value 1, is -1; give whole numbers"),
        ([1.5], [2], "right, value 1, is 1.5"),
        ([np.nan], [2], "right holds NaN"),
        ([1, 2], [2], "differ in length"),
        ([], [], "right is empty"),
    ],
)
def test_bad_input_is_named_with_its_remedy(
    right: npt.ArrayLike, answered: npt.ArrayLike, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        shrunken_proportion(right, answered)
