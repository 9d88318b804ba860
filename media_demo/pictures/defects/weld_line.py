"""Weld line: a fine notch where two melt fronts met, from a hole towards the far side."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, bell
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.noise import wobble
from media_demo.pictures.shapes import Bounds

SITES = ("weld",)


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Draw a line of visible length ``severity`` mm from the site along its angle."""
    severity = min(severity, site.length)
    a = math.radians(site.angle + rng.normal(0, 2))
    c, s = math.cos(a), math.sin(a)
    end = (site.u + c * severity, site.v + s * severity)
    bounds = Bounds(site.u, site.v, site.u, site.v).joined(Bounds(*end, *end))
    block = fields.touch(bounds, 4)
    u, v = fields.u[block], fields.v[block]
    along = (u - F32(site.u)) * F32(c) + (v - F32(site.v)) * F32(s)
    across = (v - F32(site.v)) * F32(c) - (u - F32(site.u)) * F32(s)
    across = across + wobble(u, v, 7, 0.14, rng) + wobble(u, v, 2, 0.05, rng)
    fade = np.clip(along * F32(2) + 1, 0, 1) * np.clip((F32(severity) - along) * F32(1.2), 0, 1)
    fade *= fields.solid[block] > 0.5
    depth_um = rng.uniform(26, 40)
    px = 1 / fields.view.fine_per_mm
    width = math.hypot(0.09, 0.62 * px)
    slope = 2 * across * F32(depth_um * 1e-3 / width**2) * bell(across, width) * fade
    fields.slope_u[block] -= slope * F32(s)
    fields.slope_v[block] += slope * F32(c)
    fields.alpha[block] += F32(0.06) * bell(across, 1.5) * fade
    fields.grain[block] *= 1 - F32(0.6) * bell(across, 0.35) * fade
    tint = rng.uniform(0.16, 0.28) * min(1.0, 0.09 / width * 1.6)
    fields.tint(block, bell(across, max(width * 0.8, 0.05)) * fade * F32(tint), (0.03, 0.03, 0.03))
    mask = (np.abs(across) < 0.5) & (fade > 0.05)
    length = float((along[fade > 0.15]).max(initial=0) - along[fade > 0.15].min(initial=0))
    return Mark(length, block, mask, site.u, site.v, site.height)
