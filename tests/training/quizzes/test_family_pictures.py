"""The tile of a family: the defect in it, in one shape, never beyond the picture."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.quizzes.family_pictures import HEIGHT, WIDTH, crop_box

Box = list[list[float]]


@st.composite
def rectangles(draw: st.DrawFn) -> Box:
    x0, x1 = sorted(draw(st.tuples(st.integers(0, 1200), st.integers(0, 1200))))
    y0, y1 = sorted(draw(st.tuples(st.integers(0, 900), st.integers(0, 900))))
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]


@given(polygons=st.lists(rectangles(), max_size=4))
def test_it_lies_in_the_picture_in_the_shape_of_the_tile(polygons: list[Box]) -> None:
    left, top, right, bottom = crop_box(polygons, 1200, 900)
    assert 0 <= left < right <= 1200
    assert 0 <= top < bottom <= 900
    if polygons:
        assert (right - left) / (bottom - top) == pytest.approx(WIDTH / HEIGHT, rel=0.03)


def test_a_small_defect_is_in_the_middle() -> None:
    left, top, right, bottom = crop_box([[[600, 400], [610, 400], [610, 410]]], 1200, 900)
    assert (left + right) / 2 == pytest.approx(605, abs=1)
    assert (top + bottom) / 2 == pytest.approx(405, abs=1)


def test_without_an_outline_the_whole_picture_is_shown() -> None:
    assert crop_box([], 1200, 900) == (0, 0, 1200, 900)
