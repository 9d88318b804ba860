"""Grey zones: order, mirrors, one-sided limits, what has no zone, bad input."""

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.training.statistics.published_data import rows
from training.statistics.agreement import zone_method

TABLE = rows("attribute_study_50x3x3.csv")
VALUES = np.array([float(row["ref_value"]) for row in TABLE])
CODES = [row["code"] for row in TABLE]


def some(value: float | None) -> float:
    assert value is not None
    return value


@given(st.permutations(range(len(CODES))))
def test_order_of_parts_does_not_matter(order: list[int]) -> None:
    moved = zone_method(VALUES[order], [CODES[i] for i in order])

    assert moved == zone_method(VALUES, CODES)


@given(st.floats(-5, 5), st.floats(0.01, 100))
def test_moving_and_stretching_the_scale_stretches_the_zones(shift: float, factor: float) -> None:
    found, moved = zone_method(VALUES, CODES), zone_method(factor * VALUES + shift, CODES)

    assert some(moved.width) == pytest.approx(factor * some(found.width), rel=1e-6)


def test_turning_the_scale_about_swaps_the_zones() -> None:
    found, turned = zone_method(VALUES, CODES), zone_method(-VALUES, CODES)

    assert some(turned.upper) == pytest.approx(some(found.lower))
    assert some(turned.lower) == pytest.approx(some(found.upper))


def test_share_of_the_tolerance_decides_capability() -> None:
    wide = zone_method(VALUES, CODES, (0.40, 0.60))
    narrow = zone_method(VALUES, CODES, (0.45, 0.55))

    assert wide.capable is True
    assert narrow.capable is False
    assert zone_method(VALUES, CODES).capable is None


def test_one_limit_has_one_zone() -> None:
    found = zone_method([1, 2, 3, 4], list("++x-"))

    assert (found.upper, found.lower, found.width, found.uncertainty) == (2, None, 2, 1)


@pytest.mark.parametrize(
    ("codes", "reason"),
    [
        ("xx-", "No part was accepted by everyone every time."),
        ("+xx", "No part was rejected by everyone every time."),
        ("+-+", "A part everyone rejected (2) lies between parts everyone accepted"),
        ("", "No part was accepted"),
    ],
)
def test_without_a_zone_there_is_a_reason(codes: str, reason: str) -> None:
    found = zone_method(range(1, len(codes) + 1), list(codes))

    assert (found.width, found.upper, found.lower) == (None, None, None)
    assert found.reason is not None
    assert reason in found.reason


@pytest.mark.parametrize(
    ("values", "codes", "limits", "message"),
    [
        ([1, np.nan], "+-", None, "values holds NaN"),
        ([1, 2], "+", None, "codes holds 1 values; give 2"),
        ([1, 2], "+?", None, "codes, value 2, is '\\?'; give '\\+'"),
        ([1, 2], "+-", (2.0, 1.0), "limits\\[0\\] is 2 and limits\\[1\\] is 1"),
    ],
)
def test_bad_input_is_named_with_its_remedy(
    values: npt.ArrayLike, codes: str, limits: tuple[float, float] | None, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        zone_method(values, list(codes), limits)
