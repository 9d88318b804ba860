"""Which pixel shows which millimetre."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from media_demo.pictures.fields import Fields
from media_demo.pictures.projection import project
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bounds, Box
from media_demo.pictures.view import Pose, View, Window

INK = (0.2, 0.2, 0.2)


def a_view(**changes: object) -> View:
    pose = Pose(turn_deg=5, x_mm=2, y_mm=-1)
    return replace(View(600, 450, 4.0, 17.0, pose), **changes)  # type: ignore[arg-type]


@given(st.floats(-50, 50), st.floats(-35, 35), st.booleans(), st.floats(0, 62))
def test_the_pixel_of_a_point_shows_the_point(
    u: float, v: float, mirrored: bool, tilt: float
) -> None:
    view = a_view(pose=Pose(5, 2, -1, mirrored), tilt_deg=tilt)
    col, row = view.to_fine(u, v)
    here = Window(round(row), round(row) + 1, round(col), round(col) + 1)
    shown_u, shown_v = view.part_of(here)
    step = 1.0 / view.fine_per_mm / np.cos(view.tilt)
    assert abs(float(shown_u[0, 0]) - u) <= step
    assert abs(float(shown_v[0, 0]) - v) <= step


def test_height_moves_a_point_up_by_the_sine_of_the_tilt() -> None:
    view = a_view(tilt_deg=30.0)
    _, low = view.to_picture(10, 5, 0)
    _, high = view.to_picture(10, 5, 8)
    assert low - high == pytest.approx(8 * 0.5 * 4.0, abs=1e-6)


def test_the_look_at_point_lies_in_the_middle() -> None:
    view = a_view(look_at=(12.0, -7.0, 6.0), pose=Pose())
    x, y = view.to_picture(12, -7, 6)
    assert (x, y) == pytest.approx((299.5, 224.5), abs=1e-6)


def test_a_ground_window_holds_its_box() -> None:
    view = a_view(look_at=(0.0, 0.0, 5.0))
    window = view.ground_window(Bounds(-20, -10, 30, 15))
    u, v = view.part_of(window)
    assert u.min() < -20
    assert u.max() > 30
    assert v.min() < -10
    assert v.max() > 15


@pytest.mark.parametrize("supersampling", [1.0, 1.5, 2.0])
@pytest.mark.parametrize("top", [2.0, 9.0])
def test_a_rendered_ruler_gives_the_scale(supersampling: float, top: float) -> None:
    """Ridges 10 mm apart lie ten times the stated scale apart in the picture."""
    view = a_view(pose=Pose(), supersampling=supersampling)
    window = view.ground_window(Bounds(-60, -20, 60, 20), 3).aligned(view.alignment)
    fields = Fields.empty(view, window, 0.4)
    sculptor = Sculptor(fields, np.random.default_rng(0), INK)
    for u in range(-50, 51, 10):
        sculptor.solid(Box(u, 0, 1.5, 15, 0.3), top, fillet=0.3, draft=0.3)
    surface = project(fields, view.picture)
    cover = np.zeros(surface.window.shape)
    cover.ravel()[surface.pixel] = surface.cover
    row = round(view.to_fine(0, 0, top)[1]) - surface.window.row0
    line = cover[row] > 0.5
    edges = np.flatnonzero(np.diff(line.astype(int)) == 1)
    pitch = np.diff(edges).mean() / supersampling
    assert len(edges) == 11
    assert pitch == pytest.approx(10 * view.local_px_per_mm(0, 0, top), rel=0.01)


def test_the_far_side_is_drawn_smaller() -> None:
    view = a_view(pose=Pose())
    assert view.local_px_per_mm(0, 60) < view.local_px_per_mm(0, 0) < view.local_px_per_mm(0, -60)
