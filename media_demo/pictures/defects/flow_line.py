"""Flow line: rings or soft bands round the gate where the skin froze in steps."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.noise import wobble

SITES = ("gate", "flow")


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Spread rings ``severity`` mm from the gate along the flow."""
    severity = min(severity, site.length)
    a = math.radians(site.angle)
    block = fields.around(site.u, site.v, severity + 4)
    u, v = fields.u[block], fields.v[block]
    du, dv = u - F32(site.u), v - F32(site.v)
    r = np.hypot(du, dv)
    ahead = du * F32(math.cos(a)) + dv * F32(math.sin(a))
    fan = smoothstep(-0.45, 0.35, ahead / np.maximum(r, F32(0.5)))
    pitch = rng.uniform(2.0, 3.0)
    wave = r + wobble(u, v, 14, 0.5, rng) + wobble(u, v, 5, 0.2, rng)
    rings = np.sin(wave * F32(2 * math.pi / pitch))
    fade = smoothstep(severity + 1.0, max(severity * 0.55, severity - 4), r) * smoothstep(0.6, 2, r)
    strength = fade * fan * (fields.solid[block] > 0.5)
    strength *= np.clip(1 + wobble(u, v, 9, 0.3, rng), 0.3, 1.4)
    polished = float(np.median(fields.alpha[block])) < 0.15
    pale = fields.lightness > 0.5
    clear = polished and pale
    gloss = rng.uniform(0.022, 0.03) if polished else rng.uniform(0.075, 0.095)
    # what is mirrored in a clear skin is faint beside what shines through it
    gloss *= 2.0 if clear else 1.0
    fields.alpha[block] = np.clip(fields.alpha[block] + F32(gloss) * rings * strength, 0.035, 0.8)
    fields.grain[block] *= 1 - F32(0.35) * np.maximum(-rings, 0) * strength
    slope = (0.014 if clear else 0.004) if polished else 0.02
    relief = F32(slope) * np.cos(wave * F32(2 * math.pi / pitch)) * strength
    inverse = 1 / np.maximum(r, F32(0.5))
    fields.slope_u[block] += relief * du * inverse
    fields.slope_v[block] += relief * dv * inverse
    tone = np.maximum(rings, 0) * strength * F32((0.2 if clear else 0.10) if pale else 0.05)
    fields.tint(block, tone, (0.6, 0.6, 0.59) if pale else (0.75, 0.75, 0.75))
    mask = strength > 0.25
    measured = float(r[mask].max(initial=0.0))
    return Mark(measured, block, mask, site.u, site.v, site.height)
