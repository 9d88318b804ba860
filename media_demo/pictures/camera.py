"""From linear light to an 8-bit picture: vignette, exposure, sensor noise, tone curve."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from PIL import Image

from media_demo.pictures.arrays import F32, Array, Rgb
from media_demo.pictures.view import Window

LUT_SIZE = 65536
BRIGHTEST = 4.0
STRIP = 60
GRAIN_SHAPE = (1400, 1600)


@dataclass(frozen=True)
class Camera:
    """Exposure, white balance and grain of one picture."""

    exposure: float = 1.2
    balance: Rgb = (1.0, 1.0, 1.0)
    sharpness: float = 0.76
    sensor_noise: float = 1.0
    vignette: float = 0.22
    noise_seed: int = 0


def tone(x: Array) -> Array:
    """Shoulder, then the sRGB transfer curve; 0-1 out."""
    y = np.minimum(x * (1 + x / F32(3.2)) / (1 + x) * F32(1.18), 1)
    return np.where(
        y <= 0.0031308, 12.92 * y, 1.055 * np.power(np.maximum(y, 1e-6), 1 / 2.4) - 0.055
    )


@lru_cache(maxsize=1)
def _tone_table() -> npt.NDArray[np.uint8]:
    levels = np.arange(LUT_SIZE, dtype=F32) * F32(BRIGHTEST / (LUT_SIZE - 1))
    return (tone(levels) * 255 + F32(0.5)).astype(np.uint8)


@lru_cache(maxsize=1)
def _grain() -> Array:
    """A tile of unit sensor noise, larger than any picture."""
    return np.random.default_rng(20240229).standard_normal(GRAIN_SHAPE, dtype=np.float32)


def _soften(x: Array, centre: float) -> Array:
    """Blur by a 3-tap kernel in both directions (lens and sensor).

    The first and last row are there for the blur only and are dropped.
    """
    side = F32((1 - centre) / 2)
    out = x * F32(centre)
    out[:, 1:] += side * x[:, :-1]
    out[:, :-1] += side * x[:, 1:]
    out[:, 0] += side * x[:, 0]
    out[:, -1] += side * x[:, -1]
    done = out[1:-1] * F32(centre)
    done += side * out[:-2]
    done += side * out[2:]
    return done


def _with_neighbours(channel: Array, first: int, last: int) -> Array:
    """Some rows with the one above and the one below; at the edge of the picture the same again."""
    if first > 0 and last < len(channel):
        return channel[first - 1 : last + 1]
    near = channel[max(first - 1, 0) : last + 1]
    return np.pad(near, ((first == 0, last == len(channel)), (0, 0)), mode="edge")


def _falloff(camera: Camera, width: int, height: int, place: Window) -> Array:
    y = (np.arange(place.row0, place.row1, dtype=F32)[:, None] - height / 2) / F32(height / 2)
    x = (np.arange(place.col0, place.col1, dtype=F32)[None, :] - width / 2) / F32(width / 2)
    r2 = (x * x + y * y * F32(0.56)) * F32(1 / 1.56)
    light: Array = (1 - F32(camera.vignette) * r2 - F32(0.08) * r2 * r2) * F32(camera.exposure)
    return light


def expose(
    light: list[Array], camera: Camera, width: int, height: int, window: Window | None = None
) -> Image.Image:
    """Develop three linear channels into a picture (or, with a window, a part of one)."""
    place = window or Window(0, height, 0, width)
    falloff = _falloff(camera, width, height, place)
    rng = np.random.default_rng(camera.noise_seed)
    table, grain = _tone_table(), _grain()
    rows, cols = place.shape
    out = np.empty((rows, cols, 3), np.uint8)
    scale = F32((LUT_SIZE - 1) / BRIGHTEST)
    for i in range(3):
        channel = light[i]
        y0 = int(rng.integers(GRAIN_SHAPE[0] - height)) + place.row0
        x0 = int(rng.integers(GRAIN_SHAPE[1] - width)) + place.col0
        for y in range(0, rows, STRIP):
            n = min(STRIP, rows - y)
            c = _soften(_with_neighbours(channel, y, y + n), camera.sharpness)
            c *= falloff[y : y + n]
            c *= F32(camera.balance[i])
            np.maximum(c, 0, out=c)
            noise = np.sqrt(c * F32(2.2e-4) + F32(2.5e-6))
            noise *= grain[y0 + y : y0 + y + n, x0 : x0 + cols]
            noise *= F32(camera.sensor_noise)
            c += noise
            c *= scale
            np.clip(c, 0, LUT_SIZE - 1, out=c)
            out[y : y + n, :, i] = table.take(c.astype(np.intp))
    return Image.fromarray(out)
