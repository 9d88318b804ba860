"""What is missed under a condition is named only when the specimens do not explain it."""

from fractions import Fraction
from math import comb

import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint

from training.statistics.conditions import SHOW_FROM, compare_conditions


def tail(x: int, n: int, rate: Fraction) -> float:
    """Sum the binomial chances of x or more in whole fractions, apart from any library."""
    terms = (comb(n, k) * rate**k * (1 - rate) ** (n - k) for k in range(x, n + 1))
    return float(sum(terms, Fraction(0)))


@given(st.integers(20, 60), st.integers(0, 20), st.integers(1, 19))
def test_the_chance_is_the_exact_binomial_tail(n: int, x: int, twentieths: int) -> None:
    rate = Fraction(twentieths, 20)
    found = compare_conditions([x], [n], [float(rate * n)])[0]
    assert found.p_value == pytest.approx(tail(x, n, rate), rel=1e-9)


def test_the_interval_is_clopper_and_pearsons() -> None:
    found = compare_conditions([31], [168], [14.0])[0]
    low, high = proportion_confint(31, 168, method="beta")
    assert found.interval is not None
    assert (found.interval.low, found.interval.high) == pytest.approx((low, high))


def test_the_tired_hour_is_named_and_the_others_are_not() -> None:
    found = compare_conditions([9, 12, 8, 40], [100] * 4, [10.0] * 4)
    assert [each.more for each in found] == [False, False, False, True]


def test_the_more_are_compared_the_more_it_takes() -> None:
    alone = compare_conditions([17], [100], [10.0])[0]
    among = compare_conditions([17] + [10] * 11, [100] * 12, [10.0] * 12)[0]
    assert alone.more
    assert not among.more
    assert alone.p_value == among.p_value


def test_below_twenty_nothing_is_shown_and_it_is_said_why() -> None:
    found = compare_conditions([19], [SHOW_FROM - 1], [1.0])[0]
    assert (found.interval, found.p_value, found.more) == (None, None, False)
    assert found.reason == "Not enough judged (19 of 20)."
    assert compare_conditions([0], [0], [0.0])[0].reason is not None


@pytest.mark.parametrize(
    ("missed", "shown", "expected"), [([1, 2], [3], [1.0]), ([5], [3], [1.0]), ([1], [3], [4.0])]
)
def test_what_cannot_be_is_refused(
    missed: list[int], shown: list[int], expected: list[float]
) -> None:
    with pytest.raises(ValueError, match=r"."):
        compare_conditions(missed, shown, expected)
