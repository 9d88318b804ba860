"""Gloss variation: a cloudy patch that mirrors less (or more); the colour stays."""

import numpy as np

from media_demo.pictures.arrays import F32, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark, cell_area
from media_demo.pictures.noise import wobble

SITES = ("gate", "flow", "gloss face", "face")
ZONES = ("A", "B")


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Spread a blush of radius ``severity`` mm around the site."""
    block = fields.around(site.u, site.v, severity * 1.9 + 1)
    u, v = fields.u[block], fields.v[block]
    # ragged about the site, so that the same patch grows with its severity
    du, dv = u - F32(site.u), v - F32(site.v)
    q = np.hypot(du * F32(0.9), dv * F32(1.1)) * F32(1 / severity)
    q += wobble(du, dv, severity, 0.13, rng) + wobble(du, dv, max(severity / 4, 0.6), 0.05, rng)
    blush = smoothstep(1.25, 0.6, q) * (fields.solid[block] > 0.5)
    local = float(np.median(fields.alpha[block]))
    change = rng.uniform(0.15, 0.18) if local < 0.15 else rng.uniform(0.16, 0.2)
    fields.alpha[block] = np.clip(fields.alpha[block] + F32(change) * blush, 0.04, 0.8)
    fields.grain[block] *= 1 - F32(0.6) * blush
    mask = blush > 0.35
    radius = float(np.sqrt(mask.sum() * cell_area(fields) / np.pi))
    return Mark(radius, block, mask, site.u, site.v, site.height)
