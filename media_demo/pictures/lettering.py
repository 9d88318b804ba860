"""Words as masks in part space, never mirrored with the part."""

import math
from functools import lru_cache

import numpy as np
from PIL import Image, ImageDraw, ImageFont
from scipy import ndimage

from media_demo.pictures.arrays import F32, Array
from media_demo.pictures.fields import Block, Fields
from media_demo.pictures.shapes import Bounds

CAP_PX = 48


@lru_cache(maxsize=64)
def word_image(words: str) -> Array:
    """A slightly blurred bitmap of words, capital height 48 px, 0-1."""
    font = ImageFont.load_default(size=CAP_PX / 0.72)
    left, top, right, bottom = font.getbbox(words)
    size = (int(right - left) + 12, int(bottom - top) + 12)
    image = Image.new("L", size)
    # drawn twice, a little apart: moulded letters are cut with a thick tool
    draw = ImageDraw.Draw(image)
    draw.text((6 - left, 6 - top), words, 255, font=font, stroke_width=1)
    mask: Array = ndimage.gaussian_filter(np.asarray(image, F32) / F32(255), 1.2)
    return mask


def letter_mask(
    fields: Fields, words: str, at: tuple[float, float], cap_mm: float, angle: float = 0.0
) -> tuple[Array, Block]:
    """The words centred at a point as seen by the camera, with the block they fill."""
    u, v = at
    bitmap = word_image(words)
    per_mm = CAP_PX / cap_mm
    half = math.hypot(*bitmap.shape) / per_mm / 2
    block = fields.block(Bounds(u - half, v - half, u + half, v + half))
    du, dv = fields.u[block] - F32(u), fields.v[block] - F32(v)
    if fields.view.pose.mirrored:
        du = -du
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    x = (F32(c) * du + F32(s) * dv) * F32(per_mm) + F32(bitmap.shape[1] / 2 - 0.5)
    y = (F32(s) * du - F32(c) * dv) * F32(per_mm) + F32(bitmap.shape[0] / 2 - 0.5)
    if x.size == 0:
        return np.zeros(x.shape, F32), block
    mask: Array = ndimage.map_coordinates(bitmap, np.stack((y, x)), order=1, cval=0.0)
    return mask, block
