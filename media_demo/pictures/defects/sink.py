"""Sink mark: a soft dimple or shallow channel opposite a boss or rib."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, bell
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.shapes import Bounds, segment_distance

SITES = ("boss", "rib line")
# from this depth on the skin is as shiny as it gets (common practice, no source for the numbers)
SHINY_MM, SHINE, SMOOTHING = 0.07, 0.42, 0.5
# In shares of the room a site offers: a dimple of about 3 mm over a boss, a channel of 3 over a rib.
# A polished face mirrors the room and shows a dimple that is wider and flatter.
WIDTHS = {"boss": 0.225, "rib line": 0.38}
POLISHED, WIDER = 0.15, 1.8


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Sink the face by ``severity`` mm at the deepest point (bridge of 20 mm)."""
    a = math.radians(site.angle)
    half = site.length / 2
    du, dv = half * math.cos(a), half * math.sin(a)
    start, end = (site.u - du, site.v - dv), (site.u + du, site.v + dv)
    width = site.radius * rng.uniform(0.9, 1.1) * WIDTHS[site.kind]
    if site.kind == "boss" and _polished(fields, site):
        width *= WIDER
    box = Bounds(*start, *start).joined(Bounds(*end, *end))
    block = fields.touch(box, width * 2.4)
    d = segment_distance(fields.u[block], fields.v[block], start, end)
    solid = fields.solid[block] > 0.5
    dimple = bell(d, width) * solid
    fields.height[block] -= F32(severity) * dimple
    # the skin shrinks off the wall of the tool: it takes less of its grain and shines a little more
    shine = F32(min(severity / SHINY_MM, 1.0)) * dimple
    fields.alpha[block] -= F32(SHINE) * fields.alpha[block] * shine
    fields.grain[block] *= 1 - F32(SMOOTHING) * shine
    mask = (d < width * 1.1) & solid
    return Mark(severity, block, mask, site.u, site.v, site.height)


def _polished(fields: Fields, site: Site) -> bool:
    around = Bounds(site.u, site.v, site.u, site.v)
    return float(np.median(fields.alpha[fields.block(around, site.radius)])) < POLISHED
