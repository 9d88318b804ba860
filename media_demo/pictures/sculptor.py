"""Tools that carve a part's features into fields, each only where it lies."""

import math

import numpy as np

from media_demo.pictures.arrays import F32, Array, Rgb, smoothstep
from media_demo.pictures.fields import Block, Fields
from media_demo.pictures.lettering import letter_mask
from media_demo.pictures.noise import band_tile, crop, snapped
from media_demo.pictures.shapes import Bar, Bounds, Box, Disc, Rim, Shape, Shared


def slab(distance: Array, top: float, fillet: float, draft: float) -> Array:
    """Height of an extruded shape: flat top, rounded rim, wall sloping out ``draft`` mm."""
    t = np.clip(1 + distance * F32(1 / fillet), 0, 1)
    inside = F32(top) - F32(fillet) * (1 - np.sqrt(np.maximum(1 - t * t, 0)))
    wall = np.clip(1 - distance * F32(1 / draft), 0, 1) * F32(top - fillet)
    height: Array = np.where(distance < 0, inside, wall)
    return height


def parted_wall(distance: Array, top: float, parting: float, step: float, draft: float) -> Array:
    """Height of a wall with a witness of the parting line at height ``parting``."""
    upper = draft * (top - parting) / top
    heights = [top, parting, parting, 0.0]
    stations = [0.0, upper, upper + step, draft + step]
    wall: Array = np.interp(distance, stations, heights).astype(F32)
    return wall


