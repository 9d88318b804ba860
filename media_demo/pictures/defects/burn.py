"""Burn mark: a brown to black scorch at the end of flow, rough at its core."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark, cell_area
from media_demo.pictures.noise import wobble

SITES = ("corner", "tip")


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Scorch about ``severity`` mm² next to the end of flow."""
    radius = math.sqrt(severity / math.pi)
    a = math.radians(site.angle)
    # gas is trapped and burns at the very end of the flow
    inward = (0.7 if site.kind == "tip" else 1.6) + radius * 0.55
    u, v = site.u - inward * math.cos(a), site.v - inward * math.sin(a)
    block = fields.around(u, v, radius * 2.6 + 1)
    pu, pv = fields.u[block] - F32(u), fields.v[block] - F32(v)
    q = np.hypot(pu, pv) * F32(1 / radius)
    ragged = wobble(pu, pv, radius * 1.1, 0.22, rng) + wobble(pu, pv, radius * 0.3, 0.12, rng)
    # ragged at its rim; the core is always burnt
    q += ragged * np.minimum(q * F32(1.6), 1)
    solid = fields.solid[block]
    scorch = smoothstep(1.3, 0.2, q) * solid
    # a small scorch is light brown only; char comes with size
    charred = float(np.clip((severity - 0.5) / 4, 0.12, 1.0))
    char = smoothstep(0.75, 0.1, q) * solid * F32(charred)
    brown = float(rng.uniform(0.85, 1.15))
    # on a dark resin a scorch is a dull, barely warmer dark, with a little ash at its rim
    level = min(0.23, 0.55 * fields.lightness + 0.07) * brown
    warm = 0.5 if fields.lightness > 0.4 else 0.22
    colour = (level, level * (1 - 0.56 * warm), level * (1 - warm))
    fields.tint(block, scorch * F32(0.85), colour)
    if fields.lightness < 0.4:
        ash = scorch * (1 - scorch) * F32(1.9)
        fields.tint(block, ash, (0.42, 0.405, 0.39))
    fields.tint(block, char * F32(0.9), (0.035, 0.03, 0.028))
    fields.alpha[block] += F32(0.16) * scorch
    fields.grain[block] *= 1 + F32(0.9) * char
    mask = scorch > 0.3
    return Mark(float(mask.sum()) * cell_area(fields), block, mask, u, v, site.height)
