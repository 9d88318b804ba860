"""What the design of a study can tell before anybody judges."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from training.quizzes.agreement.precision import precision_of


def test_the_usual_design() -> None:
    """Intervals against scipy's exact binomial ones, an implementation that is not ours."""
    found = precision_of(bad=16, good=34, people=3, repeats=3)
    assert (found.parts, found.judgements, found.small) == (50, 450, False)
    for example, count, of in (
        (found.effectiveness, 45, 50),
        (found.all_right, 50, 50),
        (found.no_miss, 0, 48),
        (found.no_alarm, 0, 102),
    ):
        exact = binomtest(count, of).proportion_ci(0.95, method="exact")
        assert (example.count, example.of) == (count, of)
        assert example.interval.low == pytest.approx(exact.low, abs=1e-9)
        assert example.interval.high == pytest.approx(exact.high, abs=1e-9)
    assert found.can_accept


def test_two_per_cent_of_misses_take_far_more_than_the_usual_design() -> None:
    """0 of n shows at most 1 - 0.025^(1/n): 183 is the first n at or below 2 %."""
    needed = precision_of(bad=16, good=34, people=3, repeats=3).decisions_for_misses
    assert 1 - 0.025 ** (1 / needed) <= 0.02 < 1 - 0.025 ** (1 / (needed - 1))
    assert needed == 183


@pytest.mark.parametrize(
    ("bad", "good", "people", "repeats"), [(20, 29, 3, 3), (25, 25, 2, 3), (25, 25, 3, 2)]
)
def test_smaller_than_usual_in_any_direction_is_small(
    bad: int, good: int, people: int, repeats: int
) -> None:
    assert precision_of(bad=bad, good=good, people=people, repeats=repeats).small


def test_twenty_parts_cannot_show_an_acceptable_effectiveness() -> None:
    assert not precision_of(bad=10, good=10, people=3, repeats=3).can_accept
    assert precision_of(bad=18, good=18, people=3, repeats=3).can_accept


@given(
    bad=st.integers(1, 60),
    good=st.integers(1, 60),
    people=st.integers(1, 9),
    repeats=st.integers(1, 5),
)
def test_intervals_are_intervals(bad: int, good: int, people: int, repeats: int) -> None:
    found = precision_of(bad=bad, good=good, people=people, repeats=repeats)
    low, high = found.kappa
    assert -1 <= low <= high <= 1
    assert 0 <= found.effectiveness.interval.low <= found.effectiveness.interval.high <= 1


def test_more_parts_narrow_kappa() -> None:
    widths = [
        high - low
        for bad in (10, 25, 50)
        for low, high in [precision_of(bad=bad, good=bad, people=3, repeats=3).kappa]
    ]
    assert widths == sorted(widths, reverse=True)


@pytest.mark.parametrize("missing", ["bad", "good", "people", "repeats"])
def test_a_design_without_one_of_them_is_refused(missing: str) -> None:
    design = {"bad": 5, "good": 5, "people": 2, "repeats": 2, missing: 0}
    with pytest.raises(ValueError, match="at least 1 each"):
        precision_of(**design)
