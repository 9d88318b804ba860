"""Short shot: the end of flow is missing; the melt front is smooth, shiny and round."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.noise import wobble

SITES = ("corner", "tip", "post")
WALL_MM = 2.6


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Leave ``severity`` mm unfilled, measured from the outline inwards along the flow."""
    if site.kind == "post":
        return _low_post(fields, site, severity, rng)
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
    base = F32(site.base or 0.0)
    if site.base is not None and site.shape is not None:
        # a rib stands on a floor that stays
        inside &= (site.shape.distance(u, v) < 0.6) & (fields.height[block] > base)
    end = float(front[inside].max()) if inside.any() else arc
    d = F32(end - severity) - front
    d += wobble(u, v, 9, min(0.35, severity * 0.12), rng)
    d += wobble(u, v, 3, min(0.16, severity * 0.06), rng)
    wall = min(WALL_MM, 0.8 * severity + 0.6)
    cap = np.clip(d * F32(1 / wall), 0, 1)
    rounded = np.sqrt(np.maximum(1 - np.square(1 - cap), 0))
    h = fields.height[block]
    kept = base + (h - base) * (F32(0.25) + F32(0.75) * rounded)
    kept -= F32(0.15) * np.exp(np.maximum(d, 0) * F32(-1 / 3)) * (h > 0.8)
    ripple = F32(0.03) * np.sin(d * F32(3.6)) * np.exp(np.maximum(d, 0) * F32(-1 / 2.4))
    kept += ripple * (h > 0.8)
    filled = fields.cover(-d)
    kept = base + np.maximum(kept - base, 0) * filled
    fields.height[block] = np.where(inside, kept, h)
    if site.base is None:
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


def _low_post(fields: Fields, site: Site, severity: float, rng: np.random.Generator) -> Mark:
    """A post or clip that ends ``severity`` mm below its full height, with a round top."""
    block = fields.around(site.u, site.v, site.radius + 2)
    u, v = fields.u[block], fields.v[block]
    here = fields.height[block].copy()
    near = np.hypot(u - F32(site.u), v - F32(site.v)) < site.radius
    base = F32(site.base or 0.0)
    top = F32(site.height - severity) + wobble(u, v, 3, min(0.15, severity * 0.1), rng)
    hit = near & (here > np.maximum(top, base + F32(0.2)))
    # rounded: the melt front bulges in the middle of what is left
    bulge = F32(0.25) * np.minimum(here - top, 1.0)
    fields.height[block] = np.where(hit, np.maximum(top + bulge, base), here)
    fields.grain[block] *= 1 - F32(0.9) * hit
    fields.alpha[block] += (F32(0.15) - fields.alpha[block]) * hit * F32(0.9)
    missing = float((here - fields.height[block])[hit].max(initial=0.0))
    return Mark(missing, block, hit, site.u, site.v, site.height * 0.7)
