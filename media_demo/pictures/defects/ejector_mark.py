"""Ejector-pin mark: a disc proud or sunk on the inside; a pale ring on the show face."""

import numpy as np

from media_demo.pictures.arrays import F32, bell, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.noise import wobble

SITES = ("pin",)


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Push (or with a negative severity sink) a pin mark by ``severity`` mm."""
    block = fields.around(site.u, site.v, site.radius * 2 + 1)
    u, v = fields.u[block], fields.v[block]
    d = np.hypot(u - F32(site.u), v - F32(site.v)) - F32(site.radius)
    solid = fields.solid[block] > 0.5
    amount = abs(severity)
    inside = smoothstep(0.2, -0.2, d)
    if side.rest not in ("A", "B"):
        # the witness that every pin leaves is already there: count from the face around it
        here = fields.height[block]
        disc, around = (d < -0.3) & solid, (d > 0.4) & (d < 1.0) & solid
        flush = float(np.median(here[around])) if around.any() else site.height
        witness = float(np.median(here[disc])) - flush if disc.any() else 0.0
        fields.height[block] += F32(severity - witness) * inside * solid
    else:
        # through the wall only a soft swelling shows
        swell = F32(0.5) * inside + F32(0.5) * bell(
            np.maximum(d + F32(site.radius), 0), site.radius
        )
        fields.height[block] += F32(severity) * swell * solid
    whitening = 2.2 if fields.lightness > 0.5 else 0.9
    ring = bell(d, 0.4) * np.clip(0.65 + wobble(u, v, 2.5, 0.25, rng), 0, 1.2) * solid
    fields.tint(block, ring * F32(min(0.35, whitening * amount)), (0.80, 0.80, 0.80))
    fields.alpha[block] -= F32(min(0.07, amount)) * inside * solid
    mask = (d < 0.5) & solid
    return Mark(severity, block, mask, site.u, site.v, site.height)
