"""Optical properties of the visible plastic: normals, roughness, colour."""

import math
from dataclasses import dataclass

import numpy as np

from media_demo.pictures.arrays import F32, Array, IntArray, Rgb
from media_demo.pictures.fields import Fields
from media_demo.pictures.noise import SIDE, cloud_tile, relief_tiles
from media_demo.pictures.projection import Surface

CHUNK = 16384
SPECULAR = 0.042


@dataclass(frozen=True)
class Texture:
    """Size (mm) and steepness of the moulded grain; ``mottle`` is colour unevenness."""

    fine_mm: float = 0.075
    coarse_mm: float = 0.22
    slope: float = 0.13
    mottle: float = 0.012
    cavity: float = 0.10


@dataclass
class Facets:
    """Flat arrays beside a Surface: normal n, mirror direction r, colour, gloss."""

    nx: Array
    ny: Array
    nz: Array
    rx: Array
    ry: Array
    rz: Array
    alpha: Array
    fresnel: Array
    albedo: list[Array]
    metal: Array | None


def _slopes(fields: Fields) -> tuple[Array, Array]:
    """Slopes of the height field in world axes, with the extra part slopes turned in."""
    view, h = fields.view, fields.height
    gx, gy = np.zeros_like(h), np.zeros_like(h)
    per_x = F32(view.fine_per_mm * 0.5)
    per_y = F32(view.fine_per_mm * math.cos(view.tilt) * 0.5)
    np.subtract(h[:, 2:], h[:, :-2], out=gx[:, 1:-1])
    np.subtract(h[:-2], h[2:], out=gy[1:-1])
    gx *= per_x
    gy *= per_y
    turn = math.radians(view.pose.turn_deg)
    c, s = math.cos(turn), math.sin(turn)
    if fields.slope_u.any() or fields.slope_v.any():
        su = -fields.slope_u if view.pose.mirrored else fields.slope_u
        gx += su * F32(c) - fields.slope_v * F32(s)
        gy += su * F32(s) + fields.slope_v * F32(c)
    return gx, gy


def build(fields: Fields, surface: Surface, resin: Rgb, texture: Texture) -> Facets:
    """Gather what shading needs for every visible pixel of plastic.

    ``resin`` is linear light.
    """
    n = surface.pixel.size
    gx, gy = _slopes(fields)
    view = surface.view
    ppm = view.fine_per_mm
    fine = max(texture.fine_mm * ppm, 0.5)
    tiles = relief_tiles(round(fine, 2), round(max(texture.coarse_mm * ppm, 1.9 * fine), 2))
    cloud = cloud_tile(1.8)
    blank = [np.empty(n, F32) for _ in range(11)]
    nx, ny, nz, rx, ry, rz, alpha, fresnel, *albedo = blank
    metal = None if fields.metal is None else np.empty(n, F32)
    width = fields.window.shape[1]
    row0, col0 = fields.window.row0, fields.window.col0
    eye_y = -view.distance_mm * math.sin(view.tilt) + view.look_at[1]
    eye_z = view.distance_mm * math.cos(view.tilt)
    eye_x = view.look_at[0]
    # a facet that is seen cannot face away: keep its slope short of edge-on
    steepest = -0.85 / math.tan(view.tilt)
    for i in range(0, n, CHUNK):
        s = slice(i, min(n, i + CHUNK))
        here = surface.ground[s]
        t = surface.part[s]

        def lerp(field: Array, here: IntArray = here, t: Array = t) -> Array:
            flat = field.ravel()
            a: Array = flat.take(here)
            b: Array = flat.take(here + width)
            b -= a
            b *= t
            b += a
            return b

        sx, sy = lerp(gx), np.maximum(lerp(gy), F32(steepest))
        nearest = here + (t > 0.5) * width
        row = (nearest // width + (row0 + fields.texture_offset[0])) & (SIDE - 1)
        col = (nearest % width + (col0 + fields.texture_offset[1])) & (SIDE - 1)
        spot = row * SIDE + col
        rough = lerp(fields.grain)
        carved = rough * F32(texture.slope) / (1 + 3 * (sx * sx + sy * sy))
        sx += tiles[1].ravel().take(spot) * carved
        sy += tiles[2].ravel().take(spot) * carved
        inverse = 1 / np.sqrt(1 + sx * sx + sy * sy)
        nx[s], ny[s], nz[s] = -sx * inverse, -sy * inverse, inverse
        vx = F32(eye_x) - surface.X[s]
        vy = F32(eye_y) - surface.Y[s]
        vz = F32(eye_z) - surface.height[s]
        length = 1 / np.sqrt(vx * vx + vy * vy + vz * vz)
        vx *= length
        vy *= length
        vz *= length
        facing = np.maximum(nx[s] * vx + ny[s] * vy + inverse * vz, F32(0.03))
        twice = 2 * facing
        rx[s] = twice * nx[s] - vx
        ry[s] = twice * ny[s] - vy
        rz[s] = twice * inverse - vz
        a = np.clip(lerp(fields.alpha), F32(0.03), F32(0.9))
        alpha[s] = a
        graze = 1 - facing
        graze *= graze
        graze *= graze * (1 - facing)
        fresnel[s] = F32(SPECULAR) + (np.maximum(1 - a, F32(SPECULAR)) - F32(SPECULAR)) * graze
        shade = 1 + F32(texture.cavity) * np.clip(tiles[0].ravel().take(spot), -2.5, 2) * rough
        shade *= 1 + F32(texture.mottle) * cloud.ravel().take(spot)
        for channel, component in zip(albedo, resin, strict=True):
            channel[s] = shade * F32(component)
        if fields.paint is not None:
            keep = lerp(fields.paint.keep)
            for channel, add in zip(albedo, fields.paint.add, strict=True):
                channel[s] = channel[s] * keep + lerp(add)
        if metal is not None and fields.metal is not None:
            metal[s] = lerp(fields.metal)
    return Facets(nx, ny, nz, rx, ry, rz, alpha, fresnel, albedo, metal)
