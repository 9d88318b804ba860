"""Plane shapes as signed distances in millimetres, negative inside."""

import math
from dataclasses import dataclass
from typing import NamedTuple, Protocol

import numpy as np

from media_demo.pictures.arrays import F32, Array


class Bounds(NamedTuple):
    """A box in part space, millimetres."""

    u0: float
    v0: float
    u1: float
    v1: float

    def grown(self, by: float) -> "Bounds":
        return Bounds(self.u0 - by, self.v0 - by, self.u1 + by, self.v1 + by)

    def joined(self, other: "Bounds") -> "Bounds":
        return Bounds(
            min(self.u0, other.u0),
            min(self.v0, other.v0),
            max(self.u1, other.u1),
            max(self.v1, other.v1),
        )


class Shape(Protocol):
    """Anything with a signed distance and a bounding box."""

    def distance(self, u: Array, v: Array) -> Array: ...

    @property
    def bounds(self) -> Bounds: ...


@dataclass(frozen=True)
class Box:
    """A rectangle with rounded corners, turned by ``angle`` degrees."""

    cu: float
    cv: float
    half_u: float
    half_v: float
    radius: float = 0.5
    angle: float = 0.0

    def distance(self, u: Array, v: Array) -> Array:
        x, y = u - F32(self.cu), v - F32(self.cv)
        if self.angle:
            c, s = math.cos(math.radians(self.angle)), math.sin(math.radians(self.angle))
            x, y = F32(c) * x + F32(s) * y, F32(-s) * x + F32(c) * y
        np.abs(x, out=x)
        np.abs(y, out=y)
        x -= F32(self.half_u - self.radius)
        y -= F32(self.half_v - self.radius)
        inside = np.minimum(np.maximum(x, y), F32(0))
        np.maximum(x, F32(0), out=x)
        np.maximum(y, F32(0), out=y)
        x *= x
        y *= y
        x += y
        np.sqrt(x, out=x)
        x += inside
        x -= F32(self.radius)
        return x

    @property
    def bounds(self) -> Bounds:
        c = abs(math.cos(math.radians(self.angle)))
        s = abs(math.sin(math.radians(self.angle)))
        a, b = self.half_u * c + self.half_v * s, self.half_u * s + self.half_v * c
        return Bounds(self.cu - a, self.cv - b, self.cu + a, self.cv + b)


@dataclass(frozen=True)
class Disc:
    """A circle."""

    cu: float
    cv: float
    radius: float

    def distance(self, u: Array, v: Array) -> Array:
        return length(u - F32(self.cu), v - F32(self.cv)) - F32(self.radius)

    @property
    def bounds(self) -> Bounds:
        r = self.radius
        return Bounds(self.cu - r, self.cv - r, self.cu + r, self.cv + r)


@dataclass(frozen=True)
class Bar:
    """A straight bar with round ends."""

    au: float
    av: float
    bu: float
    bv: float
    half_width: float

    def distance(self, u: Array, v: Array) -> Array:
        return segment_distance(u, v, (self.au, self.av), (self.bu, self.bv)) - F32(self.half_width)

    @property
    def bounds(self) -> Bounds:
        box = Bounds(
            min(self.au, self.bu),
            min(self.av, self.bv),
            max(self.au, self.bu),
            max(self.av, self.bv),
        )
        return box.grown(self.half_width)


@dataclass(frozen=True)
class Polygon:
    """A closed polygon of corner points; exact distance."""

    points: tuple[tuple[float, float], ...]
    radius: float = 0.0

    def distance(self, u: Array, v: Array) -> Array:
        nearest = np.full(u.shape, 1e9, F32)
        inside = np.zeros(u.shape, np.bool_)
        previous = self.points[-1]
        for point in self.points:
            (au, av), (bu, bv) = previous, point
            np.minimum(nearest, segment_distance(u, v, previous, point), out=nearest)
            if av != bv:
                crossing = (v < F32(av)) != (v < F32(bv))
                at = F32(au) + (v - F32(av)) * F32((bu - au) / (bv - av))
                inside ^= crossing & (u < at)
            previous = point
        return np.where(inside, -nearest, nearest) - F32(self.radius)

    @property
    def bounds(self) -> Bounds:
        us = [p[0] for p in self.points]
        vs = [p[1] for p in self.points]
        return Bounds(min(us), min(vs), max(us), max(vs)).grown(self.radius)


@dataclass(frozen=True)
class Joined:
    """The union of two shapes with a fillet of about ``blend`` mm between them."""

    a: Shape
    b: Shape
    blend: float = 0.0

    def distance(self, u: Array, v: Array) -> Array:
        return smooth_min(self.a.distance(u, v), self.b.distance(u, v), self.blend)

    @property
    def bounds(self) -> Bounds:
        return self.a.bounds.joined(self.b.bounds)


@dataclass(frozen=True)
class Without:
    """The first shape with the second cut out of it."""

    a: Shape
    b: Shape
    blend: float = 0.0

    def distance(self, u: Array, v: Array) -> Array:
        return -smooth_min(-self.a.distance(u, v), self.b.distance(u, v), self.blend)

    @property
    def bounds(self) -> Bounds:
        return self.a.bounds


@dataclass(frozen=True)
class Shared:
    """The overlap of two shapes."""

    a: Shape
    b: Shape
    blend: float = 0.0

    def distance(self, u: Array, v: Array) -> Array:
        return -smooth_min(-self.a.distance(u, v), -self.b.distance(u, v), self.blend)

    @property
    def bounds(self) -> Bounds:
        a, b = self.a.bounds, self.b.bounds
        return Bounds(max(a.u0, b.u0), max(a.v0, b.v0), min(a.u1, b.u1), min(a.v1, b.v1))


@dataclass(frozen=True)
class Grown:
    """A shape grown (or, with a negative amount, shrunk) all round."""

    shape: Shape
    by: float

    def distance(self, u: Array, v: Array) -> Array:
        return self.shape.distance(u, v) - F32(self.by)

    @property
    def bounds(self) -> Bounds:
        return self.shape.bounds.grown(self.by)


@dataclass(frozen=True)
class Rim:
    """A band of ``half_width`` on both sides of a shape's outline."""

    shape: Shape
    half_width: float

    def distance(self, u: Array, v: Array) -> Array:
        return np.abs(self.shape.distance(u, v)) - F32(self.half_width)

    @property
    def bounds(self) -> Bounds:
        return self.shape.bounds.grown(self.half_width)


def length(x: Array, y: Array) -> Array:
    """Length of plane vectors: three times as fast as hypot, which guards against overflow."""
    squared = x * x
    squared += y * y
    return np.asarray(np.sqrt(squared, out=squared), F32)


def segment_distance(u: Array, v: Array, a: tuple[float, float], b: tuple[float, float]) -> Array:
    """Distance to the straight line between two points."""
    du, dv = b[0] - a[0], b[1] - a[1]
    squared = du * du + dv * dv or 1e-9
    x, y = u - F32(a[0]), v - F32(a[1])
    t = np.clip((x * F32(du) + y * F32(dv)) * F32(1 / squared), 0, 1)
    return length(x - t * F32(du), y - t * F32(dv))


def smooth_min(a: Array, b: Array, blend: float) -> Array:
    """The smaller of two distances, rounded where they meet."""
    if blend <= 0:
        return np.minimum(a, b)
    h: Array = np.clip(F32(0.5) + (b - a) * F32(0.5 / blend), 0, 1)
    return np.asarray(b + (a - b) * h - F32(blend) * h * (1 - h), F32)
