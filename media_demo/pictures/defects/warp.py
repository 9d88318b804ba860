"""Warp: the whole part bows, so that its ends stand off a flat plate."""

import numpy as np

from media_demo.pictures.arrays import F32
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark

SITES = ("whole",)


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Lift the ends (or, for the other sign of bow, the middle) by ``severity`` mm."""
    box = side.bounds
    block = fields.touch(box, 3)
    middle, half = (box.u0 + box.u1) / 2, (box.u1 - box.u0) / 2
    lean = rng.uniform(-0.15, 0.15)
    t = np.clip((fields.u[block] - F32(middle)) * F32(1 / half) - F32(lean), -1.2, 1.2)
    lift = np.square(t) * F32(severity / (1 + abs(lean)) ** 2)
    here = fields.height[block]
    fields.lift = np.zeros(fields.window.shape, F32)
    fields.lift[block] = lift
    fields.height[block] = here + lift * (here > 0.05)
    mask = fields.solid[block] > 0.5
    edge = middle + half * (-1 if lean > 0 else 1)
    return Mark(severity, block, mask, edge, box.v0, 0.0, whole=True)
