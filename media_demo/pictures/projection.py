"""From fields on the ground grid to the plastic a camera sees: one ray search per column."""

import math
from dataclasses import dataclass

import numpy as np

from media_demo.pictures.arrays import F32, Array, IntArray
from media_demo.pictures.fields import Fields
from media_demo.pictures.view import View, Window

STRIP = 32


@dataclass
class Surface:
    """The visible plastic as flat arrays, one entry per lit fine pixel.

    ``pixel`` indexes the fine pixels of ``window`` (which lies inside the picture);
    ``ground`` indexes the hit on the ground grid of the fields, ``part`` 0-1 of the way
    to the next row. ``cover`` 0-1 is plastic against bench; ``rim`` the share of each
    pixel just above a silhouette that the silhouette still covers; ``hit_row`` the ground
    row (of the fields) that every fine pixel of the window shows.
    """

    view: View
    window: Window
    pixel: IntArray
    ground: IntArray
    part: Array
    cover: Array
    height: Array
    X: Array
    Y: Array
    rim: Array
    hit_row: IntArray


def search_rows(lifted: Array, low: int, high: int, rows: int, first: int) -> IntArray:
    """Largest k in [low, high] with ``lifted[first + y + k] >= k``, per pixel.

    ``lifted`` is height above the look-at plane in fine rows. Pixels with no such k get
    ``low``. Works in strips that fit the cache; a strip stops at its own highest point.
    """
    width = lifted.shape[1]
    found = np.full((rows, width), low, np.int32)
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


def project(fields: Fields, picture: Window) -> Surface:
    """Find the plastic each fine pixel of ``picture`` (a part of the view) shows."""
    view, window = fields.view, fields.window
    scale = view.rows_per_mm_up
    base = view.look_at[2]
    tallest = float(fields.height.max()) if fields.height.size else 0.0
    low = math.floor(-base * scale) - 1
    high = math.ceil((tallest - base) * scale) + 1
    screen = Window(window.row0 - max(high, 0), window.row1 - min(low, 0), window.col0, window.col1)
    screen = screen.aligned(view.supersampling).clipped(picture)
    screen = screen.clipped(Window(screen.row0, screen.row1, window.col0, window.col1))
    rows, width = screen.shape
    # ground row of screen row y at search step k is y + k; pad so that every step exists
    above = max(0, window.row0 - (screen.row0 + low))
    below = max(0, screen.row1 + high + 2 - window.row1)
    cols = screen.slices_in(window)[1]
    lifted = (fields.height[:, cols] - F32(base)) * F32(scale)
    lifted = np.pad(lifted, ((above, below), (0, 0)), constant_values=F32(-base * scale))
    solid = np.pad(fields.solid[:, cols], ((above, below), (0, 0)))
    first = screen.row0 - (window.row0 - above)
    k = search_rows(lifted, low, high, rows, first)
    hit = np.arange(rows, dtype=np.int32)[:, None] * width + first * width
    hit = hit + np.arange(width, dtype=np.int32)[None, :] + k * width
    flat, cloth = lifted.ravel(), solid.ravel()
    at, after = flat.take(hit), flat.take(hit + width)
    over = at - k.astype(F32)
    after -= at
    part: Array = over / (F32(1 + 1e-6) - after)
    np.clip(part, 0, 1, out=part)
    height: Array = (at + after * part) * F32(1 / scale) + F32(base)
    cover = cloth.take(hit)
    cover += (cloth.take(hit + width) - cover) * part
    np.maximum(cover, np.clip(height * F32(12) - F32(0.6), 0, 1), out=cover)
    pixel = np.flatnonzero(cover > F32(0.004)).astype(np.int32)
    found = hit.ravel()[pixel]
    row = found // width - above
    # a hit on the padding can only be bench
    pixel, found, row = (a[(row >= 0) & (row < window.shape[0] - 1)] for a in (pixel, found, row))
    col = found % width + cols.start
    t = part.ravel()[pixel]
    X, Y = view.ground(row.astype(F32) + t + F32(window.row0), col.astype(F32) + F32(window.col0))
    return Surface(
        view=view,
        window=screen,
        pixel=pixel,
        ground=row * window.shape[1] + col,
        part=t,
        cover=cover.ravel()[pixel],
        height=height.ravel()[pixel],
        X=X,
        Y=Y,
        rim=_rims(flat, hit, k, width),
        hit_row=hit // width - above,
    )


def _rims(flat: Array, hit: IntArray, k: IntArray, width: int) -> Array:
    """Share of a pixel covered by the silhouette whose first full row lies just below."""
    rim = np.zeros(hit.shape, F32)
    gap = hit[:-1] - hit[1:]
    edge = np.flatnonzero(gap > 2 * width)
    if edge.size:
        below = hit[1:].ravel()[edge]
        step = k[1:].ravel()[edge]
        best = np.full(edge.size, -1.0, F32)
        for ahead in range(3):
            miss = flat.take(below + ahead * width, mode="clip") - (step + 1 + ahead)
            np.maximum(best, miss.astype(F32), out=best)
        rim[:-1].ravel()[edge] = np.clip(1 + best, 0, 1)
    return rim
