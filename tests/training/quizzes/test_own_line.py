"""Where somebody sets the line on a ladder, against the job's limit."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.quizzes.own_line import OwnLine, Setting, Side, own_line, setting_at

RUNGS = [0.0, 2.4, 3.9, 5.4, 7.0, 8.7, 10.8]
LIMIT = 6.0
ladders = st.lists(
    st.floats(0.01, 100), min_size=2, max_size=12, unique_by=lambda value: round(value, 6)
).map(sorted)


def at(*accepted: int) -> OwnLine:
    return own_line([setting_at(RUNGS, each) for each in accepted], RUNGS, LIMIT)


def test_a_setting_lies_between_two_rungs() -> None:
    assert setting_at(RUNGS, 4) == Setting(5.4, 7.0)
    assert setting_at(RUNGS, 4).line == pytest.approx(math.sqrt(5.4 * 7.0))


def test_the_ends_have_no_line() -> None:
    assert setting_at(RUNGS, 0) == Setting(None, 0.0)
    assert setting_at(RUNGS, 7) == Setting(10.8, None)
    assert setting_at(RUNGS, 0).line is None
    assert setting_at(RUNGS, 7).line is None
    assert at(4, 7).line is None
    assert at(4, 7).ratio is None


def test_next_to_a_clean_part_half_the_smallest_rejected_stands() -> None:
    assert setting_at(RUNGS, 1).line == 1.2


@pytest.mark.parametrize(
    ("accepted", "side"),
    [
        (0, Side.STRICTER),
        (3, Side.STRICTER),
        (4, Side.AT_LIMIT),
        (5, Side.LOOSER),
        (7, Side.LOOSER),
    ],
)
def test_sides(accepted: int, side: Side) -> None:
    assert setting_at(RUNGS, accepted).side(LIMIT) is side


def test_a_part_just_at_the_limit_is_accepted() -> None:
    assert Setting(5.0, 6.0).side(6.0) is Side.STRICTER
    assert Setting(6.0, 7.0).side(6.0) is Side.AT_LIMIT


def test_settings_are_taken_together_as_ratios() -> None:
    found = at(3, 4, 5)
    lines = [math.sqrt(a * b) for a, b in ((3.9, 5.4), (5.4, 7.0), (7.0, 8.7))]
    assert found.line == pytest.approx(math.prod(lines) ** (1 / 3))
    assert found.ratio == pytest.approx((found.line or 0) / 6)
    assert found.low == pytest.approx(lines[0])
    assert found.high == pytest.approx(lines[2])
    assert [found.count(side) for side in Side] == [1, 1, 1]
    assert found.finest == pytest.approx(7.0 / 5.4)


def test_a_ladder_that_does_not_rise_is_refused() -> None:
    with pytest.raises(ValueError, match="rise"):
        setting_at([1.0, 1.0], 1)
    with pytest.raises(ValueError, match="accepted"):
        setting_at([1.0, 2.0], 3)
    with pytest.raises(ValueError, match="setting"):
        own_line([], [1.0, 2.0], 1.0)


@given(ladders, st.data())
def test_the_line_lies_within_its_step_and_sides_follow_the_limit(
    rungs: list[float], data: st.DataObject
) -> None:
    accepted = data.draw(st.integers(0, len(rungs)))
    limit = data.draw(st.floats(0.01, 100))
    setting = setting_at(rungs, accepted)
    if setting.line is not None:
        low, high = setting.low or 0, setting.high or math.inf
        assert low * (1 - 1e-9) <= setting.line <= high * (1 + 1e-9)
    good = sum(each <= limit for each in rungs)
    side = setting.side(limit)
    # Stricter exactly when a part within the limit is rejected, looser when one over it is accepted.
    assert (side is Side.STRICTER) == (accepted < good)
    assert (side is Side.LOOSER) == (accepted > good)
