"""Several parts in one picture: lay each on the bench of a common view."""

import math
from dataclasses import replace

import numpy as np

from media_demo.pictures.arrays import F32, Rgb
from media_demo.pictures.fields import STRIP_CELLS, Fields
from media_demo.pictures.kinds import Side
from media_demo.pictures.resins import Resin, ink_for
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.view import Pose, View, Window


def empty_bench(view: View, margin_mm: float = 4.0) -> Fields:
    """Bare fields over the whole picture, in world axes."""
    margin = round(margin_mm * view.fine_per_mm)
    window = view.picture.grown(margin).aligned(view.alignment)
    return Fields.empty(replace(view, pose=Pose()), window, 0.4)


def place_in(view: View, pose: Pose, side: Side) -> Window:
    """The window of a part in a common view, without rows or columns where it is not shown."""
    room = view.picture.grown(round(4 * view.fine_per_mm))
    window = replace(view, pose=pose).ground_window(side.bounds, 2.5).clipped(room)
    return window.aligned(view.alignment)


def part_in(view: View, pose: Pose, side: Side, resin: Resin, seed: int) -> Fields:
    """Fields of one part over its own window of a common view."""
    fields = Fields.empty(replace(view, pose=pose), place_in(view, pose, side), resin.alpha)
    fields.grain *= F32(resin.grain)
    fields.lightness = 0.2126 * resin.colour[0] + 0.7152 * resin.colour[1]
    side.build(Sculptor(fields, np.random.default_rng(seed), ink_for(resin)))
    return fields


def lay(bench: Fields, part: Fields, colour: Rgb | None = None, *, lift: float = 0.0) -> None:
    """Lay a part on the bench (or on what lies there), ``lift`` mm up.

    ``colour`` (sRGB) paints it where it differs from the material of the picture.
    """
    inner = part.window.clipped(bench.window)
    rows = max(STRIP_CELLS // max(inner.shape[1], 1), 1)
    for row in range(inner.row0, inner.row1, rows):
        strip = replace(inner, row0=row, row1=min(row + rows, inner.row1))
        _lay_strip(bench, part, strip, colour, lift)


def _lay_strip(bench: Fields, part: Fields, strip: Window, colour: Rgb | None, lift: float) -> None:
    b, p = strip.slices_in(bench.window), strip.slices_in(part.window)
    height = part.height[p] + F32(lift) * (part.height[p] > 0)
    covers = (part.solid[p] > 0.02) & (height >= bench.height[b])
    share = part.solid[p] * covers
    np.copyto(bench.height[b], height, where=covers)
    np.maximum(bench.solid[b], share, out=bench.solid[b])
    _lean(bench, part, b, p, covers)
    np.copyto(bench.alpha[b], part.alpha[p], where=covers)
    np.copyto(bench.grain[b], part.grain[p], where=covers)
    if colour is not None:
        bench.tint(b, share, colour)
    # most of a part is not painted
    if part.paint is not None and float(part.paint.keep[p].min()) < 1:
        _repaint(bench, part, b, p, covers)
    if bench.metal is not None:
        bench.metal[b] *= ~covers
    if part.metal is not None:
        bench.metallic(b, part.metal[p] * covers)
    if part.sheet is not None:
        film = part.sheet
        bench.hang(b, film.height[p] + F32(lift), film.cover[p], film.pale[p])


def _lean(
    bench: Fields,
    part: Fields,
    b: tuple[slice, slice],
    p: tuple[slice, slice],
    covers: np.ndarray,
) -> None:
    """Turn the part's own slopes into the axes of the bench."""
    su, sv, slope_u, slope_v = part.slope_u[p], part.slope_v[p], bench.slope_u[b], bench.slope_v[b]
    if not (su.any() or sv.any() or slope_u.any() or slope_v.any()):
        return
    turn = math.radians(part.view.pose.turn_deg)
    c, s = F32(math.cos(turn)), F32(math.sin(turn))
    su = -su if part.view.pose.mirrored else su
    np.copyto(slope_u, su * c - sv * s, where=covers)
    np.copyto(slope_v, su * s + sv * c, where=covers)


def _repaint(
    bench: Fields,
    part: Fields,
    b: tuple[slice, slice],
    p: tuple[slice, slice],
    covers: np.ndarray,
) -> None:
    """Carry the part's own prints and tints over."""
    if part.paint is None:
        return
    if bench.paint is None:
        bench.tint(b, np.zeros(covers.shape, F32), (0, 0, 0))
    if bench.paint is None:
        return
    keep = np.where(covers, part.paint.keep[p], F32(1))
    bench.paint.keep[b] *= keep
    for add, own in zip(bench.paint.add, part.paint.add, strict=True):
        add[b] = add[b] * keep + np.where(covers, own[p], 0)
