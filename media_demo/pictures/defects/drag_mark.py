"""Drag mark: parallel polished lines on a wall, all along the draw."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, bell, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.shapes import Bounds

SITES = ("wall",)


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Pull lines of up to ``severity`` mm down the wall (length along the wall)."""
    a = math.radians(site.angle)
    out_u, out_v = math.cos(a), math.sin(a)
    spread = min(site.length * 0.3, 4 + 0.8 * severity)
    reach = site.length * 0.5 + site.radius + 6
    block = fields.touch(Bounds(site.u - reach, site.v - reach, site.u + reach, site.v + reach))
    du, dv = fields.u[block] - F32(site.u), fields.v[block] - F32(site.v)
    across = dv * F32(out_u) - du * F32(out_v)
    outward = du * F32(out_u) + dv * F32(out_v)
    # distance travelled along the section of the wall, downwards
    travelled = outward + (F32(site.height) - fields.height[block])
    wall = (fields.height[block] > 0.3) & (np.abs(outward) < site.radius + 4)
    middle = rng.uniform(-0.2, 0.2) * site.length
    cover = np.zeros_like(across)
    measured = 0.0
    px = 1 / fields.view.fine_per_mm
    for i in range(int(rng.integers(9, 18))):
        offset = middle + float(rng.normal(0, spread / 2)) * (0.3 if i == 0 else 1.0)
        share = 1.0 if i == 0 else float(rng.uniform(0.3, 0.95))
        length = severity * share
        place = float(rng.uniform(-0.5, 0.1))
        start = place * length
        if i == 0:
            # the one that is measured has as much of the wall as it needs
            here = travelled[wall & (np.abs(across - F32(offset)) < 0.4)]
            low, high = (float(here.min()), float(here.max())) if here.size else (0.0, length)
            start = low + (0.5 + place) * max(high - low - length, 0.0)
        true_width = 0.11 * rng.uniform(0.6, 1.4)
        width = math.hypot(true_width, 0.5 * px)
        line = bell(across - F32(offset), width) * F32(true_width / width * rng.uniform(0.5, 1.0))
        line *= smoothstep(start - 0.3, start + 0.3, travelled)
        line *= smoothstep(start + length + 0.3, start + length - 0.3, travelled)
        line *= wall
        if i == 0:
            seen = travelled[line > 0.15]
            measured = float(seen.max() - seen.min()) if seen.size else 0.0
        np.maximum(cover, line, out=cover)
    fields.tint(block, cover * F32(0.5), fields.worn)
    fields.alpha[block] += (F32(0.2) - fields.alpha[block]) * cover * F32(0.8)
    fields.grain[block] *= 1 - F32(0.7) * cover
    mask = cover > 0.15
    return Mark(measured, block, mask, site.u, site.v, site.height)
