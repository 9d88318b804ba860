"""Fine strokes in the surface: scratches, drag marks, streaks."""

import math
from dataclasses import dataclass

import numpy as np

from media_demo.pictures.arrays import F32, Array, bell
from media_demo.pictures.fields import Block, Fields
from media_demo.pictures.noise import wobble


@dataclass(frozen=True)
class Stroke:
    """A stroke about (u, v): angle in radians, length in mm, bow in 1/mm, strength 0-1."""

    u: float
    v: float
    angle: float
    length: float
    bow: float = 0.0
    strength: float = 1.0


def stamp(
    fields: Fields,
    block: Block,
    strokes: list[Stroke],
    rng: np.random.Generator,
    *,
    width_mm: float,
    relief: float = 0.12,
) -> Array:
    """Cut strokes into a block; returns their cover 0-1.

    Widths below a pixel are widened and weakened alike, so their contrast stays true.
    """
    u, v = fields.u[block], fields.v[block]
    cover = np.zeros(u.shape, F32)
    solid = fields.solid[block]
    px = 1 / fields.view.fine_per_mm
    patchy = 1 + wobble(u, v, 1.5, 0.3, rng)
    for stroke in strokes:
        c, s = math.cos(stroke.angle), math.sin(stroke.angle)
        x, y = u - F32(stroke.u), v - F32(stroke.v)
        along = x * F32(c) + y * F32(s)
        across = y * F32(c) - x * F32(s) - F32(stroke.bow) * along * along
        near = np.abs(along) < stroke.length / 2
        true_width = width_mm * rng.uniform(0.7, 1.3)
        width = math.hypot(true_width, 0.5 * px)
        gain = stroke.strength * true_width / width
        ends = np.clip((F32(stroke.length / 2) - np.abs(along)) * F32(6 / stroke.length), 0, 1)
        g = bell(across, width) * ends * near * np.clip(patchy, 0.2, 1.3) * F32(gain) * solid
        np.maximum(cover, g, out=cover)
        slope = across * F32(relief / width) * g
        fields.slope_u[block] -= slope * F32(s)
        fields.slope_v[block] += slope * F32(c)
    return np.minimum(cover, 1)
