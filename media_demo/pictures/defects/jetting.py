"""Jetting: a folded, worm-like track that starts at the gate."""

import math
from itertools import pairwise

import numpy as np

from media_demo.pictures.arrays import F32, bell, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.shapes import Bounds, segment_distance

SITES = ("gate", "flow")


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Lay a snake whose track is ``severity`` mm long."""
    severity = min(severity, 1.4 * site.length)
    points = _track(site, severity, rng)
    width = rng.uniform(0.9, 1.3)
    us, vs = [p[0] for p in points], [p[1] for p in points]
    block = fields.touch(Bounds(min(us), min(vs), max(us), max(vs)), 4)
    u, v = fields.u[block], fields.v[block]
    d = np.full(u.shape, 1e3, F32)
    for start, end in pairwise(points):
        np.minimum(d, segment_distance(u, v, start, end), out=d)
    solid = fields.solid[block] > 0.5
    # a jet that folds on for longer is also thicker
    strength = F32(min(0.7 + 0.02 * severity, 1.2))
    core = smoothstep(width, width * 0.45, d) * solid * strength
    seam = bell(d - F32(width), 0.16) * solid * strength
    polished = float(np.median(fields.alpha[block])) < 0.15
    fields.alpha[block] += F32(0.05 if polished else 0.10) * core
    fields.grain[block] *= 1 - F32(0.55) * core
    fields.height[block] += F32(0.008 if polished else 0.02) * core
    fields.height[block] -= F32(0.012 if polished else 0.03) * seam
    fields.tint(block, seam * F32(0.20), (0.05, 0.05, 0.05))
    fields.tint(block, core * F32(0.07 if fields.lightness < 0.5 else 0.12), fields.worn)
    mask = (d < width + 0.3) & solid
    length = sum(math.dist(a, b) for a, b in pairwise(points))
    return Mark(length, block, mask, site.u, site.v, site.height)


def _track(site: Site, length: float, rng: np.random.Generator) -> list[tuple[float, float]]:
    """A snake of given arc length along the flow: uneven folds that tire with distance."""
    ahead = math.radians(site.angle)
    u, v, travelled, swing = site.u, site.v, 0.0, 0.0
    bend = float(rng.uniform(0.5, 0.9)) * (1 if rng.random() < 0.5 else -1)
    limit = math.radians(rng.uniform(55, 105))
    points = [(u, v)]
    while travelled < length - 1e-6:
        step = min(0.4, length - travelled)
        swing += bend * step
        if abs(swing) > limit and swing * bend > 0:
            # fold back: the next bend is another size
            tired = 0.55 + 0.45 * math.exp(-travelled / 25)
            limit = math.radians(rng.uniform(35, 110)) * tired
            bend = -math.copysign(float(rng.uniform(0.4, 1.1)), bend)
        heading = ahead + swing
        u, v = u + step * math.cos(heading), v + step * math.sin(heading)
        travelled += step
        points.append((u, v))
    return points
