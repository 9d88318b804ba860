"""From fields on the ground grid to the plastic a camera sees: one ray search per column."""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from media_demo.pictures.arrays import F32, Array, BoolArray, IntArray
from media_demo.pictures.fields import Fields
from media_demo.pictures.view import View, Window

# rows of the picture worked on at a time, so that they stay in the cache
STRIP = 32
RIM_ROWS = (2, 1, 0, -1, -2, -3, -4, -6, -8, -11)


@dataclass
class Surface:
    """The visible plastic as flat arrays, one entry per lit fine pixel.

    ``pixel`` indexes the fine pixels of ``window`` (which lies inside the picture);
    ``row`` and ``col`` name the hit on the fields' grid, ``part`` 0-1 of the way to the next
    row. ``cover`` 0-1 is plastic against bench; ``rim`` names the
    pixels just above a silhouette with the share of each that it still covers; ``hit_row``
    the ground row (of the fields) that every fine pixel of the window shows; ``gap`` 1
    where a pixel looks under a part that stands off the bench; ``film`` marks the entries
    that show a hanging sheet.
    """

    view: View
    window: Window
    pixel: IntArray
    row: npt.NDArray[np.int32]
    col: npt.NDArray[np.int32]
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
        self.part = np.zeros(0, F32)


def search_rows(lifted: Array, low: int, high: int, rows: int, first: int) -> npt.NDArray[np.int16]:
    """Largest k in [low, high] with ``lifted[first + y + k] >= k``, per pixel.

    ``lifted`` is height above the look-at plane in fine rows. Pixels with no such k get
    ``low``.
    """
    width = lifted.shape[1]
    found = np.full((rows, width), low, np.int16)
    hit = np.empty((rows, width), np.bool_)
    for k in range(low + 1, high + 1):
        np.greater_equal(lifted[first + k : first + rows + k], F32(k), out=hit)
        np.copyto(found, k, where=hit)
    return found


class _Lifted(NamedTuple):
    """The part's heights as fine rows to climb, padded so that every search step exists.

    ``peaks`` holds the highest of each padded row; ``sheet_level`` is a hanging sheet's mean
    height in mm.
    """

    view: View
    window: Window
    screen: Window
    heights: Array
    solid: Array
    peaks: Array
    cols: slice
    above: int
    low: int
    high: int
    sheet_level: float

    @property
    def first(self) -> int:
        """The padded row under the screen's first row."""
        return self.screen.row0 + self.above

    def steps_worth_trying(self, start: int, rows: int) -> int:
        """The highest search step that can meet plastic from some padded rows on."""
        reach = self.peaks[start + self.low : start + rows + self.high]
        return min(self.high, math.floor(float(reach.max(initial=self.low))))


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
    shape = (above + window.shape[0] + below, screen.shape[1])
    inner = slice(above, above + window.shape[0])
    lifted, solid = np.full(shape, -base * scale, F32), np.zeros(shape, F32)
    np.subtract(fields.height[:, cols], F32(base), out=lifted[inner])
    lifted[inner] *= F32(scale)
    solid[inner] = fields.solid[:, cols]
    peaks = lifted.max(axis=1, initial=low)
    level = 0.0
    if fields.sheet is not None:
        hung = fields.sheet.cover[:, cols] > 0
        level = float(fields.sheet.height[:, cols][hung].mean()) if hung.any() else 0.0
    return _Lifted(
        view, window, screen, lifted, solid, peaks, cols, above - window.row0, low, high, level
    )


class Hits(NamedTuple):
    """What every fine pixel of a strip shows: ground row, share, height, cover."""

    row: IntArray
    part: Array
    height: Array
    cover: Array


class _Entries(NamedTuple):
    """The lit pixels of a strip, as flat arrays of the same length."""

    pixel: IntArray
    row: npt.NDArray[np.int32]
    col: npt.NDArray[np.int32]
    part: Array
    cover: Array
    height: Array
    X: Array
    Y: Array
    film: BoolArray | None


def project(fields: Fields, picture: Window) -> Surface:
    """Find the plastic each fine pixel of ``picture`` (a part of the view) shows."""
    view = fields.view
    lift = _lift(fields, picture)
    rows, width = lift.screen.shape
    hit_row = np.empty((rows, width), np.int32)
    gap = None if fields.lift is None else np.empty((rows, width), F32)
    cols = np.tile(np.arange(width, dtype=np.int32) + lift.cols.start, STRIP)
    strips, rims = [], _Rims(lift)
    for y in range(0, max(rows, 1), STRIP):
        place = slice(y, min(y + STRIP, rows))
        hits, k, hit = _meet(lift, place)
        rims.add(k, hit, y)
        if gap is not None and fields.lift is not None:
            gap[place] = _gap(fields.lift[:, lift.cols], hits, view.rows_per_mm_up)
            hits.cover[:] *= 1 - gap[place]
        film = _hang(fields, lift, hits, y)
        hit_row[place] = hits.row
        strips.append(_entries(lift, hits, film, y, cols))
    screen, rim = lift.screen, rims.found()
    del lift, rims
    # of a whole picture every array is large: the strips of one go before the next is joined
    arrays = [list(of_strips) for of_strips in zip(*strips, strict=True)]
    del strips
    film = np.concatenate(arrays.pop()) if fields.sheet is not None else None
    pixel, row, col, part, cover, height, X, Y = (np.concatenate(arrays.pop(0)) for _ in range(8))
    return Surface(
        view, screen, pixel, row, col, part, cover, height, X, Y, rim, hit_row, gap, film
    )


