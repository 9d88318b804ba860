"""Colour arithmetic against published values."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from media_demo.pictures.arrays import linear, to_srgb
from media_demo.pictures.resins import RESINS, from_lab, lot_material, shifted, to_lab


@pytest.mark.parametrize(
    ("rgb", "lab"),
    [
        # sRGB primaries in CIELAB under D65, as colour calculators print them (from memory)
        ((1.0, 0.0, 0.0), (53.24, 80.09, 67.20)),
        ((0.0, 1.0, 0.0), (87.73, -86.18, 83.18)),
        ((0.0, 0.0, 1.0), (32.30, 79.19, -107.86)),
        ((1.0, 1.0, 1.0), (100.0, 0.0, 0.0)),
    ],
)
def test_primaries(rgb: tuple[float, float, float], lab: tuple[float, float, float]) -> None:
    assert to_lab(linear(rgb)) == pytest.approx(lab, abs=0.03)


def test_middle_grey_of_the_transfer_curve() -> None:
    """IEC 61966-2-1: a code value of one half is 0.2140 of the light."""
    assert linear((0.5, 0.5, 0.5))[0] == pytest.approx(0.21404, abs=1e-5)


@given(st.tuples(*[st.floats(0.01, 0.99)] * 3))
def test_there_and_back(rgb: tuple[float, float, float]) -> None:
    assert to_srgb(linear(rgb)) == pytest.approx(rgb, abs=1e-6)
    assert from_lab(to_lab(linear(rgb))) == pytest.approx(linear(rgb), abs=1e-5)


def test_a_shift_is_as_large_as_asked() -> None:
    grey = linear((0.5, 0.5, 0.5))
    moved = shifted(grey, 1.0, -2.0, 2.0)
    assert math.dist(to_lab(grey), to_lab(moved)) == pytest.approx(3.0, abs=1e-6)


@pytest.mark.parametrize("name", RESINS)
def test_lots_stay_near_their_master(name: str) -> None:
    master = to_lab(linear(RESINS[name].colour))
    for seed in range(12):
        lot = lot_material(RESINS[name], np.random.default_rng(seed))
        assert math.dist(master, to_lab(lot.colour)) < 1.5
