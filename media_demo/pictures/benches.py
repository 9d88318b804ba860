"""Inspection benches: colour, wear and gloss of the surface a part lies on."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from PIL import Image

from media_demo.pictures.arrays import F32, Array, Rgb, linear, smoothstep
from media_demo.pictures.noise import SIDE, band_tile, cloud_tile, crop, streak_tile
from media_demo.pictures.view import View

# resolutions at which patterns are woven once, px/mm: for whole parts and for close-ups
LEVELS = (5.0, 16.0)
KINDS = ("laminate", "mat", "steel", "beech", "green", "white_board")


@dataclass(frozen=True)
class Bench:
    """A bench surface in one picture: linear albedo per channel, and roughness."""

    albedo: list[Array]
    alpha: float
    mean: Rgb


@dataclass(frozen=True)
class _Weave:
    """Noise in millimetres, as whole periodic tiles at one resolution."""

    px_per_mm: float

    def _px(self, mm: float) -> float:
        return round(max(mm * self.px_per_mm, 0.45), 2)

    def band(self, fine: float, coarse: float) -> Array:
        low = self._px(fine)
        tile = band_tile(low, max(self._px(coarse), round(low * 1.6, 2)))
        repeats = SIDE // tile.shape[0]
        return np.tile(tile, (repeats, repeats))

    def streak(self, along: float, across: float) -> Array:
        return streak_tile(self._px(along), self._px(across))

    def cloud(self, slope: float) -> Array:
        return cloud_tile(slope)


def _laminate(w: _Weave) -> tuple[Array, Rgb, float, Rgb]:
    fleck = np.minimum(w.band(0.25, 0.6) + F32(1.9), 0)
    m = 1 + 0.03 * w.band(0.07, 0.25) + 0.035 * w.cloud(1.5) + 0.07 * fleck
    return m, (0.70, 0.715, 0.72), 0.42, (1, 1, 1)


def _mat(w: _Weave) -> tuple[Array, Rgb, float, Rgb]:
    m = 1 + 0.16 * w.band(0.12, 0.35) + 0.10 * w.cloud(1.4)
    m += 0.4 * np.maximum(w.band(0.1, 0.3) - F32(2.6), 0)
    return m, (0.20, 0.225, 0.24), 0.62, (1, 1, 1)


def _steel(w: _Weave) -> tuple[Array, Rgb, float, Rgb]:
    m = 1 + 0.05 * w.streak(6, 0.05) + 0.03 * w.streak(25, 0.3) + 0.05 * w.cloud(1.8)
    m -= 0.2 * np.maximum(w.streak(2.5, 0.06) - F32(3.0), 0)
    return m, (0.58, 0.59, 0.60), 0.28, (1, 1, 1)


def _beech(w: _Weave) -> tuple[Array, Rgb, float, Rgb]:
    m = 1 + 0.05 * w.streak(3, 0.05) + 0.06 * w.streak(9, 0.16)
    m += 0.06 * w.streak(22, 0.7) + 0.06 * w.streak(50, 4)
    m -= 0.16 * np.maximum(w.streak(2.2, 0.07) - F32(2.2), 0)
    return m, (0.69, 0.585, 0.46), 0.45, (0.8, 1.0, 1.25)


def _green(w: _Weave) -> tuple[Array, Rgb, float, Rgb]:
    m = 1 + 0.07 * w.band(0.1, 0.4) + 0.08 * w.cloud(1.5)
    m += 0.2 * np.maximum(w.streak(5, 0.05) - F32(3.2), 0)
    return m, (0.25, 0.36, 0.33), 0.5, (1, 1, 1)


def _white_board(w: _Weave) -> tuple[Array, Rgb, float, Rgb]:
    m = 1 + 0.015 * w.band(0.2, 0.8) + 0.03 * w.cloud(1.7)
    return m, (0.84, 0.845, 0.83), 0.30, (1, 1, 1)


_WEAVES = {
    "laminate": _laminate,
    "mat": _mat,
    "steel": _steel,
    "beech": _beech,
    "green": _green,
    "white_board": _white_board,
}


@lru_cache(maxsize=len(KINDS) * len(LEVELS))
def _woven(kind: str, px_per_mm: float) -> tuple[npt.NDArray[np.float16], Rgb, float, Rgb]:
    """A bench's pattern as a periodic tile; half precision is plenty for a tint."""
    modulation, colour, alpha, depth = _WEAVES[kind](_Weave(px_per_mm))
    return modulation.astype(np.float16), colour, alpha, depth


