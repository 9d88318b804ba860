"""Things beside the parts: boards, cartons, paper with print on it."""

from collections.abc import Callable
from dataclasses import replace
from typing import TypeAlias

import numpy as np
from PIL import Image
from scipy import ndimage

from media_demo.pictures.arrays import F32, Array, Rgb, linear
from media_demo.pictures.fields import Fields, Paint
from media_demo.pictures.sculptor import slab
from media_demo.pictures.shapes import Bounds, Box, Shape
from media_demo.pictures.view import Pose, View

# the linear colour channels of a picture, given its width and height in pixels
Inks: TypeAlias = Callable[[tuple[int, int]], list[Array]]


def prop(view: View, pose: Pose, bounds: Bounds, *, alpha: float, margin_mm: float = 2.5) -> Fields:
    """Bare fields for one thing, over its own window of a common view, without grain."""
    posed = replace(view, pose=pose)
    down = round(view.look_at[2] * view.rows_per_mm_up)
    room = view.picture.grown(round(8 * view.fine_per_mm) + abs(down))
    window = posed.ground_window(bounds, margin_mm).clipped(room).aligned(view.alignment)
    fields = Fields.empty(posed, window, alpha)
    fields.grain[:] = F32(0.0)
    return fields


def raise_solid(
    fields: Fields,
    shape: Shape,
    top: float,
    colour: Rgb | None = None,
    *,
    fillet: float = 0.4,
    draft: float = 0.5,
    base: float = 0.0,
) -> None:
    """Raise a shape to ``top`` mm (over a ``base`` it stands on) and paint it (sRGB)."""
    for block in fields.strips(fields.block(shape.bounds, draft + 1)):
        d = fields.distance(shape, block)
        h = slab(d, top - base, fillet, draft) + np.where(d < draft, F32(base), 0)
        higher = h >= fields.height[block]
        cover = fields.cover(d - F32(draft)) * higher
        np.maximum(fields.height[block], h, out=fields.height[block])
        np.maximum(fields.solid[block], cover, out=fields.solid[block])
        if colour is not None:
            fields.tint(block, cover, colour)


def coat(fields: Fields, colour: Rgb) -> None:
    """Paint a thing all over, also where nothing stands yet."""
    shape = fields.window.shape
    add = [np.full(shape, component, F32) for component in linear(colour)]
    fields.paint = Paint(np.zeros(shape, F32), add)


def paint(fields: Fields, shape: Shape, colour: Rgb, share: float = 1.0) -> None:
    """Paint a shape on what lies there."""
    block = fields.block(shape.bounds, 0.5)
    fields.tint(block, fields.cover(fields.distance(shape, block)) * F32(share), colour)


def sheet_of_metal(fields: Fields, shape: Shape, alpha: float) -> None:
    """Give a shape the gloss of bare metal without its brass tint: pale and shiny."""
    block = fields.block(shape.bounds, 0.5)
    w = fields.cover(fields.distance(shape, block))
    fields.alpha[block] += (F32(alpha) - fields.alpha[block]) * w


def print_picture(
    fields: Fields,
    picture: Image.Image | Inks,
    box: Box,
    *,
    gain: tuple[float, float] = (1.0, 0.0),
    within: Shape | None = None,
    pose: Pose | None = None,
) -> None:
    """Print a picture over an upright box of the fields, averaged to their resolution.

    ``gain`` scales and lifts the linear colours (white paper is not pure white);
    ``within`` keeps the print inside a shape; box and shape lie in the axes of ``pose``,
    or of the fields where there is none.
    """
    posed = fields.view if pose is None else replace(fields.view, pose=pose)
    window = posed.ground_window(box.bounds, 0.5).clipped(fields.window)
    if 0 in window.shape:
        return
    block = window.slices_in(fields.window)
    u, v = (fields.u[block], fields.v[block]) if pose is None else posed.part_of(window)
    wide, tall = 2 * box.half_u, 2 * box.half_v
    per_mm = fields.view.fine_per_mm * 1.2
    size = (max(round(wide * per_mm), 2), max(round(tall * per_mm), 2))
    x = (u - F32(box.cu - box.half_u)) * F32(size[0] / wide) - F32(0.5)
    if posed.pose.mirrored:
        x = F32(size[0] - 1) - x
    y = (F32(box.cv + box.half_v) - v) * F32(size[1] / tall) - F32(0.5)
    cover = fields.cover((within or box).distance(u, v))
    fields.tint(block, cover, (0.0, 0.0, 0.0))
    if fields.paint is None:
        return
    place = np.stack((y, x))
    inks = inks_of(picture, size) if isinstance(picture, Image.Image) else picture(size)
    for add, channel in zip(fields.paint.add, inks, strict=True):
        ink = ndimage.map_coordinates(channel, place, order=1, mode="nearest")
        add[block] += (ink * F32(gain[0]) + F32(gain[1])) * cover


def inks_of(picture: Image.Image, size: tuple[int, int]) -> list[Array]:
    """The linear colour channels of a picture at another size."""
    levels = np.arange(256, dtype=F32) * F32(1 / 255)
    light = np.where(
        levels <= 0.04045, levels / F32(12.92), ((levels + F32(0.055)) / F32(1.055)) ** F32(2.4)
    )
    return [
        np.asarray(
            Image.fromarray(light.take(np.asarray(channel))).resize(size, Image.Resampling.BOX), F32
        )
        for channel in picture.convert("RGB").split()
    ]


def carry_to_foot(fields: Fields, thing: Fields) -> None:
    """Carry the finish of a thing that was laid to the two rows before its foot.

    Between rows of the ground finishes blend, and heights are softened: down a steep wall the
    thing's would fade into what it stands on.
    """
    inner = thing.window.clipped(fields.window)
    b, p = inner.slices_in(fields.window), inner.slices_in(thing.window)
    laid = (thing.solid[p] > F32(0.02)) & (thing.height[p] == fields.height[b])
    row, col = np.nonzero(laid[:-2] & ~laid[1:-1])
    row += b[0].start
    col += b[1].start
    layers = [fields.alpha, fields.grain]
    if fields.paint is not None:
        layers += [fields.paint.keep, *fields.paint.add]
    for layer in layers:
        layer[row + 1, col] = layer[row + 2, col] = layer[row, col]


def paint_posed(fields: Fields, pose: Pose, shape: Shape, colour: Rgb) -> None:
    """Paint a shape that lies in another pose on what fields in world axes hold."""
    posed = replace(fields.view, pose=pose)
    window = posed.ground_window(shape.bounds, 1.0).clipped(fields.window)
    if 0 in window.shape:
        return
    u, v = posed.part_of(window)
    cover = fields.cover(shape.distance(u, v))
    block = window.slices_in(fields.window)
    fields.tint(block, cover * (fields.solid[block] > F32(0.5)), colour)
