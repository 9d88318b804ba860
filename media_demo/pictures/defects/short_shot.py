"""Short shot: the end of flow is missing; the melt front is smooth, shiny and round."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.noise import wobble

SITES = ("corner", "tip")
WALL_MM = 2.6


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Leave ``severity`` mm unfilled, measured from the outline inwards along the flow."""
    a = math.radians(site.angle)
    c, s = math.cos(a), math.sin(a)
    reach = max(site.radius * 1.4, severity * 2.2) + 8
    block = fields.around(site.u, site.v, reach)
    u, v = fields.u[block], fields.v[block]
    was = fields.solid[block] > 0.5
    # the front is an arc about a point far back along the flow
    arc = max(side_length(side, site), 3 * reach)
    back_u, back_v = site.u - c * arc, site.v - s * arc
    front = np.hypot(u - F32(back_u), v - F32(back_v))
    inside = was & (np.hypot(u - F32(site.u), v - F32(site.v)) < reach)
    end = float(front[inside].max()) if inside.any() else arc
    d = F32(end - severity) - front
    d += wobble(u, v, 9, min(0.35, severity * 0.12), rng)
    d += wobble(u, v, 3, min(0.16, severity * 0.06), rng)
    wall = min(WALL_MM, 0.8 * severity + 0.6)
    cap = np.clip(d * F32(1 / wall), 0, 1)
    rounded = np.sqrt(np.maximum(1 - np.square(1 - cap), 0))
    h = fields.height[block]
    kept = h * (F32(0.25) + F32(0.75) * rounded)
    kept -= F32(0.15) * np.exp(np.maximum(d, 0) * F32(-1 / 3)) * (h > 0.8)
    ripple = F32(0.03) * np.sin(d * F32(3.6)) * np.exp(np.maximum(d, 0) * F32(-1 / 2.4))
    kept += ripple * (h > 0.8)
    filled = fields.cover(-d)
    fields.height[block] = np.where(inside, np.maximum(kept, 0) * filled, h)
    fields.solid[block] *= np.where(inside, filled, 1)
    shine = smoothstep(5.5, 0.3, d) * inside
    fields.grain[block] *= 1 - F32(0.94) * shine
    fields.alpha[block] += (F32(0.15) - fields.alpha[block]) * shine
    gone = inside & (d <= 0)
    missing = float((end - front[gone]).max() - (end - front[gone]).min()) if gone.any() else 0.0
    return Mark(missing, block, gone | (inside & (d < wall)), site.u, site.v, site.height * 0.5)


def side_length(side: Side, site: Site) -> float:
    """Flow length from the gate to the site, mm."""
    return math.hypot(site.u - side.gate[0], site.v - side.gate[1])
