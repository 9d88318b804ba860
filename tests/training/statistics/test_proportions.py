"""Intervals for proportions: published values, independent code, and what must always hold."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, binomtest
from statsmodels.stats.proportion import proportion_confint

from training.statistics.checks import FloatArray
from training.statistics.proportions import Interval, clopper_pearson, upper_bound, wilson

counts = st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))
confidences = st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99])
INTERVALS = [clopper_pearson, wilson]


def test_interval_knows_width_and_membership() -> None:
    interval = Interval(0.1, 0.3)

    assert interval.width == pytest.approx(0.2)
    assert 0.1 in interval
    assert 0.31 not in interval


@given(counts, confidences)
def test_clopper_pearson_agrees_with_scipy(xn: tuple[int, int], confidence: float) -> None:
    ours = clopper_pearson(*xn, confidence)
    theirs = binomtest(*xn).proportion_ci(confidence, method="exact")

    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-9)


@given(counts, confidences)
def test_wilson_agrees_with_scipy(xn: tuple[int, int], confidence: float) -> None:
    ours = wilson(*xn, confidence)
    theirs = binomtest(*xn).proportion_ci(confidence, method="wilson")

    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-12)


@given(counts, confidences)
def test_both_agree_with_statsmodels(xn: tuple[int, int], confidence: float) -> None:
    for ours, method in ((clopper_pearson, "beta"), (wilson, "wilson")):
        interval = ours(*xn, confidence)
        low, high = proportion_confint(*xn, alpha=1 - confidence, method=method)

        assert (interval.low, interval.high) == pytest.approx((low, high), abs=1e-9)


@given(counts, confidences)
def test_upper_bound_leaves_exactly_the_rest_in_its_tail(
    xn: tuple[int, int], confidence: float
) -> None:
    x, n = xn
    bound = upper_bound(x, n, confidence)

    expected = 1.0 if x == n else 1 - confidence
    assert binom.cdf(x, n, bound) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("interval_of", INTERVALS)
@given(xn=counts, confidence=confidences)
def test_ends_lie_in_order_around_the_observed_rate(
    interval_of: type, xn: tuple[int, int], confidence: float
) -> None:
    x, n = xn
    interval = interval_of(x, n, confidence)

    assert 0 <= interval.low <= x / n <= interval.high <= 1
    assert (interval.low == 0) == (x == 0)
    assert (interval.high == 1) == (x == n)


@pytest.mark.parametrize("interval_of", INTERVALS)
@given(xn=counts, confidence=confidences)
def test_errors_and_right_answers_are_mirror_images(
    interval_of: type, xn: tuple[int, int], confidence: float
) -> None:
    x, n = xn
    errors, right = interval_of(x, n, confidence), interval_of(n - x, n, confidence)

    assert (right.low, right.high) == pytest.approx((1 - errors.high, 1 - errors.low), abs=1e-12)


@pytest.mark.parametrize("interval_of", INTERVALS)
@given(xn=counts, confidence=confidences)
def test_one_more_right_answer_never_raises_either_end(
    interval_of: type, xn: tuple[int, int], confidence: float
) -> None:
    x, n = xn
    before, after = interval_of(x, n, confidence), interval_of(x, n + 1, confidence)

    assert after.low <= before.low + 1e-15
    assert after.high <= before.high + 1e-15


@pytest.mark.parametrize("interval_of", INTERVALS)
@given(xn=counts, confidence=confidences)
def test_one_more_error_never_lowers_either_end(
    interval_of: type, xn: tuple[int, int], confidence: float
) -> None:
    x, n = xn
    before, after = interval_of(x, n, confidence), interval_of(x + 1, n + 1, confidence)

    assert after.low >= before.low - 1e-15
    assert after.high >= before.high - 1e-15


@pytest.mark.parametrize("interval_of", INTERVALS)
@given(xn=counts, confidence=confidences)
def test_twice_the_judgements_at_the_same_rate_narrow_the_interval(
    interval_of: type, xn: tuple[int, int], confidence: float
) -> None:
    x, n = xn

    assert interval_of(2 * x, 2 * n, confidence).width < interval_of(x, n, confidence).width


@pytest.mark.parametrize("n", [5, 22, 65])
def test_clopper_pearson_covers_at_least_as_often_as_stated(n: int) -> None:
    intervals = [clopper_pearson(x, n, 0.95) for x in range(n + 1)]
    for step in range(1, 60):
        p = step / 100
        covered = sum(binom.pmf(x, n, p) for x, interval in enumerate(intervals) if p in interval)

        assert covered >= 0.95


def test_coverage_at_65_judgements_matches_the_methods_study() -> None:
    """Exact coverage over rates from 1 % to 30 % in steps of 0.1 % (own study)."""
    rates = np.linspace(0.01, 0.30, 291)[:, np.newaxis]
    chances = np.asarray(binom.pmf(np.arange(66), 65, rates))

    def coverage(intervals: list[Interval]) -> FloatArray:
        low, high = (np.array([getattr(i, end) for i in intervals]) for end in ("low", "high"))
        covered: FloatArray = np.where((low <= rates) & (rates <= high), chances, 0.0)
        return covered @ np.ones(66)

    exact = [clopper_pearson(x, 65) for x in range(66)]
    assert coverage(exact).min() == pytest.approx(0.952, abs=5e-4)
    assert coverage(exact).mean() == pytest.approx(0.970, abs=5e-4)
    assert (chances @ np.array([i.width for i in exact])).mean() == pytest.approx(0.176, abs=5e-4)
    assert coverage([wilson(x, 65) for x in range(66)]).min() == pytest.approx(0.926, abs=5e-4)


@pytest.mark.parametrize(("x", "n", "bound"), [(3, 65, 0.0999), (0, 22, 0.099), (4, 38, 0.199)])
def test_upper_bound_of_the_default_plans(x: int, n: int, bound: float) -> None:
    """What a certificate prints after a fixed plan passed at its limit (own study, exact)."""
    assert upper_bound(x, n) == pytest.approx(bound, abs=6e-4)


@pytest.mark.parametrize("function", [clopper_pearson, wilson, upper_bound])
@pytest.mark.parametrize(
    ("x", "n", "message"),
    [
        (1, 0, "^n is 0, .* at least 1"),
        (0, -3, "^n is -3"),
        (-1, 5, "^x is -1, .* errors lie between 0 and the judgements n"),
        (6, 5, "^x is 6, outside 0 to 5"),
        (1.5, 5, "^x is 1.5, not a whole number"),
        (math.nan, 5, "^x is nan, not a whole number"),
        (1, "5", "^n is '5', not a whole number"),
    ],
)
def test_bad_counts_are_refused(function: type, x: object, n: object, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        function(x, n)


@pytest.mark.parametrize("function", [clopper_pearson, wilson, upper_bound])
@pytest.mark.parametrize("confidence", [0, 1, 95, -0.5, math.nan])
def test_bad_confidence_is_refused(function: type, confidence: float) -> None:
    with pytest.raises(ValueError, match=r"^confidence is .*such as 0\.95 for 95 %"):
        function(1, 10, confidence)
