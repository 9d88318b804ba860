"""From fields on the ground grid to the plastic a camera sees: one ray search per column."""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from media_demo.pictures.arrays import F32, Array, BoolArray, IntArray
from media_demo.pictures.fields import Fields
from media_demo.pictures.view import View, Window

STRIP = 32
RIM_ROWS = (2, 1, 0, -1, -2, -3, -4, -6, -8, -11)


@dataclass
class Surface:
    """The visible plastic as flat arrays, one entry per lit fine pixel.

    ``pixel`` indexes the fine pixels of ``window`` (which lies inside the picture);
    ``row``, ``col`` and the flat ``ground`` name the hit on the fields' grid, ``part`` 0-1
    of the way to the next row. ``cover`` 0-1 is plastic against bench; ``rim`` names the
    pixels just above a silhouette with the share of each that it still covers; ``hit_row``
    the ground row (of the fields) that every fine pixel of the window shows; ``gap`` 1
    where a pixel looks under a part that stands off the bench; ``film`` marks the entries
    that show a hanging sheet.
    """

    view: View
    window: Window
    pixel: IntArray
    row: IntArray
    col: IntArray
    ground: IntArray
    part: Array
    cover: Array
    height: Array
    X: Array
    Y: Array
    rim: tuple[IntArray, Array]
    hit_row: npt.NDArray[np.int32]
    gap: Array | None
    film: BoolArray | None

    def forget_hits(self) -> None:
        """Free what only the facets are gathered with."""
        self.ground, self.part = np.zeros(0, np.intp), np.zeros(0, F32)


def search_rows(lifted: Array, low: int, high: int, rows: int, first: int) -> npt.NDArray[np.int16]:
    """Largest k in [low, high] with ``lifted[first + y + k] >= k``, per pixel.

    ``lifted`` is height above the look-at plane in fine rows. Pixels with no such k get
    ``low``. Works in strips that fit the cache; a strip stops at its own highest point.
    """
    width = lifted.shape[1]
    found = np.full((rows, width), low, np.int16)
    peak = lifted.max(axis=1) if lifted.size else np.zeros(0, F32)
    hit = np.empty((STRIP, width), np.bool_)
    for y in range(0, rows, STRIP):
        n = min(STRIP, rows - y)
        strip = found[y : y + n]
        start = first + y
        top = min(high, math.floor(float(peak[start + low : start + n + high].max())))
        for k in range(low + 1, top + 1):
            np.greater_equal(lifted[start + k : start + n + k], F32(k), out=hit[:n])
            np.copyto(strip, k, where=hit[:n])
    return found


class _Lifted(NamedTuple):
    """The part's heights as fine rows to climb, padded so that every search step exists."""

    screen: Window
    heights: Array
    solid: Array
    cols: slice
    above: int
    low: int
    high: int

    @property
    def first(self) -> int:
        """The padded row under the screen's first row."""
        return self.screen.row0 + self.above


def _lift(fields: Fields, picture: Window) -> _Lifted:
    """Lay the heights out for the search and choose the part of the picture it covers."""
    view, window = fields.view, fields.window
    scale, base = view.rows_per_mm_up, view.look_at[2]
    tallest = float(fields.height.max()) if fields.height.size else 0.0
    low = math.floor(-base * scale) - 1
    high = math.ceil((tallest - base) * scale) + 1
    screen = Window(window.row0 - max(high, 0), window.row1 - min(low, 0), window.col0, window.col1)
    screen = screen.aligned(view.alignment).clipped(picture)
    screen = screen.clipped(Window(screen.row0, screen.row1, window.col0, window.col1))
    # ground row of screen row y at search step k is y + k; pad so that every step exists
    above = max(0, window.row0 - (screen.row0 + low))
    below = max(0, screen.row1 + high + 2 - window.row1)
    cols = screen.slices_in(window)[1]
    lifted = (fields.height[:, cols] - F32(base)) * F32(scale)
    lifted = np.pad(lifted, ((above, below), (0, 0)), constant_values=F32(-base * scale))
    solid = np.pad(fields.solid[:, cols], ((above, below), (0, 0)))
    return _Lifted(screen, lifted, solid, cols, above - window.row0, low, high)


