"""The ray search: what hides what, films and gaps."""

import numpy as np
import pytest

from media_demo.pictures.fields import Fields
from media_demo.pictures.projection import Surface, project, search_rows
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.shapes import Bounds, Box, Disc
from media_demo.pictures.view import Pose, View


def bare(tilt: float = 17.0) -> Fields:
    view = View(400, 300, 4.0, tilt, Pose(), supersampling=1.0)
    window = view.ground_window(Bounds(-45, -30, 45, 30)).aligned(view.alignment)
    return Fields.empty(view, window, 0.4)


def with_block(fields: Fields, top: float) -> Fields:
    sculptor = Sculptor(fields, np.random.default_rng(0), (0.2, 0.2, 0.2))
    sculptor.solid(Box(0, 0, 20, 10, 1), top, fillet=0.5, draft=0.5)
    return fields


def rows_of(surface: Surface, column: int) -> list[int]:
    cover = np.zeros(surface.window.shape, bool)
    cover.ravel()[surface.pixel] = surface.cover > 0.5
    rows = np.flatnonzero(cover[:, column - surface.window.col0])
    return [int(r) + surface.window.row0 for r in rows]


def test_the_search_finds_the_nearest_surface() -> None:
    rng = np.random.default_rng(3)
    lifted = (rng.random((60, 7)) * 9).astype(np.float32)
    found = search_rows(lifted, -1, 10, 40, 5)
    for row in range(40):
        for col in range(7):
            hits = [k for k in range(11) if lifted[5 + row + k, col] >= k]
            assert found[row, col] == max(hits)


@pytest.mark.parametrize("tilt", [17.0, 50.0])
def test_a_block_covers_its_top_and_its_front(tilt: float) -> None:
    top = 8.0
    fields = with_block(bare(tilt), top)
    view = fields.view
    rows = rows_of(project(fields, view.picture), 200)
    far = view.to_picture(0, 10, top)[1]
    near = view.to_picture(0, -10.5, 0)[1]
    assert rows == list(range(rows[0], rows[-1] + 1))
    assert rows[0] == pytest.approx(far, abs=2)
    assert rows[-1] == pytest.approx(near, abs=2)


def test_bare_bench_has_no_surface() -> None:
    fields = bare()
    assert project(fields, fields.view.picture).pixel.size == 0


def test_a_film_hides_what_lies_behind_it_and_not_what_stands_before_it() -> None:
    fields = with_block(bare(), 8.0)
    film = fields.block(Disc(0, 16, 3).bounds)
    cover = (fields.distance(Disc(0, 16, 3), film) < 0).astype(np.float32)
    fields.hang(film, np.full(cover.shape, 4.0, np.float32), cover, cover)
    behind = fields.block(Disc(0, 11.2, 0.5).bounds)
    hidden = (fields.distance(Disc(0, 11.2, 0.5), behind) < 0).astype(np.float32)
    fields.hang(behind, np.full(hidden.shape, 1.0, np.float32), hidden, hidden)
    surface = project(fields, fields.view.picture)
    assert surface.film is not None
    assert set(np.round(surface.height[surface.film])) == {4.0}


def test_a_lifted_part_shows_a_gap() -> None:
    fields = with_block(bare(62.0), 6.0)
    flat = project(fields, fields.view.picture)
    assert flat.gap is None
    fields.lift = np.full(fields.window.shape, 2.0, np.float32)
    fields.height = fields.height + 2.0 * (fields.height > 0)
    lifted = project(fields, fields.view.picture)
    assert lifted.gap is not None
    assert lifted.gap.sum() > 100
    assert lifted.height[lifted.cover > 0.5].min() >= 1.5


def test_the_far_edge_of_a_turned_block_has_no_steps() -> None:
    """Where the picture's rows step along a silhouette, a share of a pixel fills the step."""
    view = View(400, 300, 4.0, 17.0, Pose(turn_deg=3.0), supersampling=1.0)
    window = view.ground_window(Bounds(-45, -30, 45, 30)).aligned(view.alignment)
    fields = with_block(Fields.empty(view, window, 0.4), 8.0)
    surface = project(fields, view.picture)
    edge, share = surface.rim
    off = []
    for rims in (0.0, 1.0):
        solid = np.zeros(surface.window.shape, np.float32)
        solid.ravel()[surface.pixel] = 1
        solid.ravel()[edge] += (1 - solid.ravel()[edge]) * share * rims
        heights = solid[:, 150 - surface.window.col0 : 250 - surface.window.col0]
        # where the part begins in each column, in shares of a pixel, against a straight line
        first = np.argmax(heights > 0.99, axis=0)
        begins = [row - heights[:row, i].sum() for i, row in enumerate(first)]
        line = np.polynomial.Polynomial.fit(range(100), begins, 1)
        off.append(np.abs(begins - line(np.arange(100))).mean())
    assert off[1] < 0.65 * off[0]
    assert ((share > 0.1) & (share < 0.9)).sum() > 40
