"""Grease or oil: a dark, shiny film with a brighter rim, smeared one way."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, bell, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark, mean_size
from media_demo.pictures.noise import wobble

SITES = ("face", "gloss face")


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Leave a stain of mean size ``severity`` mm."""
    u0, v0 = site.u, site.v
    radius = severity / 2
    block = fields.around(u0, v0, radius * 2.6 + 1.5)
    u, v = fields.u[block], fields.v[block]
    turn = rng.uniform(0, 2 * math.pi)
    du, dv = u - F32(u0), v - F32(v0)
    x = du * F32(math.cos(turn)) + dv * F32(math.sin(turn))
    y = dv * F32(math.cos(turn)) - du * F32(math.sin(turn))
    stretch = rng.uniform(1.0, 1.5)
    q = np.hypot(x / F32(stretch), y * F32(stretch)) * F32(1 / radius)
    q += wobble(du, dv, radius * 0.9, 0.13, rng) + wobble(du, dv, radius * 0.3 + 0.2, 0.05, rng)
    solid = fields.solid[block] > 0.5
    soaked = 0.10 + 0.6 / fields.view.fine_per_mm / radius
    film = smoothstep(0.98 + soaked, 0.98 - soaked, q) * solid
    smear = bell(y, radius * 0.6) * smoothstep(radius * 2.4, radius * 0.7, x) * (x > 0) * solid
    streaky = np.clip(0.5 + wobble(u * F32(0.3), v * F32(0.3), 0.5, 0.5, rng), 0, 1)
    wet = np.maximum(film, smear * streaky * F32(0.45))
    rim = bell(q - F32(0.97), 0.06 + 0.5 / fields.view.fine_per_mm / radius) * solid
    polished = float(np.median(fields.alpha[block])) < 0.15
    target = 0.14 if polished else 0.11
    fields.alpha[block] += (F32(target) - fields.alpha[block]) * wet * F32(0.9)
    fields.grain[block] *= 1 - F32(0.55) * wet
    fields.height[block] += F32(0.02) * film
    stain = float(rng.uniform(0.24, 0.34)) * (1.0 if fields.lightness > 0.3 else 0.45)
    # it drew back to its edge while it dried, and never lay equally thick
    pools = wobble(du, dv, radius * 0.7, 0.22, rng)
    pools += wobble(du, dv, radius * 0.25 + 0.2, 0.10, rng)
    ring = bell(q - F32(0.84), 0.14) * F32(0.35)
    thick = np.clip(F32(0.82) + pools + ring, 0.45, 1.35)
    fields.tint(block, wet * thick * F32(stain), (0.30, 0.20, 0.07))
    fields.tint(block, rim * F32(0.02 + 0.05 * fields.lightness), (0.75, 0.74, 0.70))
    return Mark(mean_size(fields, block, film), block, wet > 0.2, u0, v0, site.height)
