"""Black specks: dark grains moulded into the surface, sized as (length + width) / 2."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, Array, Rgb, smoothstep
from media_demo.pictures.fields import Block, Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark, mean_size
from media_demo.pictures.noise import wobble

SITES = ("face", "gloss face")
DARK_RESIN = 0.35


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Put one speck of mean size ``severity`` mm at a random point of the face."""
    u, v = site.u, site.v
    block = fields.around(u, v, severity * 1.3 + 0.5)
    weight = speck(fields, block, (u, v), severity, rng)
    fields.tint(block, weight * F32(0.95), _colour(fields, rng))
    fields.alpha[block] += (F32(0.22) - fields.alpha[block]) * weight
    return Mark(mean_size(fields, block, weight), block, weight > 0.3, u, v, site.height)


def speck(
    fields: Fields,
    block: Block,
    at: tuple[float, float],
    size: float,
    rng: np.random.Generator,
) -> Array:
    """The cover of an irregular grain of mean size ``size`` mm."""
    du, dv = fields.u[block] - F32(at[0]), fields.v[block] - F32(at[1])
    turn = rng.uniform(0, math.pi)
    stretch = rng.uniform(0.72, 1.0)
    x = du * F32(math.cos(turn)) + dv * F32(math.sin(turn))
    y = dv * F32(math.cos(turn)) - du * F32(math.sin(turn))
    # the semi-axes average to size / 2
    a = size / (1 + stretch)
    d = np.hypot(x, y * F32(1 / stretch)) - F32(a)
    d += wobble(du, dv, size * 0.8, 0.07 * size, rng)
    soft = 0.5 / fields.view.fine_per_mm + 0.02
    return smoothstep(soft, -soft, d)


def _colour(fields: Fields, rng: np.random.Generator) -> Rgb:
    """Burnt resin on a pale part; pale foreign matter on a dark one."""
    if fields.lightness < DARK_RESIN:
        level = float(rng.uniform(0.5, 0.68))
        return level, level * 0.97, level * 0.88
    level = float(rng.uniform(0.05, 0.13))
    return level * 1.15, level, level * 0.82
