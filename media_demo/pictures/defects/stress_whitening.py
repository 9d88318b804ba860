"""Stress whitening: a white haze that follows the strain at a bend or root."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, bell, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark, extent
from media_demo.pictures.noise import wobble

SITES = ("root",)
# white that whitens
HIDDEN_ON = ("white", "ivory")
PALE = 0.7
WHITENED, CHALK = (0.965, 0.965, 0.96), (0.99, 0.99, 0.985)
CREASE_MM, CREASE_PER_MM, DEEPEST_MM = 0.01, 0.008, 0.1


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Whiten ``severity`` mm along the root."""
    a = math.radians(site.angle)
    c, s = math.cos(a), math.sin(a)
    block = fields.around(site.u, site.v, severity * 0.7 + 4)
    u, v = fields.u[block], fields.v[block]
    du, dv = u - F32(site.u), v - F32(site.v)
    along = du * F32(c) + dv * F32(s)
    across = dv * F32(c) - du * F32(s) + wobble(u, v, 4, 0.2, rng)
    half = severity / 2
    width = min(0.45 + 0.12 * severity, 1.6)
    ends = smoothstep(half + 0.2, half - 0.35 * min(half, 1.5), np.abs(along))
    haze = bell(across, width) * ends
    strained = haze * (fields.solid[block] > 0.5)
    # fine bands across the strain
    bands = np.sin((along + wobble(u, v, 1.5, 0.25, rng)) * F32(2 * math.pi / 0.55))
    haze *= np.clip(F32(0.8) + F32(0.2) * bands, 0, 1)
    haze *= fields.solid[block] > 0.5
    pale = fields.lightness > PALE
    least, most = (0.35, 0.9) if pale else (0.20, 0.72)
    strength = float(np.clip(least + 0.09 * severity, 0.25, most))
    fields.tint(block, haze * F32(strength), CHALK if pale else WHITENED)
    fields.alpha[block] += F32(0.08) * haze
    # strained skin necks: a shallow crease along the bend
    crease = min(CREASE_MM + CREASE_PER_MM * severity, DEEPEST_MM)
    fields.height[block] -= F32(crease) * strained
    fields.grain[block] *= 1 - F32(0.5) * haze
    mask = haze > 0.3
    measured = extent(fields, block, mask, site.angle)
    return Mark(measured, block, mask, site.u, site.v, site.height)
