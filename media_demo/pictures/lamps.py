"""Rectangular lamps and the room: what falls on a facet and what it mirrors."""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple, TypeAlias

import numpy as np

from media_demo.pictures.arrays import F32, Array, Rgb, algebraic_step

Vector: TypeAlias = tuple[float, float, float]


@dataclass(frozen=True)
class Lamp:
    """A soft box aimed at the middle of the bench.

    ``power`` scales what it lights, ``shine`` what is seen of it in a reflection.
    """

    azimuth_deg: float
    elevation_deg: float
    width_mm: float = 420.0
    depth_mm: float = 240.0
    distance_mm: float = 620.0
    power: float = 1.0
    shine: float = 5.0
    colour: Rgb = (1.0, 1.0, 1.0)

    @cached_property
    def centre(self) -> Vector:
        a, e = math.radians(self.azimuth_deg), math.radians(self.elevation_deg)
        d = self.distance_mm
        return (
            d * math.cos(e) * math.cos(a),
            d * math.cos(e) * math.sin(a),
            d * math.sin(e),
        )

    @cached_property
    def facing(self) -> Vector:
        x, y, z = self.centre
        return -x / self.distance_mm, -y / self.distance_mm, -z / self.distance_mm

    @cached_property
    def across(self) -> Vector:
        a = math.radians(self.azimuth_deg)
        return math.sin(a), -math.cos(a), 0.0

    @cached_property
    def upward(self) -> Vector:
        (ax, ay, az), (bx, by, bz) = self.facing, self.across
        return ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx


@dataclass(frozen=True)
class Tube:
    """A strip light on the ceiling, in slopes of the view: x/z and y/z of a direction."""

    across: float
    along: float
    half_across: float
    half_along: float
    brightness: float


@dataclass(frozen=True)
class Room:
    """What surrounds the bench: dim walls, a lighter ceiling, and the bench itself below."""

    wall: float = 0.07
    ceiling: float = 0.26
    fill: float = 0.15
    bench: Rgb = (0.3, 0.3, 0.3)
    tone: Rgb = (0.97, 1.0, 1.04)
    tubes: tuple[Tube, ...] = ()


class Triple(NamedTuple):
    """Points or directions, one array per axis."""

    x: Array
    y: Array
    z: Array


def falling_light(lamp: Lamp, at: Triple, normal: Triple) -> Array:
    """Light of a lamp on facets, wrapped a little past the terminator (area source)."""
    cx, cy, cz = lamp.centre
    fx, fy, fz = lamp.facing
    lx, ly, lz = F32(cx) - at.x, F32(cy) - at.y, F32(cz) - at.z
    inverse = 1 / np.sqrt(lx * lx + ly * ly + lz * lz)
    emitted = (lx * F32(-fx) + ly * F32(-fy) + lz * F32(-fz)) * inverse
    met = (normal.x * lx + normal.y * ly + normal.z * lz) * inverse
    met += F32(0.09)
    np.maximum(met, 0, out=met)
    met *= np.maximum(emitted, 0)
    met *= inverse * inverse * F32(lamp.power * lamp.distance_mm**2 / 1.09)
    return np.asarray(met, F32)


def mirrored_lamp(lamp: Lamp, at: Triple, r: Triple, alpha: Array) -> Array:
    """Radiance of the lamp seen in direction r, blurred by the roughness ``alpha``."""
    cx, cy, cz = lamp.centre
    fx, fy, fz = lamp.facing
    tx, ty, _ = lamp.across
    bx, by, bz = lamp.upward
    away = r.x * F32(-fx) + r.y * F32(-fy) + r.z * F32(-fz)
    ox, oy, oz = at.x - F32(cx), at.y - F32(cy), at.z - F32(cz)
    path = (ox * F32(fx) + oy * F32(fy) + oz * F32(fz)) / np.maximum(away, F32(0.06))
    blur = 1 / (path * (F32(0.012) + alpha * (F32(0.12) + F32(1.15) * alpha)))
    ox += r.x * path
    oy += r.y * path
    oz += r.z * path
    a = (ox * F32(tx) + oy * F32(ty)) * blur
    b = (ox * F32(bx) + oy * F32(by) + oz * F32(bz)) * blur
    seen = _between(a, F32(lamp.width_mm / 2) * blur)
    seen *= _between(b, F32(lamp.depth_mm / 2) * blur)
    seen *= np.clip((away - F32(0.02)) * F32(1 / 0.28), 0, 1)
    seen *= F32(lamp.power * lamp.shine)
    return np.asarray(seen, F32)


def _between(x: Array, half: Array) -> Array:
    """Share of a blurred band from -half to half at x: the difference of two algebraic steps."""
    high, low = x + half, x - half
    for edge in (high, low):
        root = edge * edge
        root += F32(1)
        np.divide(edge, np.sqrt(root, out=root), out=edge)
    high -= low
    high *= F32(0.5)
    return high


def mirrored_room(room: Room, rz: Array, alpha: Array) -> tuple[Array, Array]:
    """Brightness of the room in direction R, and how much of it is bench (0-1)."""
    spread = F32(0.25) + alpha * F32(0.6)
    sky = F32(room.wall) + F32(room.ceiling - room.wall) * algebraic_step((rz - F32(0.25)) / spread)
    bench = algebraic_step((F32(-0.02) - rz) / (spread * F32(0.5)))
    return sky, bench


def mirrored_tubes(room: Room, rx: Array, ry: Array, rz: Array, alpha: Array) -> Array:
    """Brightness of the ceiling's strip lights in direction R."""
    up = np.asarray(1 / np.maximum(rz, F32(0.12)), F32)
    x, y = rx * up, ry * up
    blur = np.asarray(1 / (F32(0.006) + alpha * (F32(0.10) + alpha)), F32)
    seen: Array = np.zeros_like(x)
    for tube in room.tubes:
        a, b = (x - F32(tube.across)) * blur, (y - F32(tube.along)) * blur
        half_a, half_b = F32(tube.half_across) * blur, F32(tube.half_along) * blur
        strip = _between(a, half_a)
        strip *= _between(b, half_b)
        strip *= F32(tube.brightness)
        seen += strip
    seen *= rz > F32(0.12)
    return seen
