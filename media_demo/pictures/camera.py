"""From linear light to an 8-bit picture: vignette, exposure, sensor noise, tone curve."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from PIL import Image

from media_demo.pictures.arrays import F32, Array, Rgb
from media_demo.pictures.noise import SIDE
from media_demo.pictures.view import Window

LUT_SIZE = 32768
BRIGHTEST = 4.0


@dataclass(frozen=True)
class Camera:
    """Exposure, white balance and grain of one picture."""

    exposure: float = 1.2
    balance: Rgb = (1.0, 1.0, 1.0)
    sharpness: float = 0.76
    sensor_noise: float = 1.0
    vignette: float = 0.22
    noise_offset: tuple[int, int] = (0, 0)


def tone(x: Array) -> Array:
    """Shoulder, then the sRGB transfer curve; 0-1 out."""
    y = np.minimum(x * (1 + x / F32(3.2)) / (1 + x) * F32(1.18), 1)
    return np.where(
        y <= 0.0031308, 12.92 * y, 1.055 * np.power(np.maximum(y, 1e-6), 1 / 2.4) - 0.055
    )


@lru_cache(maxsize=1)
def _tone_table() -> Array:
    levels = np.arange(LUT_SIZE, dtype=F32) * F32(BRIGHTEST / (LUT_SIZE - 1))
    return (tone(levels) * 255).astype(F32)


@lru_cache(maxsize=1)
def _grain() -> Array:
    """A tile of unit sensor noise, three channels, and a uniform dither channel."""
    rng = np.random.default_rng(20240229)
    tile = np.empty((4, SIDE, SIDE), F32)
    tile[:3] = rng.standard_normal((3, SIDE, SIDE), dtype=np.float32)
    tile[3] = rng.random((SIDE, SIDE), dtype=np.float32)
    return tile


def _soften(x: Array, centre: float) -> Array:
    """Blur by a 3-tap kernel in both directions (lens and sensor)."""
    side = F32((1 - centre) / 2)
    out = x * F32(centre)
    out[:, 1:] += side * x[:, :-1]
    out[:, :-1] += side * x[:, 1:]
    out[:, 0] += side * x[:, 0]
    out[:, -1] += side * x[:, -1]
    done = out * F32(centre)
    done[1:] += side * out[:-1]
    done[:-1] += side * out[1:]
    done[0] += side * out[0]
    done[-1] += side * out[-1]
    return done


def expose(
    light: list[Array], camera: Camera, width: int, height: int, window: Window | None = None
) -> Image.Image:
    """Develop three linear channels into a picture (or, with a window, a part of one)."""
    place = window or Window(0, height, 0, width)
    y = (np.arange(place.row0, place.row1, dtype=F32)[:, None] - height / 2) / F32(height / 2)
    x = (np.arange(place.col0, place.col1, dtype=F32)[None, :] - width / 2) / F32(width / 2)
    r2 = (x * x + y * y * F32(0.56)) * F32(1 / 1.56)
    falloff = (1 - F32(camera.vignette) * r2 - F32(0.08) * r2 * r2) * F32(camera.exposure)
    rows = (np.arange(place.row0, place.row1) + camera.noise_offset[0]) & (SIDE - 1)
    cols = (np.arange(place.col0, place.col1) + camera.noise_offset[1]) & (SIDE - 1)
    grain = _grain()
    dither = grain[3].take(rows, axis=0).take(cols, axis=1)
    table = _tone_table()
    out = np.empty((*falloff.shape, 3), np.uint8)
    for i in range(3):
        c = _soften(light[i], camera.sharpness)
        c *= falloff * F32(camera.balance[i])
        np.maximum(c, 0, out=c)
        noise = grain[i].take(rows, axis=0).take(cols, axis=1)
        noise *= np.sqrt(c * F32(2.2e-4) + F32(2.5e-6))
        c += noise * F32(camera.sensor_noise)
        c *= F32((LUT_SIZE - 1) / BRIGHTEST)
        np.clip(c, 0, LUT_SIZE - 1, out=c)
        level = table.take(c.astype(np.int32))
        level += dither
        np.minimum(level, 255, out=level)
        out[..., i] = level.astype(np.uint8)
    return Image.fromarray(out)
