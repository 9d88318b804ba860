"""A part laid on the bench as fields over the ground grid."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from media_demo.pictures.arrays import F32, Array, Rgb, linear
from media_demo.pictures.shapes import Bounds, Shape
from media_demo.pictures.view import View, Window

Block = tuple[slice, slice]
STRIP_CELLS = 32768


@dataclass
class Paint:
    """Colour laid over the resin: albedo becomes ``albedo * keep + add``."""

    keep: Array
    add: list[Array]


@dataclass
class Sheet:
    """A thin film over what lies below: height in mm, 0-1 cover, 0-1 paleness."""

    height: Array
    cover: Array
    pale: Array


Layer = Literal["u", "v", "solid", "alpha", "grain", "slope_u", "slope_v"]
LAYERS = ("height", "solid", "alpha", "grain", "slope_u", "slope_v")


@dataclass
class Saved:
    """What one block of the fields held before a defect touched it."""

    window: Window
    layers: list[Array]

    def give_back(self, fields: "Fields") -> None:
        """Put the block back, as far as the fields reach."""
        shared = self.window.clipped(fields.window)
        here, there = shared.slices_in(fields.window), shared.slices_in(self.window)
        for now, then in zip(fields.layers(), self.layers, strict=True):
            now[here] = then[there]


@dataclass
class Fields:
    """What the ray search and the shading need to know of a part.

    Arrays cover ``window`` of the fine ground grid. ``height`` in mm; ``solid`` 0-1
    cover of plastic; ``alpha`` microfacet roughness; ``grain`` multiplies the texture
    slopes; ``slope_u``/``slope_v`` are extra slopes in part axes; ``lift`` mm by which
    the underside stands off the bench; ``sheet`` a film above the height field;
    ``lightness`` 0-1 of the resin, for marks that are pale on dark and dark on pale.
    Defects take their blocks from ``around`` or ``touch``, which note them, so that the
    fields ``before`` the defect can be had again.
    """

    view: View
    window: Window
    u: Array
    v: Array
    height: Array
    solid: Array
    alpha: Array
    grain: Array
    slope_u: Array
    slope_v: Array
    metal: Array | None = None
    lift: Array | None = None
    sheet: Sheet | None = None
    lightness: float = 0.5
    paint: Paint | None = None
    texture_offset: tuple[int, int] = (0, 0)
    touched: list[Window] = field(default_factory=list)
    journal: list["Saved"] | None = None

    @classmethod
    def empty(cls, view: View, window: Window, alpha: float) -> "Fields":
        """Return bare bench over a window."""
        u, v = view.part_of(window)
        shape = window.shape
        return cls(
            view=view,
            window=window,
            u=u,
            v=v,
            height=np.zeros(shape, F32),
            solid=np.zeros(shape, F32),
            alpha=np.full(shape, alpha, F32),
            grain=np.ones(shape, F32),
            slope_u=np.zeros(shape, F32),
            slope_v=np.zeros(shape, F32),
        )

    def layers(self) -> list[Array]:
        """Every array that a defect may change, paint and metal last."""
        found = [self.height, self.solid, self.alpha, self.grain, self.slope_u, self.slope_v]
        if self.metal is not None:
            found.append(self.metal)
        if self.paint is not None:
            found += [self.paint.keep, *self.paint.add]
        return found

    def record(self) -> None:
        """From now on keep what every touched block held before."""
        self.touched.clear()
        self._painted()
        self.journal = []

    def before(self, window: Window) -> "Fields":
        """A copy of a window as it was when recording began."""
        old = self.copy_of(window)
        for saved in reversed(self.journal or []):
            saved.give_back(old)
        return old

    def copy_of(self, window: Window) -> "Fields":
        """A copy of a window that goes its own way, without film and not lifted."""
        copy = replace(self.crop(window.clipped(self.window)), lift=None, sheet=None)
        for layer in LAYERS:
            setattr(copy, layer, getattr(copy, layer).copy())
        if copy.metal is not None:
            copy.metal = copy.metal.copy()
        if copy.paint is not None:
            copy.paint = Paint(copy.paint.keep.copy(), [a.copy() for a in copy.paint.add])
        return copy

    def crop(self, window: Window) -> "Fields":
        """The same fields over a smaller window (shared memory)."""
        s = window.slices_in(self.window)
        paint = self.paint
        return replace(
            self,
            window=window.clipped(self.window),
            u=self.u[s],
            v=self.v[s],
            height=self.height[s],
            solid=self.solid[s],
            alpha=self.alpha[s],
            grain=self.grain[s],
            slope_u=self.slope_u[s],
            slope_v=self.slope_v[s],
            metal=None if self.metal is None else self.metal[s],
            lift=None if self.lift is None else self.lift[s],
            sheet=self.sheet
            and Sheet(*(a[s] for a in (self.sheet.height, self.sheet.cover, self.sheet.pale))),
            paint=paint and Paint(paint.keep[s], [a[s] for a in paint.add]),
            touched=[],
            journal=None,
        )

    def forget(self, *layers: Layer) -> None:
        """Free layers that nothing needs any more."""
        for layer in layers:
            setattr(self, layer, np.zeros((0, 0), F32))

    def forget_surface(self) -> None:
        """Free all but the heights, which are all that shadows need."""
        self.forget("u", "v", "solid", "alpha", "grain", "slope_u", "slope_v")
        self.metal = self.paint = self.journal = None

    def block(self, bounds: Bounds, pad_mm: float = 0.0) -> Block:
        """Slices of the arrays that hold a box of the part."""
        return self.view.ground_window(bounds, pad_mm).slices_in(self.window)

    def around(self, u: float, v: float, radius_mm: float) -> Block:
        """Slices that hold a circle, noted as touched by a defect."""
        bounds = Bounds(u - radius_mm, v - radius_mm, u + radius_mm, v + radius_mm)
        return self.touch(bounds)

    def touch(self, bounds: Bounds, pad_mm: float = 0.0) -> Block:
        """Slices that hold a box of the part, noted as touched by a defect."""
        window = self.view.ground_window(bounds, pad_mm).clipped(self.window)
        block = window.slices_in(self.window)
        self.touched.append(window)
        if self.journal is not None:
            self.journal.append(Saved(window, [a[block].copy() for a in self.layers()]))
        return block

    def strips(self, block: Block) -> Iterator[Block]:
        """A block in strips of rows, so that what is worked out of one stays in the cache."""
        rows, cols = block
        height = max(STRIP_CELLS // max(cols.stop - cols.start, 1), 1)
        for start in range(rows.start, rows.stop, height):
            yield slice(start, min(start + height, rows.stop)), cols

    def distance(self, shape: Shape, block: Block) -> Array:
        return shape.distance(self.u[block], self.v[block])

    def cover(self, distance: Array) -> Array:
        """Antialiased cover of a shape: 1 inside, 0 outside, half on the outline."""
        share: Array = np.clip(F32(0.5) - distance * F32(self.view.fine_per_mm), 0, 1)
        return share

    def tint(self, block: Block, weight: Array, colour: Rgb) -> None:
        """Blend the albedo towards an sRGB colour by ``weight`` 0-1."""
        paint = self._painted()
        rest = 1 - weight
        paint.keep[block] *= rest
        for add, component in zip(paint.add, linear(colour), strict=True):
            add[block] *= rest
            add[block] += weight * F32(component)

    def _painted(self) -> Paint:
        if self.paint is None:
            shape = self.window.shape
            self.paint = Paint(np.ones(shape, F32), [np.zeros(shape, F32) for _ in range(3)])
        return self.paint

    def hang(self, block: Block, height: Array, cover: Array, pale: Array) -> None:
        """Hang a film over a block."""
        if self.sheet is None:
            shape = self.window.shape
            self.sheet = Sheet(*(np.zeros(shape, F32) for _ in range(3)))
        self.sheet.height[block] = np.where(cover > 0, height, self.sheet.height[block])
        self.sheet.pale[block] = np.where(cover > 0, pale, self.sheet.pale[block])
        np.maximum(self.sheet.cover[block], cover, out=self.sheet.cover[block])

    @property
    def worn(self) -> Rgb:
        """The colour of a rub or scratch on this resin (sRGB)."""
        return (0.66, 0.66, 0.66) if self.lightness < 0.5 else (0.52, 0.52, 0.515)

    def metallic(self, block: Block, weight: Array) -> None:
        """Make plastic metal where ``weight`` is 1 (inserts)."""
        if self.metal is None:
            self.metal = np.zeros(self.window.shape, F32)
        np.maximum(self.metal[block], weight, out=self.metal[block])
