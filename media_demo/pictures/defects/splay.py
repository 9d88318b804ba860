"""Splay: silvery streaks that fan out of the gate in the direction of flow."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.noise import SIDE, sample, streak_tile, wobble
from media_demo.pictures.shapes import Bounds

SITES = ("gate", "flow")
PALE = 0.7
FAN_RAD = math.radians(28)


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Streak ``severity`` mm out of the gate."""
    severity = min(severity, site.length)
    a = math.radians(site.angle + rng.normal(0, 4))
    c, s = math.cos(a), math.sin(a)
    reach = severity * 0.75 + 4
    cu, cv = site.u + c * severity * 0.5, site.v + s * severity * 0.5
    block = fields.touch(Bounds(cu - reach, cv - reach, cu + reach, cv + reach))
    u, v = fields.u[block], fields.v[block]
    du, dv = u - F32(site.u), v - F32(site.v)
    r = np.hypot(du, dv) + F32(0.01)
    angle = np.arctan2(dv * F32(c) - du * F32(s), du * F32(c) + dv * F32(s))
    angle += wobble(u, v, 10, 0.012, rng)
    # streaks of constant width in mm: log r along the flow, arc length across it
    tile = streak_tile(26.0, 2.2)
    shift = [float(n) for n in rng.integers(0, SIDE, 4)]
    along, across = np.log(r + 6) * F32(300), angle * F32(max(severity, 12) * 12)
    fine = sample(tile, along + F32(shift[0]), across + F32(shift[1]))
    coarse = sample(tile, along * F32(1.7) + F32(shift[2]), across * F32(2.3) + F32(shift[3]))
    density = np.exp(-np.square(angle * F32(1 / FAN_RAD)))
    density *= smoothstep(1.0, 2.5, r) * smoothstep(severity, severity * 0.5, r)
    solid = fields.solid[block] > 0.5
    streak = np.clip((fine + coarse) * F32(0.7) - F32(1.5) + F32(1.15) * density, 0, 2)
    streak = np.clip(streak * density * F32(0.75), 0, 1) * solid
    strength = F32(rng.uniform(0.85, 1.0))
    # silver: brighter than a dark resin, greyer than a pale one
    silver = (0.80, 0.81, 0.82) if fields.lightness < PALE else (0.64, 0.65, 0.665)
    # a clear skin is polished: the streaks are dull in it and hide what shines through
    clear = fields.lightness >= PALE and float(np.median(fields.alpha[block])) < 0.15
    cover = 0.85 if clear else 0.6
    fields.tint(block, np.minimum(streak * F32(cover) * strength, 0.85), silver)
    fields.tint(block, density * F32(0.02) * strength * solid, silver)
    dull = F32(0.12 if clear else -0.12) * streak * strength
    fields.alpha[block] = np.clip(fields.alpha[block] + dull, 0.05, 0.9)
    fields.grain[block] *= 1 - F32(0.5) * streak * strength
    mask = (streak > 0.06) | (density * solid > 0.5)
    measured = float(r[streak > 0.06].max(initial=0.0))
    return Mark(measured, block, mask, site.u, site.v, site.height)
