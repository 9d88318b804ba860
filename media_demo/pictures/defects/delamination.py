"""Delamination: a pearly skin that lifts in layers with slate-like edges."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark, extent
from media_demo.pictures.noise import wobble

SITES = ("corner", "root")


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Lift a flake ``severity`` mm across."""
    a = math.radians(site.angle)
    inward = severity * 0.45 + 1.5 if site.kind == "corner" else 0.0
    cu, cv = site.u - inward * math.cos(a), site.v - inward * math.sin(a)
    radius = severity / 2
    block = fields.around(cu, cv, radius * 1.9 + 1.5)
    u, v = fields.u[block], fields.v[block]
    turn = rng.uniform(0, math.pi)
    x = (u - F32(cu)) * F32(math.cos(turn)) + (v - F32(cv)) * F32(math.sin(turn))
    y = (v - F32(cv)) * F32(math.cos(turn)) - (u - F32(cu)) * F32(math.sin(turn))
    q = np.hypot(x, y * F32(1.35)) * F32(1 / radius)
    q += wobble(x, y, radius * 0.9, 0.16, rng) + wobble(x, y, radius * 0.25 + 0.2, 0.06, rng)
    solid = fields.solid[block] > 0.5
    lift = min(0.12 + 0.02 * severity, 0.4)
    # lifted along one side only: the flake still hangs on along the other
    free = smoothstep(-0.3, 0.8, x * F32(1 / radius))
    for ring, share in ((1.0, 1.0), (0.8, 0.5), (0.62, 0.35)):
        edge = 0.5 / fields.view.fine_per_mm / radius + 0.02
        sheet = smoothstep(ring + edge, ring - edge, q) * solid
        fields.height[block] += F32(lift * share) * sheet * (F32(0.35) + F32(0.65) * free)
    skin = smoothstep(1.05, 0.9, q) * solid
    bare = smoothstep(1.35, 1.0, q) * (1 - skin) * solid
    pearl = skin * np.clip(0.6 + wobble(u, v, 1.6, 0.3, rng), 0, 1.2)
    pearly = (0.80, 0.79, 0.82) if fields.lightness < 0.5 else (0.70, 0.69, 0.73)
    fields.tint(block, pearl * F32(0.30), pearly)
    fields.tint(block, bare * F32(0.10), fields.worn)
    fields.alpha[block] += (F32(0.14) - fields.alpha[block]) * skin * F32(0.8)
    fields.grain[block] *= 1 - F32(0.85) * skin
    mask = (skin > 0.4) & solid
    return Mark(extent(fields, block, mask), block, mask, cu, cv, site.height)
