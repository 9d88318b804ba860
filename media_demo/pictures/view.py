"""Where the camera stands, how the part lies, and which pixel shows which millimetre."""

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from media_demo.pictures.arrays import F32, Array
from media_demo.pictures.grids import strips
from media_demo.pictures.shapes import Bounds


@dataclass(frozen=True)
class Pose:
    """How the part lies on the bench: turn in degrees, shift in mm, mirrored or not."""

    turn_deg: float = 0.0
    x_mm: float = 0.0
    y_mm: float = 0.0
    mirrored: bool = False


@dataclass(frozen=True)
class Window:
    """A rectangle of fine-grid rows and columns; may reach beyond the picture."""

    row0: int
    row1: int
    col0: int
    col1: int

    @property
    def shape(self) -> tuple[int, int]:
        return self.row1 - self.row0, self.col1 - self.col0

    @property
    def rows(self) -> range:
        return range(self.row0, self.row1)

    @property
    def cols(self) -> range:
        return range(self.col0, self.col1)

    def aligned(self, step: int) -> "Window":
        """Grow outwards to whole multiples of ``step``."""
        return Window(
            self.row0 // step * step,
            -(-self.row1 // step) * step,
            self.col0 // step * step,
            -(-self.col1 // step) * step,
        )

    def grown(self, by: int) -> "Window":
        return Window(self.row0 - by, self.row1 + by, self.col0 - by, self.col1 + by)

    def clipped(self, outer: "Window") -> "Window":
        row0, col0 = max(self.row0, outer.row0), max(self.col0, outer.col0)
        row1, col1 = min(self.row1, outer.row1), min(self.col1, outer.col1)
        return Window(row0, max(row0, row1), col0, max(col0, col1))

    def slices_in(self, outer: "Window") -> tuple[slice, slice]:
        """This window as slices of an array that covers ``outer``."""
        inner = self.clipped(outer)
        return (
            slice(inner.row0 - outer.row0, inner.row1 - outer.row0),
            slice(inner.col0 - outer.col0, inner.col1 - outer.col0),
        )


@dataclass(frozen=True)
class View:
    """An oblique look at the bench plane.

    World axes: X right, Y away from the camera, Z up, millimetres. Heights move a
    point up the picture by ``height * sin(tilt)``, so every line of sight runs along
    one column of pixels. ``keystone`` widens the far side a little (per mm).
    """

    width: int
    height: int
    px_per_mm: float
    tilt_deg: float
    pose: Pose
    look_at: tuple[float, float, float] = (0.0, 0.0, 0.0)
    supersampling: float = 1.5
    keystone: float = 3.5e-4
    distance_mm: float = 780.0

    @cached_property
    def tilt(self) -> float:
        return math.radians(self.tilt_deg)

    @property
    def fine_width(self) -> int:
        return int(self.width * self.supersampling)

    @property
    def fine_height(self) -> int:
        return int(self.height * self.supersampling)

    @property
    def alignment(self) -> int:
        """Fine pixels that windows are multiples of: whole picture pixels, whole cells."""
        return 48 if self.supersampling == 1.5 else int(16 * self.supersampling)

    def to_fine_window(self, frame: Window) -> Window:
        """A window of picture pixels in fine pixels."""
        s = self.supersampling
        return Window(*(int(n * s) for n in (frame.row0, frame.row1, frame.col0, frame.col1)))

    def to_frame(self, window: Window) -> Window:
        """An aligned window of fine pixels in picture pixels."""
        s = self.supersampling
        return Window(*(int(n / s) for n in (window.row0, window.row1, window.col0, window.col1)))

    @property
    def fine_per_mm(self) -> float:
        return self.px_per_mm * self.supersampling

    @property
    def rows_per_mm_up(self) -> float:
        """Fine rows that one millimetre of height moves a point."""
        return self.fine_per_mm * math.sin(self.tilt)

    @property
    def picture(self) -> Window:
        return Window(0, self.fine_height, 0, self.fine_width)

    def ground(self, rows: Array, cols: Array) -> tuple[Array, Array]:
        """World X, Y of the bench plane under fine rows (n,1) and columns (1,m)."""
        ppm = self.fine_per_mm
        x = (cols - F32(self.fine_width / 2 - 0.5)) * F32(1 / ppm)
        y = (rows - F32(self.fine_height / 2 - 0.5)) * F32(-1 / ppm / math.cos(self.tilt))
        q = 1 + F32(self.keystone) * y
        return x * q + F32(self.look_at[0]), y * q + F32(self.look_at[1])

    def ground_of(self, window: Window, step: int = 1) -> tuple[Array, Array]:
        """World X (n,m), Y (n,1) at every ``step``-th fine pixel of a window."""
        shift = (step - 1) / 2
        rows = np.arange(window.row0, window.row1, step, dtype=F32)[:, None] + F32(shift)
        cols = np.arange(window.col0, window.col1, step, dtype=F32)[None, :] + F32(shift)
        return self.ground(rows, cols)

    def part_of(self, window: Window) -> tuple[Array, Array]:
        """Part coordinates u, v of every fine pixel of a window."""
        pose = self.pose
        c, s = math.cos(math.radians(pose.turn_deg)), math.sin(math.radians(pose.turn_deg))
        u, v = np.empty(window.shape, F32), np.empty(window.shape, F32)
        for rows in strips(window.shape[0]):
            strip = replace(window, row0=window.row0 + rows.start, row1=window.row0 + rows.stop)
            X, Y = self.ground_of(strip)
            X -= F32(pose.x_mm)
            Y -= F32(pose.y_mm)
            np.multiply(X, F32(-c if pose.mirrored else c), out=u[rows])
            u[rows] += F32(-s if pose.mirrored else s) * Y
            np.multiply(X, F32(-s), out=v[rows])
            v[rows] += F32(c) * Y
        return u, v

    def world(self, u: float, v: float) -> tuple[float, float]:
        """World X, Y of a point of the part."""
        pose = self.pose
        c, s = math.cos(math.radians(pose.turn_deg)), math.sin(math.radians(pose.turn_deg))
        if pose.mirrored:
            u = -u
        return c * u - s * v + pose.x_mm, s * u + c * v + pose.y_mm

    def to_fine(self, u: float, v: float, h: float = 0.0) -> tuple[float, float]:
        """Fine (column, row) at which a point of the part appears."""
        X, Y = self.world(u, v)
        k = self.keystone
        Y -= self.look_at[1]
        y = (-1 + math.sqrt(1 + 4 * k * Y)) / (2 * k) if k else Y
        x = (X - self.look_at[0]) / (1 + k * y)
        row = self.fine_height / 2 - 0.5 - y * math.cos(self.tilt) * self.fine_per_mm
        row -= (h - self.look_at[2]) * self.rows_per_mm_up
        return x * self.fine_per_mm + self.fine_width / 2 - 0.5, row

    def to_picture(self, u: float, v: float, h: float = 0.0) -> tuple[float, float]:
        """Picture (x, y) in pixels at which a point of the part appears."""
        x, y = self.to_fine(u, v, h)
        s = self.supersampling
        return (x + 0.5) / s - 0.5, (y + 0.5) / s - 0.5

    def local_px_per_mm(self, u: float, v: float, h: float = 0.0) -> float:
        """Picture pixels per millimetre across the picture at one place of the part."""
        _, Y = self.world(u, v)
        k = self.keystone
        Y -= self.look_at[1]
        y = (-1 + math.sqrt(1 + 4 * k * Y)) / (2 * k) if k else Y
        return self.px_per_mm / (1 + k * y)

    def ground_window(self, bounds: Bounds, pad_mm: float = 0.0) -> Window:
        """The fine bench-plane window that holds a box of the part."""
        box = bounds.grown(pad_mm)
        drop = self.look_at[2] * self.rows_per_mm_up
        corners = [self.to_fine(u, v) for u in (box.u0, box.u1) for v in (box.v0, box.v1)]
        cols = [c[0] for c in corners]
        rows = [c[1] - drop for c in corners]
        return Window(
            math.floor(min(rows)) - 1,
            math.ceil(max(rows)) + 2,
            math.floor(min(cols)) - 1,
            math.ceil(max(cols)) + 2,
        )
