"""Crack: a jagged hairline with a dark core and a light edge, often with branches."""

import math
from itertools import pairwise

import numpy as np

from media_demo.pictures.arrays import F32, bell
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.shapes import Bounds, segment_distance

SITES = ("root",)
Path = list[tuple[float, float]]


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Open a crack ``severity`` mm long from the root along the site's angle."""
    paths = [_path(site.u, site.v, math.radians(site.angle), severity, rng)]
    if severity > 4:
        trunk = paths[0]
        fork = trunk[len(trunk) // 2]
        turn = math.radians(site.angle) + rng.choice([-1, 1]) * rng.uniform(0.5, 0.9)
        paths.append(_path(*fork, turn, severity * rng.uniform(0.2, 0.35), rng))
    points = [p for path in paths for p in path]
    us, vs = [p[0] for p in points], [p[1] for p in points]
    block = fields.touch(Bounds(min(us), min(vs), max(us), max(vs)), 3)
    u, v = fields.u[block], fields.v[block]
    d = np.full(u.shape, 1e3, F32)
    taper = np.ones(u.shape, F32)
    for path in paths:
        for i, (start, end) in enumerate(pairwise(path)):
            here = segment_distance(u, v, start, end)
            nearer = here < d
            taper[nearer] = 1 - 0.65 * i / len(path)
            np.minimum(d, here, out=d)
    solid = fields.solid[block] > 0.5
    px = 1 / fields.view.fine_per_mm
    opening = 0.02 + 0.009 * min(severity, 14)
    width = math.hypot(opening, 0.45 * px)
    core = bell(d, width) * taper * F32(min(opening / width * 1.1, 1.0)) * solid
    edge = bell(d - F32(width * 1.6 + 0.05), max(0.10, px * 0.6)) * taper * solid
    pale = 0.26 if fields.lightness > 0.5 else 0.15
    fields.tint(block, edge * F32(pale), (0.90, 0.90, 0.90))
    fields.tint(block, core * F32(0.92), (0.03, 0.03, 0.03))
    fields.height[block] -= F32(0.12) * core
    fields.grain[block] *= 1 - F32(0.6) * core
    mask = (d < 0.35) & solid
    length = sum(math.dist(a, b) for a, b in pairwise(paths[0]))
    return Mark(length, block, mask, site.u, site.v, site.height)


def _path(u: float, v: float, angle: float, length: float, rng: np.random.Generator) -> Path:
    """A jagged polyline of given arc length."""
    path, travelled, heading = [(u, v)], 0.0, angle
    while travelled < length - 1e-6:
        step = min(float(rng.uniform(0.35, 1.1)), length - travelled)
        heading = angle + 0.6 * (heading - angle) + float(rng.normal(0, 0.32))
        u, v = u + step * math.cos(heading), v + step * math.sin(heading)
        travelled += step
        path.append((u, v))
    return path
