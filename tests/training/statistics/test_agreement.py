"""Agreement beyond chance: other programs on random data, symmetry, what is undefined."""

import math
import warnings
from collections.abc import Callable
from itertools import permutations

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr
from sklearn.metrics import cohen_kappa_score
from statsmodels.stats.inter_rater import cohens_kappa
from statsmodels.stats.inter_rater import fleiss_kappa as statsmodels_fleiss

from tests.training.statistics.published_data import numbers
from training.statistics.agreement import (
    KappaReading,
    cohen_kappa,
    fleiss_kappa,
    gwet_ac1,
    kappa_reading,
    krippendorff_alpha,
)
from training.statistics.checks import IntArray

seeds = st.integers(0, 2**32 - 1)
ONE_CLASS = "All ratings fall in one class: agreement beyond chance is undefined."
NO_PAIRS = "No item was rated twice: there is no agreement to measure."


def random_table(seed: int) -> IntArray:
    """Cross table of two raters who lean to agree."""
    rng = np.random.default_rng(seed)
    classes = int(rng.integers(2, 5))
    lean = rng.dirichlet(np.ones(classes * classes)).reshape(classes, classes)
    lean += rng.uniform(0, 1) * np.eye(classes)
    total = int(rng.integers(2, 120))
    return rng.multinomial(total, (lean / lean.sum()).ravel()).reshape(classes, classes)


def random_counts(seed: int, *, raters: int | None = None) -> IntArray:
    """Ratings of some items by class; the same number of raters when given."""
    rng = np.random.default_rng(seed)
    items, classes = int(rng.integers(2, 15)), int(rng.integers(2, 5))
    rows = []
    for _ in range(items):
        chance = rng.dirichlet(np.full(classes, 0.5))
        rows.append(rng.multinomial(raters or int(rng.integers(0, 7)), chance))
    return np.array(rows)


def some(value: float | None) -> float:
    assert value is not None
    return value


# ------------------------------------------------------------------ Cohen's kappa


@settings(max_examples=80, deadline=None)
@given(seeds)
def test_cohen_agrees_with_statsmodels_and_scikit_learn(seed: int) -> None:
    table = random_table(seed)
    found = cohen_kappa(table)
    if found.kappa is None:
        assert found.reason == ONE_CLASS
        return
    with warnings.catch_warnings():
        # Its square root of round-off below 0 is nan; ours is 0.
        warnings.simplefilter("ignore")
        theirs = cohens_kappa(table)
    first, second = np.repeat(np.indices(table.shape).reshape(2, -1), table.ravel(), axis=1)

    assert found.kappa == pytest.approx(theirs.kappa, abs=1e-12)
    assert found.se_nonnull == pytest.approx(np.nan_to_num(theirs.std_kappa), abs=1e-7)
    assert found.se_null == pytest.approx(np.nan_to_num(theirs.std_kappa0), abs=1e-7)
    assert found.kappa == pytest.approx(cohen_kappa_score(first, second), abs=1e-12)


