"""Signed distances: right sign, right size, never steeper than one."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from media_demo.pictures.shapes import (
    Bar,
    Box,
    Disc,
    Grown,
    Joined,
    Polygon,
    Rim,
    Shape,
    Shared,
    Without,
)

SHAPES: tuple[Shape, ...] = (
    Box(1, -2, 8, 5, 2, 30),
    Disc(0, 3, 4),
    Bar(-5, 0, 6, 4, 1.5),
    Polygon(((-6, -4), (7, -3), (5, 6), (-2, 2)), 0.5),
    Rim(Disc(0, 0, 6), 0.7),
    Grown(Box(0, 0, 4, 3, 1), 2),
)


def at(shape: Shape, u: float, v: float) -> float:
    return float(shape.distance(np.array([u], np.float32), np.array([v], np.float32))[0])


@given(st.sampled_from(SHAPES), *[st.floats(-15, 15)] * 4)
def test_distance_changes_no_faster_than_the_way(
    shape: Shape, a: float, b: float, c: float, d: float
) -> None:
    way = np.hypot(a - c, b - d)
    assert abs(at(shape, a, b) - at(shape, c, d)) <= way + 1e-3


@given(st.sampled_from(SHAPES), st.floats(-15, 15), st.floats(-15, 15))
def test_everything_inside_lies_in_the_bounds(shape: Shape, u: float, v: float) -> None:
    box = shape.bounds
    if at(shape, u, v) < -1e-3:
        assert box.u0 <= u <= box.u1
        assert box.v0 <= v <= box.v1


@pytest.mark.parametrize(
    ("shape", "point", "expected"),
    [
        (Disc(0, 0, 5), (8, 0), 3),
        (Disc(0, 0, 5), (0, 0), -5),
        (Box(0, 0, 4, 3, 0.5), (9, 0), 5),
        (Box(0, 0, 4, 3, 0.5, 90), (0, 9), 5),
        (Bar(0, 0, 10, 0, 1), (5, 4), 3),
        (Polygon(((0, 0), (10, 0), (10, 10), (0, 10))), (5, 5), -5),
        (Grown(Disc(0, 0, 5), -2), (3, 0), 0),
    ],
)
def test_known_distances(shape: Shape, point: tuple[float, float], expected: float) -> None:
    assert at(shape, *point) == pytest.approx(expected, abs=1e-3)


@settings(max_examples=60)
@given(st.floats(-12, 12), st.floats(-12, 12))
def test_set_operations_without_a_fillet(u: float, v: float) -> None:
    a, b = Disc(-3, 0, 6), Box(3, 1, 5, 5, 1)
    near, other = at(a, u, v), at(b, u, v)
    assert at(Joined(a, b), u, v) == pytest.approx(min(near, other), abs=1e-4)
    assert at(Shared(a, b), u, v) == pytest.approx(max(near, other), abs=1e-4)
    assert at(Without(a, b), u, v) == pytest.approx(max(near, -other), abs=1e-4)
