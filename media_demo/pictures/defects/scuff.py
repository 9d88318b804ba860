"""Scuff: fine scratches and rub marks of handling, in any direction, on the surface only."""

import math

import numpy as np

from media_demo.pictures.arrays import F32
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark, extent
from media_demo.pictures.shapes import Bounds
from media_demo.pictures.strokes import Stroke, stamp

SITES = ("face", "gloss face")


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Scratch a hairline of length ``severity`` mm, with a few weaker companions."""
    u, v = site.u, site.v
    angle = rng.uniform(0, math.pi)
    bow = rng.normal(0, 0.02)
    strokes = [Stroke(u, v, angle, severity, bow, rng.uniform(0.8, 1.0))]
    for _ in range(int(rng.integers(1, 5))):
        off = rng.normal(0, severity * 0.16, 2)
        turn = angle + rng.normal(0, 0.25)
        length = severity * rng.uniform(0.15, 0.5)
        strokes.append(Stroke(u + off[0], v + off[1], turn, length, bow, rng.uniform(0.25, 0.55)))
    reach = severity * 0.8 + 1
    block = fields.touch(Bounds(u - reach, v - reach, u + reach, v + reach))
    weight = stamp(fields, block, strokes, rng, width_mm=0.07)
    fields.tint(block, weight * F32(0.42), fields.worn)
    fields.alpha[block] += (F32(0.42) - fields.alpha[block]) * weight * F32(0.5)
    mask = weight > 0.12
    return Mark(extent(fields, block, mask), block, mask, u, v, site.height)