def _pattern(
    tile: npt.NDArray[np.float16], scale: float, view: View, rng: np.random.Generator
) -> Array:
    """A random piece of a tile, drawn out by ``scale`` to the size of the picture."""
    rows, cols = math.ceil(view.height / scale) + 2, math.ceil(view.width / scale) + 2
    y0, x0 = (int(n) for n in rng.integers(0, SIDE, 2))
    piece = crop(tile[:: int(rng.choice((-1, 1)))], range(rows), range(cols), (y0, x0))
    image = Image.fromarray(piece.astype(F32))
    size = (round(cols * scale), round(rows * scale))
    drawn = np.asarray(image.resize(size, Image.Resampling.BICUBIC), F32)
    return drawn[: view.height, : view.width].copy()


def lay(kind: str, view: View, rng: np.random.Generator) -> Bench:
    """Lay one bench under the picture, with the wear of use."""
    level = min(LEVELS, key=lambda px_per_mm: abs(math.log(px_per_mm / view.px_per_mm)))
    tile, colour, alpha, depth = _woven(kind, level)
    modulation = _pattern(tile, view.px_per_mm / level, view, rng)
    _wear(modulation, view, rng, bright=kind in ("mat", "green", "steel"))
    base = linear(colour)
    albedo = []
    for i in range(3):
        channel = modulation * F32(base[i] * depth[i])
        channel += F32(base[i] * (1 - depth[i]))
        albedo.append(np.maximum(channel, F32(0.003), out=channel))
    _litter(albedo, view, rng)
    return Bench(albedo, alpha, base)


def _wear(m: Array, view: View, rng: np.random.Generator, *, bright: bool) -> None:
    """Scratches, a rubbed patch, a stain: benches are used."""
    ppm = view.px_per_mm
    X = (np.arange(view.width, dtype=F32) - view.width / 2) / F32(ppm)
    Y = (np.arange(view.height, dtype=F32) - view.height / 2) / F32(ppm)
    reach = view.width / ppm
    sign = 1.0 if bright else -1.0
    for _ in range(int(rng.integers(4, 14))):
        cx, cy = rng.uniform(-0.6, 0.6, 2) * reach
        angle, length = rng.uniform(0, math.pi), rng.uniform(6, 60)
        bow = rng.normal(0, 0.004)
        depth = sign * rng.uniform(0.02, 0.11)
        _scratch(m, X, Y, ppm, (cx, cy, angle, length, bow, depth))
    for _ in range(int(rng.integers(1, 4))):
        cx, cy = rng.uniform(-0.55, 0.55, 2) * reach
        ru, rv = rng.uniform(12, 45, 2)
        across = np.exp(np.square((X - F32(cx)) / F32(ru)) * F32(-1.5))
        down = np.exp(np.square((Y - F32(cy)) / F32(rv)) * F32(-1.5))
        m += np.multiply.outer(F32(rng.uniform(-0.045, 0.03)) * down, across)


def _scratch(
    m: Array,
    X: Array,
    Y: Array,
    ppm: float,
    line: tuple[float, float, float, float, float, float],
) -> None:
    cx, cy, angle, length, bow, depth = line
    c, s = abs(math.cos(angle)) * length / 2 + 2, abs(math.sin(angle)) * length / 2 + 2
    cols = slice(*np.searchsorted(X, [cx - c, cx + c]))
    rows = slice(*np.searchsorted(Y, [cy - s, cy + s]))
    x, y = X[cols][None, :] - F32(cx), Y[rows][:, None] - F32(cy)
    along = x * F32(math.cos(angle)) + y * F32(math.sin(angle))
    across = y * F32(math.cos(angle)) - x * F32(math.sin(angle)) - F32(bow) * along * along
    width = max(0.06, 0.5 / ppm)
    g = np.exp(-np.square(across / F32(width)))
    g *= smoothstep(length / 2, length / 2 * 0.6, np.abs(along))
    m[rows, cols] += F32(depth * min(1.0, 0.12 * ppm)) * g


def _litter(albedo: list[Array], view: View, rng: np.random.Generator) -> None:
    """Dust grains and a few fibres."""
    ppm = view.px_per_mm
    area = view.width * view.height / ppm**2
    for _ in range(int(rng.poisson(min(area / 900, 60)))):
        x, y = int(rng.integers(3, view.width - 4)), int(rng.integers(3, view.height - 4))
        r = max(0.5, rng.uniform(0.05, 0.22) * ppm)
        n = math.ceil(r) + 1
        yy, xx = np.mgrid[-n : n + 1, -n : n + 1]
        g = np.clip(r + 0.5 - np.hypot(xx, yy), 0, 1).astype(F32)
        y0, x0 = max(y - n, 0), max(x - n, 0)
        tone = F32(rng.choice([0.05, 0.35, 0.6], p=[0.3, 0.4, 0.3]))
        strength = F32(rng.uniform(0.25, 0.7))
        for channel in albedo:
            patch = channel[y0 : y + n + 1, x0 : x + n + 1]
            rows, cols = patch.shape
            share = g[y0 - y + n : y0 - y + n + rows, x0 - x + n : x0 - x + n + cols]
            patch += (tone - patch) * share * strength