def _meet(lift: _Lifted, place: slice) -> tuple[Hits, npt.NDArray[np.int16], IntArray]:
    """What a strip of the screen shows, its search steps, and its hits in the padded heights."""
    rows, width, view = place.stop - place.start, lift.screen.shape[1], lift.view
    start = lift.first + place.start
    top = lift.steps_worth_trying(start, rows)
    k = search_rows(lift.heights, lift.low, top, rows, start)
    row = k.astype(np.intp)
    row += np.arange(start, start + rows)[:, None]
    hit = row * width
    hit += np.arange(width)
    part, at = _between_rows(lift.heights.ravel(), hit, k, width)
    at *= F32(1 / view.rows_per_mm_up)
    at += F32(view.look_at[2])
    cover = lift.solid.ravel().take(hit)
    np.maximum(cover, np.clip(at * F32(12) - F32(0.6), 0, 1), out=cover)
    row -= lift.above + lift.window.row0
    return Hits(row, part, at, cover), k, hit


def _entries(
    lift: _Lifted, hits: Hits, film: BoolArray | None, y: int, cols: npt.NDArray[np.int32]
) -> _Entries:
    """The lit pixels of a strip from screen row ``y`` on; ``cols`` are the columns of its pixels."""
    view, window = lift.view, lift.window
    lit = np.flatnonzero(hits.cover > F32(0.004))
    row = hits.row.ravel().take(lit)
    # a hit on the padding can only be bench
    legal = (row >= 0) & (row < window.shape[0] - 1)
    if not legal.all():
        lit, row = lit[legal], row[legal]
    part, cover, height = (a.ravel().take(lit) for a in (hits.part, hits.cover, hits.height))
    col = cols.take(lit)
    X, Y = view.ground(
        row.astype(F32) + part + F32(window.row0), col.astype(F32) + F32(window.col0)
    )
    return _Entries(
        pixel=lit + y * lift.screen.shape[1],
        row=row.astype(np.int32),
        col=col,
        part=part,
        cover=cover,
        height=height,
        X=X,
        Y=Y,
        film=None if film is None else film.ravel().take(lit),
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


def _hang(fields: Fields, lift: _Lifted, hits: Hits, y: int) -> BoolArray | None:
    """Let a sheet hide what lies behind it, from screen row ``y`` on; changes ``hits`` in place."""
    sheet, view = fields.sheet, fields.view
    if sheet is None:
        return None
    level, cover = sheet.height[:, lift.cols], sheet.cover[:, lift.cols]
    start = lift.screen.row0 + y
    rows = np.arange(start, start + len(hits.row), dtype=F32)[:, None] - F32(fields.window.row0)
    place = rows + F32((lift.sheet_level - view.look_at[2]) * view.rows_per_mm_up)
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


def _gap(underside: Array, hits: Hits, rows_per_mm: float) -> Array:
    """Share of each pixel that looks below the lifted underside of the part."""
    inside = np.clip(hits.row, 0, underside.shape[0] - 1)
    lift = np.take_along_axis(underside, inside, axis=0)
    below: Array = np.clip((lift - hits.height) * F32(rows_per_mm) + F32(0.5), 0, 1)
    return below * (hits.height > F32(0.02))


class _Rims:
    """Gathers the pixels just above a silhouette, and the share of each it still covers."""

    def __init__(self, lift: _Lifted) -> None:
        self.flat, self.width = lift.heights.ravel(), lift.screen.shape[1]
        self.edges: list[IntArray] = []
        self.shares: list[Array] = []
        self.above: IntArray | None = None

    def add(self, k: npt.NDArray[np.int16], hit: IntArray, y: int) -> None:
        """Look through the next strip, which begins at screen row ``y``."""
        if self.above is None:
            self._gather(hit[:-1], hit[1:], k[1:], y)
        else:
            self._gather(np.concatenate((self.above, hit[:-1])), hit, k, y - 1)
        self.above = hit[-1:]

    def found(self) -> tuple[IntArray, Array]:
        return np.concatenate(self.edges), np.concatenate(self.shares)

    def _gather(
        self, upper: IntArray, lower: IntArray, k: npt.NDArray[np.int16], first_row: int
    ) -> None:
        """``k`` are the search steps of the lower of two rows."""
        width = self.width
        edge = np.flatnonzero(lower - upper > 3 * width)
        below = lower.ravel().take(edge)
        jump = (below - upper.ravel().take(edge)) // width
        step = k.ravel().take(edge).astype(F32)
        best = np.full(edge.size, -1.0, F32)
        # over a rounded edge the ray comes nearest to the plastic some rows behind the hit below
        for ahead in RIM_ROWS:
            miss = self.flat.take(below + ahead * width, mode="clip") - (step + F32(1 + ahead))
            # what the pixel above shows itself it does not miss
            miss[jump <= 1 - ahead] = -1
            np.maximum(best, miss, out=best)
        self.edges.append(edge + first_row * width)
        self.shares.append(np.clip(1 + best, 0, 1))
