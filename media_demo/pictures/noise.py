"""Periodic noise tiles, cached per process and cropped or sampled at will."""

import math
import zlib
from collections.abc import Callable
from functools import lru_cache
from typing import TypeVar

import numpy as np
import numpy.typing as npt
import scipy.fft
from scipy import ndimage

from media_demo.pictures.arrays import F32, Array

Grade = TypeVar("Grade", np.float16, np.float32)

SIDE = 1024
SMALL_SIDE = 512
# noise finer than this repeats unseen in a small tile
SMALL_COARSE_PX = 6.0


def snapped(pixels: float) -> float:
    """A size in pixels on a ladder of thirds of an octave, so that tiles are shared."""
    return float(round(2 ** (round(3 * math.log2(pixels)) / 3), 3))


def _filtered(key: str, gain: Callable[[Array, Array], Array], side: int = SIDE) -> Array:
    """Return unit-variance noise of one spectrum; the key alone decides the draw."""
    rng = np.random.default_rng(zlib.crc32(key.encode()))
    white = rng.standard_normal((side, side), dtype=np.float32)
    spectrum = scipy.fft.rfft2(white)
    fy = np.fft.fftfreq(side).astype(F32)[:, None]
    fx = np.fft.rfftfreq(side).astype(F32)[None, :]
    spectrum *= gain(fx, fy)
    spectrum[0, 0] = 0
    tile: Array = scipy.fft.irfft2(spectrum, s=(side, side)).astype(F32)
    tile /= F32(tile.std())
    return tile


@lru_cache(maxsize=10)
def band_tile(fine_px: float, coarse_px: float) -> Array:
    """Noise between two Gaussian scales in pixels: soft blobs of one size."""

    def gain(fx: Array, fy: Array) -> Array:
        f2 = F32(-2 * math.pi**2) * (fx * fx + fy * fy)
        band: Array = np.exp(f2 * F32(fine_px**2)) - np.exp(f2 * F32(coarse_px**2))
        return band

    side = SMALL_SIDE if coarse_px <= SMALL_COARSE_PX else SIDE
    return _filtered(f"band {fine_px:.2f} {coarse_px:.2f}", gain, side)


@lru_cache(maxsize=3)
def streak_tile(along_px: float, across_px: float) -> Array:
    """Noise drawn out along the columns: brushed metal, wood, flow streaks."""

    def gain(fx: Array, fy: Array) -> Array:
        f2 = np.square(fx * F32(along_px)) + np.square(fy * F32(across_px))
        low_pass: Array = np.exp(F32(-2 * math.pi**2) * f2)
        return low_pass

    return _filtered(f"streak {along_px:.2f} {across_px:.2f}", gain)


@lru_cache(maxsize=3)
def cloud_tile(slope: float, side: int = SIDE) -> Array:
    """Power-law noise: the larger the slope, the softer the clouds."""

    def gain(fx: Array, fy: Array) -> Array:
        f2 = fx * fx + fy * fy + F32(side**-2.0)
        return np.power(f2, F32(-0.5 * slope))

    return _filtered(f"cloud {slope:.2f}", gain, side)


@lru_cache(maxsize=3)
def relief_tiles(fine_px: float, coarse_px: float) -> tuple[Array, Array, Array]:
    """A band tile with its two slopes, the x slope scaled to unit variance."""
    tile = band_tile(fine_px, coarse_px)
    dx = (np.roll(tile, -1, 1) - np.roll(tile, 1, 1)) * F32(0.5)
    dy = (np.roll(tile, 1, 0) - np.roll(tile, -1, 0)) * F32(0.5)
    scale = F32(1.0 / float(dx.std()))
    return tile, dx * scale, dy * scale


def crop(
    tile: npt.NDArray[Grade], rows: range, cols: range, offset: tuple[int, int] = (0, 0)
) -> npt.NDArray[Grade]:
    """Cut a rectangle of the endless tiling, by absolute row and column."""
    side = tile.shape[0]
    ys = (np.arange(rows.start, rows.stop) + offset[0]) % side
    xs = (np.arange(cols.start, cols.stop) + offset[1]) % side
    piece: npt.NDArray[Grade] = tile.take(ys, axis=0).take(xs, axis=1)
    return piece


def sample(tile: Array, x: Array, y: Array) -> Array:
    """Read the tile at float pixel coordinates (bilinear, periodic)."""
    side = tile.shape[0]
    coordinates = np.stack((np.mod(y, side), np.mod(x, side)))
    found: Array = ndimage.map_coordinates(tile, coordinates, order=1, mode="grid-wrap")
    return found


def wobble(
    u: Array, v: Array, scale_mm: float, amplitude: float, rng: np.random.Generator
) -> Array:
    """Smooth irregularity in part space: the same at every picture scale."""
    tile = band_tile(8.0, 24.0)
    x0, y0 = (float(n) for n in rng.integers(0, SIDE, 2))
    k = F32(16.0 / scale_mm)
    return sample(tile, u * k + F32(x0), v * k + F32(y0)) * F32(amplitude)
