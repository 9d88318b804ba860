"""Void or bubble: a glassy hollow in a clear part, a raised blister in an opaque one."""

import numpy as np

from media_demo.pictures.arrays import F32, bell, smoothstep
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side, Site
from media_demo.pictures.marks import Mark

SITES = ("face", "gloss face")


def apply(
    fields: Fields, side: Side, site: Site, severity: float, rng: np.random.Generator
) -> Mark:
    """Trap a bubble ``severity`` mm across."""
    u, v = site.u, site.v
    radius = severity / 2
    block = fields.around(u, v, radius * 2.4 + 0.6)
    du, dv = fields.u[block] - F32(u), fields.v[block] - F32(v)
    r = np.hypot(du, dv * F32(rng.uniform(1.0, 1.15)))
    solid = fields.solid[block] > 0.5
    if float(np.median(fields.alpha[block])) < 0.12:
        _hollow(fields, block, (du, dv, r), radius)
    else:
        _blister(fields, block, r, radius)
    mask = (r < radius * 1.1) & solid
    return Mark(severity, block, mask, u, v, site.height)


def _hollow(
    fields: Fields,
    block: tuple[slice, slice],
    polar: tuple[np.ndarray, np.ndarray, np.ndarray],
    radius: float,
) -> None:
    """A lens of air: dark rim, bright highlight towards the light."""
    du, dv, r = polar
    soft = max(0.06 * radius, 0.5 / fields.view.fine_per_mm)
    inside = smoothstep(radius + soft, radius - soft, r)
    steep = np.clip(r * F32(1 / radius), 0, 0.9)
    lens = steep / np.sqrt(1 - steep * steep) * inside * F32(0.5)
    inverse = 1 / np.maximum(r, F32(1e-3))
    fields.slope_u[block] -= lens * du * inverse
    fields.slope_v[block] -= lens * dv * inverse
    rim = bell(r - F32(radius * 0.88), max(radius * 0.2, soft))
    fields.tint(block, rim * F32(0.75), (0.16, 0.17, 0.17))
    glint = bell(np.hypot(du, dv - F32(radius * 0.42)), max(radius * 0.26, soft))
    fields.tint(block, glint * inside * F32(0.9), (0.97, 0.97, 0.97))


def _blister(fields: Fields, block: tuple[slice, slice], r: np.ndarray, radius: float) -> None:
    """A dome of skin, smoother than the texture around it."""
    dome = np.square(np.clip(1 - np.square(r * F32(1 / (radius * 1.15))), 0, 1))
    fields.height[block] += F32(radius * 0.5) * dome
    fields.grain[block] *= 1 - F32(0.75) * np.minimum(dome * 2, 1)
    fields.alpha[block] += (F32(0.2) - fields.alpha[block]) * np.minimum(dome * 2, 1) * F32(0.7)
