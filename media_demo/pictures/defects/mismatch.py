"""Parting-line step: one mould half stands out past the other, solid on both sides."""

import numpy as np

from media_demo.pictures.arrays import F32, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.shapes import Bounds

SITES = ("edge",)


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Shift the wall below the parting line outwards by ``severity`` mm."""
    if site.shape is None:
        raise ValueError(f"site {site.name!r} has no outline to follow")
    half = site.length / 2
    reach = half + 4
    block = fields.touch(Bounds(site.u - reach, site.v - reach, site.u + reach, site.v + reach))
    u, v = fields.u[block], fields.v[block]
    d = site.shape.distance(u, v)
    along = np.hypot(u - F32(site.u), v - F32(site.v))
    share = smoothstep(half + 1.5, half - 1.5, along)
    height = fields.height[block]
    on_wall = (height > site.parting) & (np.abs(d) < 3) & (along < half)
    start = float(d[on_wall].max(initial=0.0))
    foot = start + F32(severity) * share
    # the lower half keeps its own draft, it only stands further out
    below = (height > 0.05) & (d > start) & (d < start + 3) & (along < half)
    draft = max(float(d[below].max(initial=start)) - start, 0.2)
    lower = F32(site.parting) * np.clip(1 - (d - foot) * F32(1 / draft), 0, 1)
    ledge = np.where(d > start, np.minimum(lower, F32(site.parting)), 0) * (share > 0.02)
    fields.height[block] = np.maximum(height, ledge)
    np.maximum(
        fields.solid[block],
        fields.cover(d - foot - F32(draft)) * (share > 0.02),
        out=fields.solid[block],
    )
    mask = (share > 0.5) & (d > start - 0.1) & (d < foot + F32(draft))
    return Mark(severity, block, mask, site.u, site.v, site.parting)
