"""The studio: a part of a picture is that part of the whole, and frames are no larger than needed."""

import numpy as np
import pytest

from media_demo.pictures.assembly import lay
from media_demo.pictures.fields import Fields
from media_demo.pictures.requests import SpecimenRequest
from media_demo.pictures.scenes.props import prop, raise_solid
from media_demo.pictures.scenes.studio import (
    RIM,
    Studio,
    bench_fields,
    draw_nuisance,
    in_world_axes,
    open_studio,
)
from media_demo.pictures.shapes import Box
from media_demo.pictures.view import Pose, View, Window
from tests.media_demo.pictures.scene_shots import pixels

TALL = 28.0
FRAME = Window(256, 352, 352, 448)


def studio_of(seed: int) -> Studio:
    request = SpecimenRequest("knob", "grey", seed)
    view = View(800, 600, 5.0, 12.0, Pose())
    return open_studio(request, view, draw_nuisance(request, "form"))


def walls(view: View) -> Fields:
    """Walls on all sides of the frame, as tall as a tote's, and a low block in it."""
    fields = bench_fields(view, TALL + 2)
    for x, y, wide, tall in ((-33, 0, 4, 50), (33, 0, 4, 50), (0, 32, 50, 4), (0, -34, 50, 4)):
        _stand(fields, Box(x, y, wide, tall, 1), TALL)
    _stand(fields, Box(-2, 0, 4, 4, 1), 5.0)
    return fields


def _stand(fields: Fields, box: Box, top: float) -> None:
    thing = prop(fields.view, Pose(), box.bounds, alpha=0.4)
    raise_solid(thing, box, top, (0.6, 0.6, 0.6))
    lay(fields, thing)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_frame_shows_what_the_whole_picture_shows_there(seed: int) -> None:
    studio = studio_of(seed)
    ground = walls(studio.view).copy_of(studio.ground_of(FRAME, TALL))
    whole = studio.photograph(walls(studio.view))
    framed = studio.photograph(ground, FRAME)
    inner = FRAME.grown(-RIM)
    apart = pixels(whole)[inner.slices_in(studio.whole)] - pixels(framed)[inner.slices_in(FRAME)]
    assert np.abs(apart).max() <= 1


def square(x: float, y: float, half: float = 10) -> tuple[tuple[float, float], ...]:
    corners = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return tuple((x + half * a, y + half * b) for a, b in corners)


def test_marks_far_apart_have_frames_of_their_own() -> None:
    studio = studio_of(1)
    apart = studio.frames_of([square(50, 50), square(630, 440)])
    assert len(apart) == 2
    assert len(studio.frames_of([square(150, 150), square(160, 150)])) == 1
    assert studio.frames_of([square(-400, 50)]) == []


def test_a_twin_that_is_alike_shows_nothing() -> None:
    studio = studio_of(2)
    picture = studio.photograph(walls(studio.view))
    twins = {
        frame: studio.photograph(walls(studio.view), frame)
        for frame in (FRAME, Window(320, 416, 416, 512))
    }
    look = studio.compare(picture, twins, [])
    assert look.regions == ()
    assert look.visibility == 0.0


def test_a_thing_made_in_its_own_axes_lies_where_it_was_posed() -> None:
    view, pose = studio_of(1).view, Pose(8.0, 12.0, -7.0)
    fields = bench_fields(view, 5, pose=pose)
    box = Box(0, 0, 30, 20, 1)
    raise_solid(fields, box, 3.0)
    made = fields.height.copy()
    in_world_axes(fields)
    placed = prop(view, pose, box.bounds, alpha=0.4)
    raise_solid(placed, box, 3.0)
    laid = bench_fields(view, 5)
    lay(laid, placed)
    assert np.abs(made - laid.height).max() < 0.02
    assert np.array_equal(fields.u, laid.u)
