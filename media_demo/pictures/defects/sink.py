"""Sink mark: a soft dimple or shallow channel opposite a boss or rib."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, bell
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.shapes import Bounds, segment_distance

SITES = ("boss", "rib line")


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Sink the face by ``severity`` mm at the deepest point (bridge of 20 mm)."""
    a = math.radians(site.angle)
    half = site.length / 2
    du, dv = half * math.cos(a), half * math.sin(a)
    start, end = (site.u - du, site.v - dv), (site.u + du, site.v + dv)
    width = site.radius * rng.uniform(0.55, 0.75)
    box = Bounds(*start, *start).joined(Bounds(*end, *end))
    block = fields.touch(box, width * 2.4)
    d = segment_distance(fields.u[block], fields.v[block], start, end)
    solid = fields.solid[block] > 0.5
    fields.height[block] -= F32(severity) * bell(d, width) * solid
    mask = (d < width * 1.1) & solid
    return Mark(severity, block, mask, site.u, site.v, site.height)