@settings(max_examples=60, deadline=None)
@given(seeds)
def test_cohen_does_not_care_who_is_first_or_how_classes_are_ordered(seed: int) -> None:
    table = random_table(seed)
    order = np.random.default_rng(seed).permutation(len(table))
    found = cohen_kappa(table)

    for other in (table.T, table[np.ix_(order, order)]):
        again = cohen_kappa(other)
        assert (found.kappa is None) == (again.kappa is None)
        if found.kappa is not None:
            assert again.kappa == pytest.approx(found.kappa, abs=1e-12)
            assert again.se_nonnull == pytest.approx(some(found.se_nonnull), abs=1e-9)
            assert again.se_null == pytest.approx(some(found.se_null), abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(seeds)
def test_cohen_keeps_its_bounds(seed: int) -> None:
    found = cohen_kappa(random_table(seed))
    if found.kappa is not None:
        assert -1 <= found.kappa <= 1
        assert -1 <= some(found.low) <= found.kappa <= some(found.high) <= 1
        assert some(found.se_nonnull) >= 0
        assert some(found.se_null) >= 0


def test_cohen_interval_covers_at_its_rate() -> None:
    rng = np.random.default_rng(71)
    share = np.array([[0.35, 0.10], [0.05, 0.50]])
    expected = share.sum(axis=1) @ share.sum(axis=0)
    truth = (np.trace(share) - expected) / (1 - expected)
    hits = 0
    for _ in range(600):
        found = cohen_kappa(rng.multinomial(200, share.ravel()).reshape(2, 2))
        hits += some(found.low) <= truth <= some(found.high)

    assert 0.93 <= hits / 600 <= 0.97


def test_full_agreement_is_one_without_error() -> None:
    found = cohen_kappa([[5, 0], [0, 7]])

    assert found.kappa == 1.0
    assert found.se_nonnull == pytest.approx(0, abs=1e-12)
    assert some(found.z) > 3


@pytest.mark.parametrize(
    ("table", "reason"),
    [
        ([[0, 0], [0, 0]], NO_PAIRS),
        ([[9, 0], [0, 0]], ONE_CLASS),
        ([[0, 0], [0, 9]], ONE_CLASS),
        ([[9]], ONE_CLASS),
    ],
)
def test_undefined_cohen_is_none_with_a_reason(table: npt.ArrayLike, reason: str) -> None:
    """statsmodels and scikit-learn return nan here."""
    found = cohen_kappa(table)

    assert (found.kappa, found.se_null, found.low, found.z) == (None, None, None, None)
    assert found.reason == reason
    if np.sum(table) and np.shape(table) == (2, 2):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            assert math.isnan(cohens_kappa(np.array(table)).kappa)


def test_one_rater_who_never_rejects_leaves_kappa_at_nought() -> None:
    found = cohen_kappa([[40, 10], [0, 0]])

    assert found.kappa == 0.0
    assert found.z is None or found.z == 0.0


@pytest.mark.parametrize(
    ("kappa", "reading"),
    [
        (0.76, KappaReading.GOOD),
        (0.75, KappaReading.FAIR),
        (0.40, KappaReading.FAIR),
        (0.39, KappaReading.POOR),
        (-0.2, KappaReading.POOR),
    ],
)
def test_kappa_is_read_by_the_rule_of_thumb(kappa: float, reading: KappaReading) -> None:
    assert kappa_reading(kappa) is reading


# ------------------------------------------------------------------ several raters


@settings(max_examples=80, deadline=None)
@given(seeds, st.integers(2, 9))
def test_fleiss_agrees_with_statsmodels(seed: int, raters: int) -> None:
    counts = random_counts(seed, raters=raters)
    found = fleiss_kappa(counts)
    if found.kappa is None:
        assert found.reason == ONE_CLASS
        return

    assert found.kappa == pytest.approx(statsmodels_fleiss(counts), abs=1e-12)
    assert some(found.observed) <= 1


@settings(max_examples=60, deadline=None)
@given(seeds, st.integers(2, 9))
def test_fleiss_is_the_weighted_mean_of_its_classes(seed: int, raters: int) -> None:
    counts = random_counts(seed, raters=raters)
    found = fleiss_kappa(counts)
    if found.kappa is None:
        return
    share = counts.sum(axis=0) / counts.sum()
    weight = share * (1 - share)
    mean = (
        sum(w * k for w, k in zip(weight, found.category_kappa, strict=True) if k is not None)
        / weight.sum()
    )

    assert found.kappa == pytest.approx(mean, abs=1e-9)


def test_fleiss_standard_error_is_that_of_chance() -> None:
    rng = np.random.default_rng(72)
    share, raters = [0.6, 0.3, 0.1], 5
    kappas, errors = [], []
    for _ in range(600):
        found = fleiss_kappa(rng.multinomial(raters, share, size=40))
        kappas.append(some(found.kappa))
        errors.append(some(found.se_null))

    assert np.mean(errors) == pytest.approx(np.std(kappas), rel=0.1)


def brute_force_alpha(counts: IntArray) -> float:
    """Krippendorff's alpha from all pairs of ratings, one by one."""
    units = [np.repeat(np.arange(len(row)), row) for row in counts if row.sum() >= 2]
    within = sum(sum(a != b for a, b in permutations(unit, 2)) / (len(unit) - 1) for unit in units)
    every = np.concatenate(units)
    across = sum(int((every != value).sum()) for value in every)
    return float(1 - (within / every.size) / (across / (every.size * (every.size - 1))))


@settings(max_examples=60, deadline=None)
@given(seeds)
def test_krippendorff_agrees_with_counting_all_pairs(seed: int) -> None:
    counts = random_counts(seed)
    found = krippendorff_alpha(counts)
    if found.value is None:
        assert found.reason in {ONE_CLASS, NO_PAIRS}
        return

    assert found.value == pytest.approx(brute_force_alpha(counts), abs=1e-10)


def brute_force_ac1(counts: IntArray) -> float:
    paired = [np.repeat(np.arange(len(row)), row) for row in counts if row.sum() >= 2]
    agree = np.mean([np.mean([a == b for a, b in permutations(unit, 2)]) for unit in paired])
    share = np.mean([row / row.sum() for row in counts if row.sum()], axis=0)
    chance = np.sum(share * (1 - share)) / (counts.shape[1] - 1)
    return float((agree - chance) / (1 - chance))


@settings(max_examples=60, deadline=None)
@given(seeds)
def test_ac1_agrees_with_counting_all_pairs(seed: int) -> None:
    counts = random_counts(seed)
    found = gwet_ac1(counts)
    if found.value is None:
        assert found.reason == NO_PAIRS
        return

    assert found.value == pytest.approx(brute_force_ac1(counts), abs=1e-10)
    assert -1 <= found.value <= 1


@settings(max_examples=40, deadline=None)
@given(seeds, st.integers(2, 6))
def test_order_of_items_and_classes_does_not_matter(seed: int, raters: int) -> None:
    counts = random_counts(seed, raters=raters)
    rng = np.random.default_rng(seed)
    moved = rng.permutation(rng.permutation(counts).T).T

    assert fleiss_kappa(moved).kappa == pytest.approx(fleiss_kappa(counts).kappa)
    for coefficient in (gwet_ac1, krippendorff_alpha):
        assert coefficient(moved).value == pytest.approx(coefficient(counts).value)


def test_kappa_sinks_when_bad_parts_are_rare_and_ac1_does_not() -> None:
    """Own study, the same four experts: kappa .656 and .452, AC1 .664 and .755."""
    line = np.random.default_rng(73).normal(0, 0.08, (4, 1))
    figures = {}
    for share in (0.5, 0.1):
        rng = np.random.default_rng([73, int(100 * share)])
        distance = rng.gamma(1.5, 0.2, 4000) * np.where(rng.random(4000) < share, 1, -1)
        rejects = 0.01 + 0.98 * ndtr((distance - line) / 0.10)
        count = (rng.random((4, 4000)) < rejects).sum(axis=0)
        counts = np.column_stack([4 - count, count])
        figures[share] = some(fleiss_kappa(counts).kappa), some(gwet_ac1(counts).value)

    assert figures[0.1][0] < figures[0.5][0] - 0.1
    assert figures[0.1][1] > figures[0.5][1] + 0.03


@pytest.mark.parametrize(
    ("coefficient", "counts", "reason"),
    [
        (krippendorff_alpha, [[3, 0], [4, 0]], ONE_CLASS),
        (krippendorff_alpha, [[1, 0], [0, 1]], NO_PAIRS),
        (gwet_ac1, [[1, 0], [0, 1]], NO_PAIRS),
        (gwet_ac1, np.zeros((0, 2)), NO_PAIRS),
    ],
)
def test_undefined_coefficients_are_none_with_a_reason(
    coefficient: Callable[[npt.ArrayLike], object], counts: npt.ArrayLike, reason: str
) -> None:
    found = coefficient(counts)

    assert getattr(found, "value", 0) is None
    assert getattr(found, "reason", None) == reason


@pytest.mark.parametrize(
    ("counts", "reason"), [([[3, 0], [3, 0]], ONE_CLASS), (np.zeros((0, 2)), NO_PAIRS)]
)
def test_undefined_fleiss_is_none_with_a_reason(counts: npt.ArrayLike, reason: str) -> None:
    found = fleiss_kappa(counts)

    assert (found.kappa, found.se_null, found.z) == (None, None, None)
    assert found.reason == reason


def test_ac1_is_defined_where_kappa_is_not() -> None:
    assert gwet_ac1([[3, 0], [3, 0]]).value == 1.0


def test_missing_ratings_are_no_obstacle_to_krippendorff() -> None:
    full = numbers("fleiss1971_counts_30x5.csv")
    thinned = full.copy()
    thinned[0] = [0, 0, 0, 1, 0]

    assert krippendorff_alpha(thinned).items == 29


@pytest.mark.parametrize(
    ("call", "argument", "message"),
    [
        (cohen_kappa, [[1, 2, 3], [4, 5, 6]], "table has shape .*as many rows as columns"),
        (cohen_kappa, [[1, -2], [4, 5]], "table holds a negative count"),
        (cohen_kappa, [[1, 0.5], [4, 5]], "table holds a fraction"),
        (cohen_kappa, [[1, np.nan], [4, 5]], "table holds NaN"),
        (fleiss_kappa, [[2, 1], [3, 1]], "row 2, has 4 ratings and row 1 has 3.*krippendorff"),
        (fleiss_kappa, [[1, 0], [0, 1]], "counts has 1 rating"),
        (fleiss_kappa, [[2, -1]], "counts holds a negative count"),
        (gwet_ac1, [[2], [2]], "counts has fewer than 2 columns"),
        (gwet_ac1, [[np.nan, 2]], "counts holds NaN"),
        (krippendorff_alpha, [[-1, 2]], "counts holds a negative count"),
    ],
)
def test_bad_input_is_named_with_its_remedy(
    call: Callable[[npt.ArrayLike], object], argument: npt.ArrayLike, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        call(argument)


def test_confidence_outside_nought_to_one_is_refused() -> None:
    with pytest.raises(ValueError, match="confidence is 1"):
        cohen_kappa([[1, 0], [0, 1]], confidence=1)
