"""Gate vestige: a stub standing proud at the gate, or (negative) a gouge dug into it."""

import numpy as np

from media_demo.pictures.arrays import F32, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.noise import wobble

SITES = ("gate",)


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Leave a stub ``severity`` mm proud.

    The whitened scar is drawn apart from the height, so that paleness does not tell it.
    """
    diameter = rng.uniform(1.9, 2.6)
    block = fields.around(site.u, site.v, 5)
    u, v = fields.u[block], fields.v[block]
    du, dv = u - F32(site.u), v - F32(site.v)
    d = np.hypot(du, dv) - F32(diameter / 2) + wobble(u, v, 1.2, 0.08, rng)
    solid = fields.solid[block] > 0.5
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
    proud = fields.height[block]
    around = (d > 2.0) & (d < 2.8) & solid
    floor = float(np.median(proud[around])) if around.any() else site.height
    measured = float(proud[(d < -0.15) & solid].max(initial=floor)) - floor
    return Mark(measured if severity > 0 else severity, block, mask, site.u, site.v, site.height)
