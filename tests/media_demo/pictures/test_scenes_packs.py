"""Packs and outline boards: what is wrong is counted, marked, and nothing else differs."""

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from media_demo.pictures.assembly import part_in
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.resins import RESINS
from media_demo.pictures.scenes.ladders import scene_ladder
from media_demo.pictures.scenes.tote import PACKS, grid_of
from media_demo.pictures.scenes.wrong_pack import faults_of
from media_demo.pictures.specimens import render_specimen
from media_demo.pictures.view import Pose, View
from tests.media_demo.pictures.scene_shots import difference, inside, pixels, small_pictures

PACK = SpecimenRequest("fascia", "graphite", 5, family="wrong-pack", site="no bag", severity=2)
BOARD = SpecimenRequest(
    "hinge_cover", "white", 5, hand="left", family="mixed-hands", site="board", severity=1
)


@pytest.fixture(scope="module", autouse=True)
def _small() -> Iterator[None]:
    with small_pictures():
        yield


@pytest.fixture(scope="module")
def layer() -> RenderedSpecimen:
    return render_specimen(PACK)


@pytest.fixture(scope="module")
def good_layer() -> RenderedSpecimen:
    return render_specimen(replace(PACK, severity=0))


def test_the_same_request_gives_the_same_layer(layer: RenderedSpecimen) -> None:
    again = render_specimen(PACK)
    assert again.frames[0].tobytes() == layer.frames[0].tobytes()
    assert again.truth == layer.truth


def test_a_clean_layer_is_the_same_picture_without_the_fault(
    good_layer: RenderedSpecimen,
) -> None:
    clean = render_specimen(replace(PACK, family=None, severity=None, look_for="wrong-pack"))
    assert clean.frames[0].tobytes() == good_layer.frames[0].tobytes()
    assert clean.truth.family is None
    assert clean.truth.severity == 0
    assert clean.truth.whole.regions == ()


def test_the_region_holds_what_differs(
    layer: RenderedSpecimen, good_layer: RenderedSpecimen
) -> None:
    differs = difference(layer.frames[0], good_layer.frames[0])
    region = inside(layer.truth.whole.regions, layer.frames[0])
    assert (differs > 8).sum() > 500
    assert (differs[region] > 8).sum() > 0.95 * (differs > 8).sum()
    assert (differs[region] > 2).mean() > 0.3
    assert layer.truth.visible


def test_a_part_is_read_through_its_bag(
    layer: RenderedSpecimen, good_layer: RenderedSpecimen
) -> None:
    """Where a bag was taken off, the picture below was the same, only veiled."""
    region = inside(layer.truth.whole.regions, layer.frames[0])
    bare = pixels(layer.frames[0])[region].mean(axis=1)
    bagged = pixels(good_layer.frames[0])[region].mean(axis=1)
    assert np.corrcoef(bare, bagged)[0, 1] > 0.6
    assert bagged.mean() > bare.mean()


def test_missing_pieces_are_counted_and_the_more_the_plainer() -> None:
    request = SpecimenRequest("knob", "black", 8, family="wrong-pack", site="missing")
    marked, plain = np.zeros((450, 600), bool), 2.0
    for severity in (1, 2, 4):
        made = render_specimen(replace(request, severity=severity))
        assert made.truth.severity == severity
        assert dict(made.truth.shown)["count"] == str(PACKS["knob"].count - severity)
        assert len(made.truth.whole.regions) <= severity
        region = inside(made.truth.whole.regions, made.frames[0])
        # the places that were empty stay empty
        assert region[marked].mean() > 0.95 if marked.any() else region.any()
        assert made.truth.visibility > 0.95 * plain
        marked, plain = region, made.truth.visibility


def test_a_fault_that_a_pack_cannot_show_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot show 'no bag'"):
        render_specimen(replace(PACK, part="knob", resin="black"))


@pytest.mark.parametrize("slug", sorted(PACKS))
def test_every_pack_has_faults_and_room_for_its_parts(slug: str) -> None:
    kind = KINDS[slug]
    grid = grid_of(kind)
    assert {"missing", "extra"} <= set(faults_of(kind, grid))
    first, last = grid.middle(0), grid.middle(grid.pack.count - 1)
    assert abs(first[0]) + grid.cell_x / 2 <= grid.half[0]
    assert abs(last[1]) + grid.cell_y / 2 <= grid.half[1]


def test_the_board_marks_the_piece_of_the_other_hand() -> None:
    made = render_specimen(BOARD)
    good = render_specimen(replace(BOARD, severity=0))
    assert made.truth.severity == 1
    assert dict(made.truth.shown)["hand"] == "left"
    differs = difference(made.frames[0], good.frames[0])
    region = inside(made.truth.whole.regions, made.frames[0])
    assert (differs[region] > 12).sum() > 0.95 * (differs > 12).sum() > 200
    assert made.truth.visible


def test_mixed_hands_needs_a_handed_part() -> None:
    with pytest.raises(ValueError, match="handed part"):
        render_specimen(replace(BOARD, part="fascia"))


def test_the_other_hand_is_mirrored_but_its_lettering_is_not() -> None:
    view = View(400, 300, 3.0, 0.001, Pose(), supersampling=1.0, keystone=0.0)
    side = KINDS["hinge_cover"].sides["back"]
    left, right = (
        part_in(view, Pose(mirrored=mirrored), side, RESINS["white"], 1)
        for mirrored in (False, True)
    )
    a, b = left.height, right.height[:, ::-1]
    wide = min(a.shape[1], b.shape[1])
    shift = (a.shape[1] - wide) // 2
    a, b = a[:, shift : shift + wide], b[:, :wide]
    # outlines, ribs and bosses are the mirror image
    assert np.corrcoef(a.ravel(), b.ravel())[0, 1] > 0.97
    # the material code reads the same way round on both
    row, col = _place(view, left.window.row0, left.window.col0, -25, 10)
    letters = left.height[row - 6 : row + 7, col - 40 : col + 41]
    row, col = _place(view, right.window.row0, right.window.col0, 25, 10)
    other = right.height[row - 6 : row + 7, col - 40 : col + 41]
    same = np.corrcoef(letters.ravel(), other.ravel())[0, 1]
    turned = np.corrcoef(letters.ravel(), other[:, ::-1].ravel())[0, 1]
    assert same > turned + 0.2


def _place(view: View, row0: int, col0: int, x: float, y: float) -> tuple[int, int]:
    ppm = view.fine_per_mm
    row = view.fine_height / 2 - y * math.cos(view.tilt) * ppm
    return round(row) - row0, round(view.fine_width / 2 + x * ppm) - col0


def test_a_ladder_changes_severity_alone() -> None:
    ladder = scene_ladder(PACK)
    assert [request.severity for request in ladder] == [0, 1, 2, 3, 4]
    assert {replace(request, severity=None) for request in ladder} == {replace(PACK, severity=None)}
    with pytest.raises(ValueError, match="no scene"):
        scene_ladder(replace(PACK, family="burn"))
