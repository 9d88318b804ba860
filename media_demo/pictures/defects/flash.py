"""Flash: a thin ragged fin squeezed out along the parting line or into an opening."""

import numpy as np

from media_demo.pictures.arrays import F32, Array, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.noise import SIDE, band_tile, sample
from media_demo.pictures.shapes import Bounds

SITES = ("edge", "hole edge")


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Grow a fin whose highest point stands ``severity`` mm out of the parting line."""
    if site.shape is None:
        raise ValueError(f"site {site.name!r} has no outline to follow")
    half = site.length / 2
    reach = half + severity + 2
    block = fields.touch(Bounds(site.u - reach, site.v - reach, site.u + reach, site.v + reach))
    u, v = fields.u[block], fields.v[block]
    sign = -1.0 if site.kind == "hole edge" else 1.0
    d = site.shape.distance(u, v) * F32(sign)
    edge_u, edge_v = _nearest_edge(u, v, d, site, sign)
    along = np.hypot(edge_u - F32(site.u), edge_v - F32(site.v))
    profile = _Profile(edge_u, edge_v, rng)
    ragged = (
        F32(0.68) + F32(0.26) * profile(5) + F32(0.14) * profile(1.3) + F32(0.08) * profile(0.5)
    )
    width = np.clip(ragged, 0, None) * smoothstep(1.0, 0.55, along * F32(1 / half))
    width *= F32(severity / max(float(width[np.abs(d) < 0.6].max(initial=0.0)), 1e-3))
    out = np.clip(d * F32(1 / max(severity, 0.05)), 0, 1)
    film = F32(site.parting) + F32(0.3 * min(severity, 1.5)) * profile(9) * out * out
    film += F32(0.05) * profile(2) * out
    fin = fields.cover(np.maximum(d - width, -d - F32(0.9)))
    new = (fin > 0.02) & (film > fields.height[block]) & (width > 0.02)
    fields.height[block] = np.where(new, film, fields.height[block])
    fields.solid[block] = np.where(new, np.maximum(fin, fields.solid[block]), fields.solid[block])
    fields.alpha[block] = np.where(new, 0.2, fields.alpha[block])
    fields.grain[block] = np.where(new, 0.15, fields.grain[block])
    thin = np.clip(d / np.maximum(width, F32(0.05)), 0, 1) ** 1.5
    fields.tint(block, new * (F32(0.10) + F32(0.30) * thin), (0.62, 0.62, 0.60))
    shown = new & (d > 0)
    measured = float(width[shown].max(initial=0.0))
    return Mark(measured, block, shown, site.u, site.v, site.parting)


def _nearest_edge(u: Array, v: Array, d: Array, site: Site, sign: float) -> tuple[Array, Array]:
    """The outline point nearest to each pixel, so that a fin has no islands."""
    if site.shape is None:
        return u, v
    tiny = F32(0.02)
    du = (site.shape.distance(u + tiny, v) * F32(sign) - d) / tiny
    dv = (site.shape.distance(u, v + tiny) * F32(sign) - d) / tiny
    norm = np.maximum(np.hypot(du, dv), F32(1e-3))
    return u - d * du / norm, v - d * dv / norm


class _Profile:
    """Irregularity along the edge only, at several scales."""

    def __init__(self, u: Array, v: Array, rng: np.random.Generator) -> None:
        self.u, self.v = u, v
        self.shift = rng.integers(0, SIDE, 2)
        self.calls = 0

    def __call__(self, scale_mm: float) -> Array:
        self.calls += 1
        k = 16.0 / scale_mm
        x = self.u * F32(k) + F32(int(self.shift[0]) * self.calls % SIDE)
        y = self.v * F32(k) + F32(int(self.shift[1]) * self.calls % SIDE)
        return sample(band_tile(8.0, 24.0), x, y)
