"""Soft shadows and ambient occlusion of a height field, on coarse grids."""

import math
from typing import NamedTuple

import numpy as np
from scipy import ndimage

from media_demo.pictures.arrays import F32, Array

# rows worked on at a time, so that they stay in the cache
STRIP = 64
OCCLUSION_STEPS = (1, 2, 3, 5, 8, 12)
REACH_MM = 14.0


def openness(height: Array, px_per_mm: float) -> Array:
    """Share of the sky each cell of a coarse grid sees (horizon of eight directions)."""
    steps = [k for k in OCCLUSION_STEPS if k / px_per_mm < REACH_MM] or [1]
    pad = max(steps) + 1
    around = np.pad(height, pad, mode="edge")
    rows, cols = height.shape
    closed = np.zeros_like(height)
    for i in range(8):
        dx, dy = math.cos(i * math.pi / 4), math.sin(i * math.pi / 4)
        slope = np.zeros_like(height)
        for k in steps:
            ox, oy = round(dx * k), round(dy * k)
            rise = around[pad + oy : pad + oy + rows, pad + ox : pad + ox + cols] - height
            rise *= F32(px_per_mm / math.hypot(ox, oy))
            np.maximum(slope, rise, out=slope)
        closed += slope / np.sqrt(1 + slope * slope)
    found: Array = ndimage.gaussian_filter(1 - closed * F32(1 / 8), 0.7)
    return found


class Span(NamedTuple):
    """Where a lamp stands in the sky, radians: azimuth and half spread, elevations."""

    azimuth: float
    spread: float
    low: float
    high: float


def lamp_visibility(height: Array, px_per_mm: float, lamp: Span) -> Array:
    """Share of a lamp each cell of a coarse grid sees.

    The share falls with the slope of the horizon between the lamp's two edges.
    """
    tallest = float(height.max()) if height.size else 0.0
    far = max(tallest / math.tan(lamp.low) * px_per_mm, 1.0)
    pad = math.ceil(far) + 3
    around = np.pad(height, pad, mode="edge")
    rows, cols = height.shape
    seen = np.zeros_like(height)
    steep = math.tan(lamp.high)
    steps = _steps_to(far)
    for y in range(0, rows, STRIP):
        strip = height[y : y + STRIP]
        rise, slope = np.empty_like(strip), np.empty_like(strip)
        for turn in (-lamp.spread, 0.0, lamp.spread):
            dx, dy = math.cos(lamp.azimuth + turn), -math.sin(lamp.azimuth + turn)
            slope[:] = 0
            for k in steps:
                ox, oy = round(dx * k), round(dy * k)
                top, left = pad + oy + y, pad + ox
                np.subtract(around[top : top + len(strip), left : left + cols], strip, out=rise)
                rise *= F32(px_per_mm / max(math.hypot(ox, oy), 1e-3))
                np.maximum(slope, rise, out=slope)
            slope -= F32(steep)
            slope *= F32(1 / (math.tan(lamp.low) - steep))
            np.clip(slope, 0, 1, out=slope)
            seen[y : y + STRIP] += slope
    found: Array = ndimage.gaussian_filter(seen * F32(1 / 3), 1.0)
    return found


def _steps_to(far: float) -> list[float]:
    """Distances at which a horizon is looked for, near ones closer together."""
    steps, k = [], 1.0
    while k <= far:
        steps.append(k)
        k = max(k + 1, k * 1.22)
    return steps
