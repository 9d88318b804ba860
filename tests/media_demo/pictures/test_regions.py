"""Outlines of masks."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from media_demo.pictures.regions import Polygon, outlines, shape_outline
from media_demo.pictures.shapes import Disc


def filled(polygon: Polygon, size: tuple[int, int]) -> np.ndarray:
    image = Image.new("1", size)
    ImageDraw.Draw(image).polygon(polygon, fill=1, outline=1)
    return np.asarray(image)


@given(st.integers(5, 30), st.integers(5, 30), st.floats(4, 12))
def test_the_outline_of_a_disc_fills_to_the_disc(x: int, y: int, radius: float) -> None:
    yy, xx = np.mgrid[:60, :60]
    mask = np.hypot(xx - x - 12, yy - y - 12) < radius
    (polygon,) = outlines(mask)
    overlap = filled(polygon, (60, 60))
    assert (overlap & mask).sum() / (overlap | mask).sum() > 0.85


def test_largest_first_and_shifted() -> None:
    mask = np.zeros((40, 60), bool)
    mask[2:5, 3:6] = True
    mask[10:30, 20:50] = True
    big, small = outlines(mask, x0=100, y0=200)
    assert min(x for x, _ in big) == 120
    assert max(y for _, y in big) == 229
    assert min(x for x, _ in small) == 103


def test_single_pixels_are_left_out_and_slivers_get_a_box() -> None:
    mask = np.zeros((20, 20), bool)
    mask[3, 3] = True
    assert outlines(mask) == ()
    mask[10, 5:7] = True
    (sliver,) = outlines(mask)
    assert len(sliver) == 4


def test_nothing_has_no_outline() -> None:
    assert outlines(np.zeros((9, 9), bool)) == ()


def test_a_shape_is_outlined_in_its_own_millimetres() -> None:
    points = shape_outline(Disc(10, -5, 8), 0.25)
    radii = [np.hypot(u - 10, v + 5) for u, v in points]
    assert min(radii) == pytest.approx(8, abs=0.5)
    assert max(radii) == pytest.approx(8, abs=0.5)