class Sculptor:
    """Adds features to fields. Lengths in mm, part coordinates."""

    def __init__(self, fields: Fields, rng: np.random.Generator, ink: Rgb) -> None:
        self.fields = fields
        self.rng = rng
        self.ink = ink

    def solid(
        self,
        shape: Shape,
        top: float,
        *,
        fillet: float = 0.4,
        draft: float = 0.7,
        crown: float = 0.0,
        parting: float = 0.0,
    ) -> None:
        """Raise plastic over a shape; ``crown`` mm of dome; ``parting`` = height of the line."""
        f = self.fields
        step = 0.14 if parting else 0.0
        for b in f.strips(f.block(shape.bounds, draft + step + 1)):
            d = f.distance(shape, b)
            h = slab(d, top, fillet, draft)
            if parting:
                wall = parted_wall(d, top - fillet, parting, step, draft)
                h = np.where(d >= 0, wall, h)
            if crown:
                h += np.where(d < 0, self._dome(shape.bounds, b, crown) * smoothstep(0, -2, d), 0)
            np.maximum(f.height[b], h, out=f.height[b])
            np.maximum(f.solid[b], f.cover(d - F32(draft + step)), out=f.solid[b])

    def _dome(self, box: Bounds, b: Block, crown: float) -> Array:
        f = self.fields
        x = (f.u[b] - F32((box.u0 + box.u1) / 2)) * F32(2 / (box.u1 - box.u0))
        y = (f.v[b] - F32((box.v0 + box.v1) / 2)) * F32(2 / (box.v1 - box.v0))
        return F32(crown) * np.clip(1 - F32(0.5) * (x * x + y * y), 0, 1)

    def hole(self, shape: Shape, *, lead_in: float = 0.9, wall: float = 0.8) -> None:
        """Cut through with a rounded edge and a wall that slopes in ``wall`` mm."""
        f = self.fields
        for b in f.strips(f.block(shape.bounds, lead_in + 0.5)):
            d = f.distance(shape, b)
            t = 1 - np.clip(d * F32(1 / lead_in), 0, 1)
            f.height[b] -= F32(lead_in) * (1 - np.sqrt(np.maximum(1 - t * t, 0)))
            f.height[b] *= np.clip(1 + np.minimum(d, 0) * F32(1 / wall), 0, 1)
            np.maximum(f.height[b], 0, out=f.height[b])
            f.solid[b] *= 1 - f.cover(d + F32(wall))
            f.grain[b] *= F32(0.25) + F32(0.75) * smoothstep(0, 0.5, d)

    def hollow(
        self, shape: Shape, floor: float, *, draft: float = 0.6, fillet: float = 0.5
    ) -> None:
        """Sink everything inside a shape to a floor, with sloping walls."""
        f = self.fields
        for b in f.strips(f.block(shape.bounds, 0.5)):
            d = f.distance(shape, b)
            depth = np.clip(-d * F32(1 / draft), 0, 1)
            h = f.height[b] + (F32(floor) - f.height[b]) * depth
            if fillet:
                foot = np.maximum(-d - F32(draft), 0)
                h += np.where(depth >= 1, F32(fillet * 0.6) * np.exp(foot * F32(-2 / fillet)), 0)
            f.height[b] = np.where(d < 0, np.minimum(f.height[b], h), f.height[b])

    def recess(self, shape: Shape, depth: float, *, wall: float = 1.0) -> None:
        """Sink (or with a negative depth raise) a face inside a shape."""
        f = self.fields
        for b in f.strips(f.block(shape.bounds, wall)):
            d = f.distance(shape, b)
            sunk = f.height[b] - F32(depth) * smoothstep(wall / 2, -wall / 2, d)
            f.height[b] = np.where(f.height[b] > 0, np.maximum(sunk, 0), 0)

    def rib(
        self,
        start: tuple[float, float],
        end: tuple[float, float],
        top: float,
        *,
        width: float = 1.2,
        within: Shape | None = None,
    ) -> None:
        """Raise a straight rib, cut off at the outline ``within``."""
        rib: Shape = Bar(*start, *end, width / 2)
        if within is not None:
            rib = Shared(rib, within)
        self.solid(rib, top, fillet=0.3, draft=0.45)

    def ring(self, shape: Shape, top: float, *, width: float = 1.4, fillet: float = 0.4) -> None:
        """Raise a wall along a shape's outline."""
        self.solid(Rim(shape, width / 2), top, fillet=fillet, draft=0.45)

    def boss(
        self, u: float, v: float, radius: float, top: float, *, core: float = 0.0, floor: float = 1
    ) -> None:
        """Raise a round boss, with a core hole of radius ``core``."""
        self.solid(Disc(u, v, radius), top, fillet=0.4, draft=0.5)
        if core:
            self.well(Disc(u, v, core), floor)

    def well(self, shape: Shape, floor: float, *, wall: float = 0.35) -> None:
        """Sink a blind hole to an absolute height."""
        f = self.fields
        for b in f.strips(f.block(shape.bounds, wall)):
            d = f.distance(shape, b)
            depth = np.clip(0.5 - d * F32(1 / wall), 0, 1)
            f.height[b] += np.minimum(F32(floor) - f.height[b], 0) * depth

    def gusset(
        self, start: tuple[float, float], end: tuple[float, float], tall: float, low: float
    ) -> None:
        """Raise a sloping web from height ``tall`` at its start to ``low`` at its end."""
        f = self.fields
        (u0, v0), (u1, v1) = start, end
        shape = Bar(u0, v0, u1, v1, 0.5)
        length = math.hypot(u1 - u0, v1 - v0)
        for b in f.strips(f.block(shape.bounds, 1.5)):
            d = f.distance(shape, b)
            along = (f.u[b] - F32(u0)) * F32((u1 - u0) / length)
            along += (f.v[b] - F32(v0)) * F32((v1 - v0) / length)
            top = F32(tall) + F32((low - tall) / length) * np.clip(along, 0, length)
            h = top * np.clip(1 - d * F32(1 / 0.45), 0, 1)
            np.maximum(f.height[b], h, out=f.height[b])

    def pin_witness(self, u: float, v: float, radius: float, height: float = -0.06) -> None:
        """The witness of an ejector pin: a disc a little sunk (or proud)."""
        f = self.fields
        shape = Disc(u, v, radius)
        b = f.block(shape.bounds, 0.6)
        d = f.distance(shape, b)
        inside = smoothstep(0.1, -0.1, d)
        f.height[b] += F32(height) * inside
        f.alpha[b] += F32(0.06) * inside

    def finish(self, shape: Shape, *, alpha: float, grain: float, soft: float = 0.6) -> None:
        """Give a zone its own gloss and texture."""
        f = self.fields
        for b in f.strips(f.block(shape.bounds, soft)):
            w = smoothstep(soft / 2, -soft / 2, f.distance(shape, b))
            f.alpha[b] += (F32(alpha) - f.alpha[b]) * w
            f.grain[b] += (F32(grain) - f.grain[b]) * w

    def peel(self, shape: Shape, slope: float = 4e-4) -> None:
        """Faint orange peel of a polished zone."""
        f = self.fields
        ppm = f.view.fine_per_mm
        tile = band_tile(snapped(1.6 * ppm), snapped(6 * ppm))
        window = f.view.ground_window(shape.bounds, 1).clipped(f.window)
        b = window.slices_in(f.window)
        w = smoothstep(0.2, -0.2, f.distance(shape, b)) * F32(slope)
        a, c, d, e = (int(n) for n in self.rng.integers(0, 1024, 4))
        f.slope_u[b] += w * crop(tile, window.rows, window.cols, (a, c))
        f.slope_v[b] += w * crop(tile, window.rows, window.cols, (d, e))

    def text(
        self,
        words: str,
        u: float,
        v: float,
        cap_mm: float,
        *,
        relief: float = 0.35,
        angle: float = 0.0,
    ) -> None:
        """Moulded lettering that reads the right way round on either hand."""
        f = self.fields
        mask, b = letter_mask(f, words, (u, v), cap_mm, angle)
        f.height[b] += F32(relief) * smoothstep(0.25, 0.75, mask)

    def print_text(
        self, words: str, u: float, v: float, cap_mm: float, *, angle: float = 0.0
    ) -> None:
        """Printed lettering."""
        mask, b = letter_mask(self.fields, words, (u, v), cap_mm, angle)
        self._ink(b, smoothstep(0.35, 0.65, mask))

    def print_shape(self, shape: Shape) -> None:
        """A printed mark."""
        f = self.fields
        b = f.block(shape.bounds, 0.3)
        self._ink(b, f.cover(f.distance(shape, b)))

    def _ink(self, b: Block, weight: Array) -> None:
        f = self.fields
        f.tint(b, weight * F32(0.94), self.ink)
        f.alpha[b] += (F32(0.3) - f.alpha[b]) * weight * F32(0.7)
        f.grain[b] *= 1 - F32(0.35) * weight

    def date_clock(self, u: float, v: float, radius: float, month: int) -> None:
        """Two rings and a pointer: the moulded date stamp."""
        self._line_relief(Rim(Disc(u, v, radius), 0.22))
        self._line_relief(Rim(Disc(u, v, radius * 0.55), 0.18))
        a = math.radians(90 - 30 * month)
        tip = radius * 0.48
        self._line_relief(Bar(u, v, u + tip * math.cos(a), v + tip * math.sin(a), 0.22))
        for hour in range(12):
            a = math.radians(30 * hour)
            r = radius * 0.78
            self._line_relief(Disc(u + r * math.cos(a), v + r * math.sin(a), 0.22))

    def _line_relief(self, shape: Shape, relief: float = 0.3) -> None:
        f = self.fields
        b = f.block(shape.bounds, 0.6)
        f.height[b] += F32(relief) * smoothstep(0.15, -0.15, f.distance(shape, b))

    def stamp(self, lines: tuple[str, ...], u: float, v: float, cap_mm: float = 3.2) -> None:
        """Moulded lines of text, one below the other (material, tool, cavity)."""
        for i, words in enumerate(lines):
            self.text(words, u, v - i * cap_mm * 1.7, cap_mm)

    def clip(self, u: float, v: float, angle: float, top: float, *, width: float = 6.0) -> None:
        """A snap clip: a post with a hook that points along ``angle``."""
        c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
        self.solid(Box(u, v, 1.1, width / 2, 0.4, angle), top, fillet=0.3, draft=0.4)
        lip = Box(u + 1.3 * c, v + 1.3 * s, 0.9, width / 2, 0.3, angle)
        self.solid(lip, top - 0.8, fillet=0.6, draft=0.3)

    def insert(self, u: float, v: float, radius: float, top: float, *, bore: float = 0.5) -> None:
        """A metal insert: a disc with a bore (share of its radius)."""
        f = self.fields
        shape = Disc(u, v, radius)
        self.solid(shape, top, fillet=0.25, draft=0.2)
        b = f.block(shape.bounds, 0.3)
        d = f.distance(shape, b)
        ring = smoothstep(0.1, -0.1, d)
        f.metallic(b, ring)
        f.alpha[b] += (F32(0.24) - f.alpha[b]) * ring
        f.grain[b] *= 1 - F32(0.8) * ring
        self.well(Disc(u, v, radius * bore), top - 3.0, wall=0.25)
