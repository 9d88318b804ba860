"""Gate vestige: a stub standing proud at the gate, or (negative) a gouge dug into it."""

import numpy as np

from media_demo.pictures.arrays import F32, Array, BoolArray, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.noise import wobble

SITES = ("gate",)
USUAL_MM = 0.12


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Leave a stub ``severity`` mm proud.

    The whitened scar is drawn apart from the height, so that paleness does not tell it.
    """
    # a gate is as large as the place it feeds allows
    diameter = rng.uniform(0.36, 0.45) * min(site.radius, 6.0)
    block = fields.around(site.u, site.v, 5)
    u, v = fields.u[block], fields.v[block]
    du, dv = u - F32(site.u), v - F32(site.v)
    d = np.hypot(du, dv) - F32(diameter / 2) + wobble(u, v, 1.2, 0.08, rng)
    solid = fields.solid[block] > 0.5
    before = fields.height[block].copy()
    tilt = rng.uniform(-0.2, 0.2)
    rough = wobble(u, v, 0.8, 0.08, rng) + F32(tilt) * du * F32(2 / diameter)
    top = F32(severity) * np.maximum(1 + rough, F32(0.1))
    top *= F32(1 / max(float((1 + rough)[d < -0.1].max(initial=1.0)), 1e-3))
    foot = np.clip(F32(0.5) - d * F32(1 / 0.3), 0, 1)
    fields.height[block] += top * foot * solid
    torn = np.clip(0.5 - d * F32(1 / 0.2), 0, 1) * solid
    fields.grain[block] += (F32(rng.uniform(1.2, 2.2)) - fields.grain[block]) * torn
    fields.alpha[block] += (F32(0.52) - fields.alpha[block]) * torn
    halo = smoothstep(2.2, 0.1, d) * (d > 0) * solid
    scar = float(rng.uniform(0.06, 0.3))
    fields.tint(block, torn * F32(scar) + halo * F32(scar * 0.25), (0.70, 0.70, 0.70))
    mask = (d < 0.3) & solid
    measured = float((top * foot)[solid].max(initial=0.0)) if severity > 0 else severity
    return Mark(measured + _flush(before, d, solid), block, mask, site.u, site.v, site.height)


def _flush(before: Array, d: Array, solid: BoolArray) -> float:
    """What already stood proud here: every gate leaves a little, on a flat face or not."""
    around, on = (d > 2.0) & (d < 2.8) & solid, (d < -0.15) & solid
    if not around.any() or not on.any():
        return 0.0
    left = float(np.median(before[on]) - np.median(before[around]))
    return left if 0 < left < USUAL_MM else 0.0
