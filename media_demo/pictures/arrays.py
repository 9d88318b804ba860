"""The array type and the few scalar curves every picture module shares."""

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Array: TypeAlias = npt.NDArray[np.float32]
IntArray: TypeAlias = npt.NDArray[np.intp]
BoolArray: TypeAlias = npt.NDArray[np.bool_]
Rgb: TypeAlias = tuple[float, float, float]

F32 = np.float32


def smoothstep(start: float, end: float, x: Array) -> Array:
    """Rise from 0 at ``start`` to 1 at ``end`` (``start > end`` gives a fall)."""
    t = np.clip((x - F32(start)) * F32(1.0 / (end - start)), 0, 1)
    rise: Array = t * t * (3 - 2 * t)
    return rise


def algebraic_step(t: Array) -> Array:
    """A step with the long tails of a microfacet lobe: .5 + .5 t / sqrt(1 + t²)."""
    q = t * t
    q += F32(1.0)
    np.sqrt(q, out=q)
    np.divide(t, q, out=q)
    q *= F32(0.5)
    q += F32(0.5)
    return q


def bell(x: Array, width: float) -> Array:
    """exp(-(x / width)²)."""
    shape: Array = np.exp(-np.square(x * F32(1.0 / width)))
    return shape


def linear(rgb: Rgb) -> Rgb:
    """Turn sRGB components (0-1) into linear light (IEC 61966-2-1)."""

    def channel(c: float) -> float:
        return c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4

    return channel(rgb[0]), channel(rgb[1]), channel(rgb[2])


def to_srgb(light: Rgb) -> Rgb:
    """Turn linear light into sRGB components (0-1)."""

    def channel(c: float) -> float:
        return 12.92 * c if c <= 0.0031308 else 1.055 * c ** (1 / 2.4) - 0.055

    return channel(light[0]), channel(light[1]), channel(light[2])
