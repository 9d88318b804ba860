"""Outlines: inside the picture, at least three corners, no side crosses another."""

import math
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from training.specimens.polygons import PolygonError, area, checked_polygon, first_crossing

coordinate = st.floats(0, 400, allow_nan=False)
points = st.lists(st.tuples(coordinate, coordinate), min_size=3, max_size=12)


def code_of(corners: object, width: int = 400, height: int = 300) -> str:
    with pytest.raises(PolygonError) as caught:
        checked_polygon(corners, width, height)  # type: ignore[arg-type]
    return caught.value.code


def test_takes_a_square_and_rounds_to_tenths_of_a_pixel() -> None:
    square = [(10.04, 10), (50, 10), (50, 50), (10, 50)]
    assert checked_polygon(square, 400, 300) == [
        [10.0, 10.0],
        [50.0, 10.0],
        [50.0, 50.0],
        [10.0, 50.0],
    ]


def test_drops_a_point_tapped_twice_and_a_closing_point() -> None:
    taps = [(10, 10), (10.2, 10.1), (50, 10), (30, 60), (10, 10)]
    assert checked_polygon(taps, 400, 300) == [[10, 10], [50, 10], [30, 60]]


@pytest.mark.parametrize(
    ("corners", "code"),
    [
        ([], "too_few"),
        ([(1, 1), (2, 2)], "too_few"),
        ([(1, 1), (1, 1), (1, 1)], "too_few"),
        ([(0, 0), (401, 0), (0, 300)], "outside"),
        ([(0, 0), (100, -1), (0, 300)], "outside"),
        ([(0, 0), (100, 100), (100, 0), (0, 100)], "crosses_itself"),
        ([(0, 0), (100, 0), (50, 0), (50, 50)], "crosses_itself"),
        ([(0, 0), (100, 0), (100, 100), (50, 0), (0, 100)], "crosses_itself"),
        ([(0, 0), (50, 50), (100, 100)], "crosses_itself"),
        ([(0, 0), (1, 0), (0.6, 0.6)], "no_area"),
        ([(math.nan, 0), (1, 0), (0, 1)], "not_points"),
        ([(math.inf, 0), (1, 0), (0, 1)], "not_points"),
        ([("a", 0), (1, 0), (0, 1)], "not_points"),
        ([(1, 2, 3), (1, 0), (0, 1)], "not_points"),
        ([5, 6, 7], "not_points"),
    ],
)
def test_says_what_is_wrong(corners: object, code: str) -> None:
    assert code_of(corners) == code


def test_too_many_points() -> None:
    circle = [
        (150 + 140 * math.cos(a / 500 * math.tau), 150 + 140 * math.sin(a / 500 * math.tau))
        for a in range(500)
    ]
    assert code_of(circle) == "too_many"


@given(st.lists(st.floats(0, math.tau, exclude_max=True), min_size=3, max_size=40, unique=True))
def test_points_in_order_around_a_circle_are_always_taken(angles: list[float]) -> None:
    angles = sorted(round(angle, 1) for angle in angles)
    assume(len(set(angles)) == len(angles) and angles[-1] - angles[0] < 6.1)
    corners = [(200 + 90 * math.cos(a), 150 + 90 * math.sin(a)) for a in angles]
    taken = checked_polygon(corners, 400, 300)
    # The area of the polygon of n points on a circle: half the sum of r² sin(angle between).
    turns = [b - a for a, b in zip(angles, [*angles[1:], angles[0] + math.tau], strict=True)]
    expected = sum(90 * 90 / 2 * math.sin(turn) for turn in turns)
    # Corners are rounded to tenths of a pixel.
    assert abs(area(taken)) == pytest.approx(expected, abs=0.1 * 90 * math.tau)  # type: ignore[arg-type]


@given(points)
def test_what_is_taken_is_sound_and_taken_again(corners: list[tuple[float, float]]) -> None:
    try:
        taken = checked_polygon(corners, 400, 400)
    except PolygonError:
        return
    assert len(taken) >= 3
    assert all(0 <= x <= 400 and 0 <= y <= 400 for x, y in taken)
    assert checked_polygon(taken, 400, 400) == taken


@given(points)
def test_crossings_agree_with_exact_whole_number_geometry(
    corners: list[tuple[float, float]],
) -> None:
    whole = [(int(x) // 40, int(y) // 40) for x, y in corners]
    assume(all(a != b for a, b in zip(whole, [*whole[1:], whole[0]], strict=True)))
    found = first_crossing([(float(x), float(y)) for x, y in whole]) is not None
    assert found == _crosses(whole)


Whole = tuple[int, int]
Side = tuple[Whole, Whole]


def _crosses(corners: list[Whole]) -> bool:
    """The same question side by side, with exact fractions."""
    count = len(corners)
    sides = [(corners[k], corners[(k + 1) % count]) for k in range(count)]
    for i in range(count):
        for j in range(i + 1, count):
            shared = {corners[j]} if j == i + 1 else set()
            if i == 0 and j == count - 1:
                shared = shared | {corners[0]}
            if _common_points(sides[i], sides[j]) - shared:
                return True
    return False


def _common_points(one: Side, two: Side) -> set[tuple[Fraction | int, Fraction | int]]:
    """Points two sides share: their meeting point, or the ends that lie on the other side."""
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = two
    wide = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    if wide:
        t = Fraction((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx), wide)
        u = Fraction((cx - ax) * (by - ay) - (cy - ay) * (bx - ax), wide)
        met = 0 <= t <= 1 and 0 <= u <= 1
        return {(ax + t * (bx - ax), ay + t * (by - ay))} if met else set()
    if (bx - ax) * (cy - ay) != (by - ay) * (cx - ax):
        return set()
    ends = [(end, two) for end in one] + [(end, one) for end in two]
    return {end for end, side in ends if _in_box(end, side)}


def _in_box(point: Whole, side: Side) -> bool:
    (x, y), ((x0, y0), (x1, y1)) = point, side
    return min(x0, x1) <= x <= max(x0, x1) and min(y0, y1) <= y <= max(y0, y1)
