"""Flash: a thin ragged fin squeezed out along the parting line or into an opening."""

import numpy as np

from media_demo.pictures.arrays import F32, Array, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark
from media_demo.pictures.noise import SIDE, band_tile, sample
from media_demo.pictures.shapes import Bounds, Shape

SITES = ("edge", "hole edge")


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Grow a fin whose highest point stands ``severity`` mm out of the parting line."""
    if site.shape is None:
        raise ValueError(f"site {site.name!r} has no outline to follow")
    half = site.length / 2 * rng.uniform(0.8, 1.0)
    reach = half + severity + 3
    block = fields.touch(Bounds(site.u - reach, site.v - reach, site.u + reach, site.v + reach))
    u, v = fields.u[block], fields.v[block]
    sign = F32(-1.0 if site.kind == "hole edge" else 1.0)
    d = site.shape.distance(u, v) * sign
    edge_u, edge_v = _nearest_edge(u, v, d, site.shape, sign)
    along = np.hypot(edge_u - F32(site.u), edge_v - F32(site.v))
    # the fin starts where the wall passes the height of the parting line
    on_wall = (fields.height[block] > site.parting) & (np.abs(d) < 3) & (along < half)
    d = d - F32(float(d[on_wall].max(initial=0.0)))
    profile = _Profile(edge_u, edge_v, rng)
    ragged = 0.72 + 0.22 * profile(5) + 0.12 * profile(1.3) + 0.07 * profile(0.5)
    width = np.clip(ragged, 0, None) * smoothstep(1.0, 0.6, along * F32(1 / half))
    width *= F32(severity / max(float(width[np.abs(d) < 0.6].max(initial=0.0)), 1e-3))
    out = np.clip(d * F32(1 / max(severity, 0.05)), 0, 1)
    film = F32(site.parting) + F32(0.25 * min(severity, 1.5)) * profile(9) * out * out
    film += F32(0.04) * profile(2) * out
    fin = fields.cover(np.maximum(d - width, -d - F32(0.05)))
    fin *= width > 0.015
    # thinner towards its edge, so paler
    thin = np.clip(d / np.maximum(width, F32(0.05)), 0, 1) ** F32(1.5)
    fields.hang(block, film, fin, F32(0.10) + F32(0.30) * thin)
    shown = (fin > 0.3) & (d > 0)
    measured = float(width[shown].max(initial=0.0))
    return Mark(measured, block, shown, site.u, site.v, site.parting)


def _nearest_edge(
    u: Array, v: Array, d: Array, shape: Shape, sign: np.float32
) -> tuple[Array, Array]:
    """The outline point nearest to each pixel, so that a fin has no islands."""
    tiny = F32(0.02)
    du = (shape.distance(u + tiny, v) * sign - d) / tiny
    dv = (shape.distance(u, v + tiny) * sign - d) / tiny
    norm = np.maximum(np.hypot(du, dv), F32(1e-3))
    return u - d * du / norm, v - d * dv / norm


class _Profile:
    """Irregularity along the edge only, at several scales."""

    def __init__(self, u: Array, v: Array, rng: np.random.Generator) -> None:
        self.u, self.v = u, v
        self.shift = [int(n) for n in rng.integers(0, SIDE, 2)]
        self.calls = 0

    def __call__(self, scale_mm: float) -> Array:
        self.calls += 1
        k = F32(16.0 / scale_mm)
        x = self.u * k + F32(self.shift[0] * self.calls % SIDE)
        y = self.v * k + F32(self.shift[1] * self.calls % SIDE)
        return sample(band_tile(8.0, 24.0), x, y)