def project(fields: Fields, picture: Window) -> Surface:
    """Find the plastic each fine pixel of ``picture`` (a part of the view) shows."""
    view, window = fields.view, fields.window
    scale, base = view.rows_per_mm_up, view.look_at[2]
    lift = _lift(fields, picture)
    screen, cols = lift.screen, lift.cols
    rows, width = screen.shape
    k = search_rows(lift.heights, lift.low, lift.high, rows, lift.first)
    seen_row = k + np.arange(lift.first, lift.first + rows)[:, None]
    hit = seen_row * width
    hit += np.arange(width)
    flat, cloth = lift.heights.ravel(), lift.solid.ravel()
    part, at = _between_rows(flat, hit, k, width)
    at *= F32(1 / scale)
    at += F32(base)
    cover = cloth.take(hit)
    np.maximum(cover, np.clip(at * F32(12) - F32(0.6), 0, 1), out=cover)
    seen_row -= lift.above + window.row0
    gap = _gap(fields, at, seen_row, cols)
    if gap is not None:
        cover *= 1 - gap
    film = _hang(fields, screen, cols, Hits(seen_row, part, at, cover))
    pixel = np.flatnonzero(cover > F32(0.004))
    row = seen_row.ravel().take(pixel)
    # a hit on the padding can only be bench
    legal = (row >= 0) & (row < window.shape[0] - 1)
    if not legal.all():
        pixel, row = pixel[legal], row[legal]
    col = pixel % width
    col += cols.start
    t = part.ravel().take(pixel)
    X, Y = view.ground(row.astype(F32) + t + F32(window.row0), col.astype(F32) + F32(window.col0))
    return Surface(
        view=view,
        window=screen,
        pixel=pixel,
        row=row,
        col=col,
        ground=row * window.shape[1] + col,
        part=t,
        cover=cover.ravel().take(pixel),
        height=at.ravel().take(pixel),
        X=X,
        Y=Y,
        rim=_rims(flat, hit, k, width),
        hit_row=seen_row.astype(np.int32),
        gap=gap,
        film=None if film is None else film.ravel().take(pixel),
    )


def _between_rows(
    flat: Array, hit: IntArray, k: npt.NDArray[np.int16], width: int
) -> tuple[Array, Array]:
    """Where between its ground row and the next each ray meets the plastic, and how high."""
    at = flat.take(hit)
    drop = flat.take(hit + width)
    np.subtract(at, drop, out=drop)
    part: Array = (at - k.astype(F32)) / (drop + F32(1 + 1e-6))
    np.clip(part, 0, 1, out=part)
    drop *= part
    at -= drop
    return part, at


class Hits(NamedTuple):
    """What every fine pixel of a window shows: ground row, share, height, cover."""

    row: IntArray
    part: Array
    height: Array
    cover: Array


def _hang(fields: Fields, screen: Window, cols: slice, hits: Hits) -> BoolArray | None:
    """Let a sheet hide what lies behind it; changes ``hits`` in place."""
    sheet, view = fields.sheet, fields.view
    if sheet is None:
        return None
    level, cover = sheet.height[:, cols], sheet.cover[:, cols]
    middle = float(level[cover > 0].mean()) if (cover > 0).any() else 0.0
    rows = np.arange(screen.row0, screen.row1, dtype=F32)[:, None] - F32(fields.window.row0)
    place = rows + F32((middle - view.look_at[2]) * view.rows_per_mm_up)
    place = np.broadcast_to(place, hits.part.shape)
    last = fields.window.shape[0] - 2
    first = np.clip(place.astype(np.intp), 0, last)
    place = rows + (np.take_along_axis(level, first, 0) - F32(view.look_at[2])) * F32(
        view.rows_per_mm_up
    )
    first = np.clip(place.astype(np.intp), 0, last)
    share = np.take_along_axis(cover, first, 0)
    nearer = first + 0.5 >= hits.row + hits.part
    film: BoolArray = (share > F32(0.25)) & nearer
    hits.row[film] = first[film]
    hits.part[film] = 0
    hits.height[film] = np.take_along_axis(level, first, 0)[film]
    hits.cover[film] = np.maximum(share, hits.cover)[film]
    return film


def _gap(fields: Fields, height: Array, row: IntArray, cols: slice) -> Array | None:
    """Share of each pixel that looks below the lifted underside of the part."""
    if fields.lift is None:
        return None
    inside = np.clip(row, 0, fields.window.shape[0] - 1)
    lift = np.take_along_axis(fields.lift[:, cols], inside, axis=0)
    soft = F32(fields.view.rows_per_mm_up)
    below: Array = np.clip((lift - height) * soft + F32(0.5), 0, 1)
    return below * (height > F32(0.02))


def _rims(
    flat: Array, hit: IntArray, k: npt.NDArray[np.int16], width: int
) -> tuple[IntArray, Array]:
    """Pixels just above a silhouette, and the share of each it still covers."""
    edge = np.flatnonzero(hit[1:] - hit[:-1] > 3 * width)
    below = hit[1:].ravel().take(edge)
    jump = (below - hit[:-1].ravel().take(edge)) // width
    step = k[1:].ravel().take(edge).astype(F32)
    best = np.full(edge.size, -1.0, F32)
    # over a rounded edge the ray comes nearest to the plastic some rows behind the hit below
    for ahead in RIM_ROWS:
        miss = flat.take(below + ahead * width, mode="clip") - (step + F32(1 + ahead))
        # what the pixel above shows itself it does not miss
        miss[jump <= 1 - ahead] = -1
        np.maximum(best, miss, out=best)
    return edge, np.clip(1 + best, 0, 1)
