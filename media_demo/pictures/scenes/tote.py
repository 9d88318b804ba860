"""The plant's packs, and the tote they are seen in: which part lies where, and how."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from media_demo.pictures.arrays import F32, Rgb, smoothstep
from media_demo.pictures.assembly import lay, part_in, place_in
from media_demo.pictures.fields import Block, Fields
from media_demo.pictures.kinds import PartKind, SideName
from media_demo.pictures.noise import cloud_tile, crop
from media_demo.pictures.resins import Resin
from media_demo.pictures.scenes.props import raise_solid
from media_demo.pictures.scenes.studio import pose_at, side_of
from media_demo.pictures.shapes import Box, Rim
from media_demo.pictures.view import Pose, View

Style = Literal["bag", "cells", "foam"]
FLOOR, WALL, RIM_MM, CLEAR, DRAFT = 0.8, 28.0, 9.0, 9.0, 2.0
BLUE: Rgb = (0.20, 0.33, 0.52)
FOAM: Rgb = (0.83, 0.83, 0.81)
CELL: Rgb = (0.62, 0.55, 0.44)


@dataclass(frozen=True)
class Pack:
    """One layer of a pack: the grid, the side that lies up, and what keeps faces apart."""

    columns: int
    rows: int
    style: Style
    up: SideName = "front"
    quarter: bool = False

    @property
    def count(self) -> int:
        return self.columns * self.rows


# one layer as the work instructions of the plant's jobs have it; small bulk parts lie in
# the counting tray, the standing housings in the tray before they go into the comb
PACKS: dict[str, Pack] = {
    "fascia": Pack(5, 2, "bag", quarter=True),
    "hinge_cover": Pack(5, 4, "foam", up="back"),
    "shelf_end_cap": Pack(5, 4, "foam"),
    "drawer_front": Pack(2, 3, "bag"),
    "handle_cap": Pack(5, 4, "cells"),
    "detergent_lid": Pack(5, 2, "foam"),
    "hood_trim": Pack(6, 2, "cells", quarter=True),
    "knob": Pack(5, 4, "cells"),
    "latch_hook": Pack(7, 6, "cells"),
    "latch_lever": Pack(7, 6, "cells"),
    "vacuum_half": Pack(2, 3, "foam"),
    "kettle_lid": Pack(4, 3, "foam"),
    "water_tank": Pack(5, 2, "bag", quarter=True),
    "tank_lid": Pack(4, 4, "foam"),
    "vent_cover": Pack(3, 2, "foam"),
}
GAP = {"bag": 16.0, "cells": 9.0, "foam": 9.0}


@dataclass(frozen=True)
class Slot:
    """One place of the grid and how its part lies there."""

    x: float
    y: float
    turn_deg: float
    up: SideName
    filled: bool = True
    bagged: bool = False
    on_top: bool = False
    other_hand: bool = False


@dataclass(frozen=True)
class Grid:
    """The layer in millimetres, middle at the origin: cell sizes and outer size."""

    pack: Pack
    cell_x: float
    cell_y: float

    @property
    def half(self) -> tuple[float, float]:
        return self.pack.columns * self.cell_x / 2 + CLEAR, self.pack.rows * self.cell_y / 2 + CLEAR

    def middle(self, index: int) -> tuple[float, float]:
        row, column = divmod(index, self.pack.columns)
        x = (column - (self.pack.columns - 1) / 2) * self.cell_x
        return x, ((self.pack.rows - 1) / 2 - row) * self.cell_y


def grid_of(kind: PartKind) -> Grid:
    """The grid of a part kind's pack."""
    pack = PACKS[kind.slug]
    box = side_of(kind, pack.up).bounds
    wide, tall = box.u1 - box.u0, box.v1 - box.v0
    if pack.quarter:
        wide, tall = tall, wide
    return Grid(pack, wide + GAP[pack.style], tall + GAP[pack.style])


def good_layer(grid: Grid, rng: np.random.Generator) -> list[Slot]:
    """Every place filled as the pack picture shows it, laid down by hand."""
    pack = grid.pack
    slots = []
    for i in range(pack.count):
        x, y = grid.middle(i)
        off = np.clip(rng.normal(0, 0.9, 3), -2, 2)
        turn = (90.0 if pack.quarter else 0.0) + float(off[2])
        slots.append(
            Slot(x + float(off[0]), y + float(off[1]), turn, pack.up, bagged=pack.style == "bag")
        )
    return slots


def draw_tote(fields: Fields, grid: Grid, seed: int) -> None:
    """The tote's walls, its foam or cells; the floor lies ``FLOOR`` mm up."""
    rng = np.random.default_rng(seed)
    half_x, half_y = grid.half
    inner = Box(0, 0, half_x, half_y, 16)
    outer = Box(0, 0, half_x + RIM_MM, half_y + RIM_MM, 22)
    for block in fields.strips(fields.block(outer.bounds, 6)):
        _wall(fields, block, outer, inner)
    _line(fields, Box(0, 0, half_x - 4.6, half_y - 4.6, 10), rng)
    if grid.pack.style == "cells":
        _divide(fields, grid)


def _wall(fields: Fields, block: Block, outer: Box, inner: Box) -> None:
    """The wall between two boxes, its lip, and the floor inside it."""
    d_out, d_in = fields.distance(outer, block), fields.distance(inner, block)
    inside = F32(FLOOR) + F32(WALL) * np.clip(1 + d_in * F32(1 / 4), 0, 1)
    lip = F32(WALL + FLOOR) - F32(1.5) * smoothstep(3.4, 2.2, np.abs(d_in - F32(RIM_MM / 2)))
    wall = np.where(d_in < 0, inside, lip) * np.clip(1 - d_out * F32(1 / DRAFT), 0, 1)
    fields.height[block] = np.where(d_out < DRAFT, wall, fields.height[block])
    cover = fields.cover(d_out - F32(DRAFT))
    np.maximum(fields.solid[block], cover, out=fields.solid[block])
    fields.grain[block] = np.where(d_out < DRAFT, F32(0.35), fields.grain[block])
    # worn dull outside, or the steep wall would mirror the bench and lose its blue
    worn = F32(0.38) + F32(0.5) * smoothstep(-1.0, 0.5, d_out)
    fields.alpha[block] = np.where(d_out < DRAFT, worn, fields.alpha[block])
    fields.tint(block, cover, BLUE)


def _line(fields: Fields, sheet: Box, rng: np.random.Generator) -> None:
    """A sheet of foam on the floor, a little uneven."""
    spot = (int(rng.integers(1024)), int(rng.integers(1024)))
    whole = fields.block(sheet.bounds, 1)
    for block in fields.strips(whole):
        cover = fields.cover(fields.distance(sheet, block))
        fields.tint(block, cover, FOAM)
        top = block[0].start - whole[0].start
        rows, cols = cover.shape
        clouds = crop(cloud_tile(1.6), range(top, top + rows), range(cols), spot)
        fields.height[block] += cover * (F32(0.5) + F32(0.10) * clouds)
        fields.alpha[block] += (F32(0.75) - fields.alpha[block]) * cover
        fields.grain[block] += (F32(1.3) - fields.grain[block]) * cover


def _divide(fields: Fields, grid: Grid) -> None:
    """Board dividers between the cells."""
    half_x, half_y = grid.half
    pack = grid.pack
    for i in range(1, pack.columns):
        x = (i - pack.columns / 2) * grid.cell_x
        raise_solid(fields, Box(x, 0, 1.1, half_y - 5, 0.3), 9.0, CELL, fillet=0.4, draft=0.7)
    for i in range(1, pack.rows):
        y = (i - pack.rows / 2) * grid.cell_y
        raise_solid(fields, Box(0, y, half_x - 5, 1.1, 0.3), 9.0, CELL, fillet=0.4, draft=0.7)


def pose_of(kind: PartKind, slot: Slot, tote: Pose, *, mirrored: bool) -> Pose:
    """How a slot's part lies in the world; a part face down shows its other side."""
    a = math.radians(tote.turn_deg)
    c, s = math.cos(a), math.sin(a)
    x = c * slot.x - s * slot.y + tote.x_mm
    y = s * slot.x + c * slot.y + tote.y_mm
    bounds = side_of(kind, slot.up).bounds
    turn = slot.turn_deg + tote.turn_deg
    return pose_at(bounds, x, y, turn, mirrored=mirrored != slot.other_hand)


@dataclass(frozen=True)
class Content:
    """What fills a tote: part kind, resin, its lot's colour (sRGB), hand, seed."""

    kind: PartKind
    resin: Resin
    colour: Rgb
    mirrored: bool
    seed: int
    view: View
    tote: Pose

    def fill(self, fields: Fields, slots: Mapping[int, Slot]) -> None:
        """Lay parts in their numbered places, those on top last."""
        for i, slot in sorted(slots.items()):
            if not slot.filled:
                continue
            side = side_of(self.kind, slot.up)
            pose = pose_of(self.kind, slot, self.tote, mirrored=self.mirrored)
            if 0 in place_in(self.view, pose, side).clipped(fields.window).shape:
                continue
            part = part_in(self.view, pose, side, self.resin, self.seed + i)
            lift = self.kind.sides["front"].tallest + 1.0 if slot.on_top else 0.0
            lay(fields, part, self._colour(), lift=FLOOR + 0.6 + lift)

    def _colour(self) -> Rgb | None:
        """Opaque parts cover the colour of what they lie on; clear ones show it."""
        return None if self.resin.clarity else self.colour

    def cell_outline(self, grid: Grid, index: int) -> tuple[tuple[float, float], ...]:
        """A cell of the grid in picture pixels, at the height of the parts' faces."""
        x, y = grid.middle(index)
        posed = replace(self.view, pose=self.tote)
        hx, hy = grid.cell_x / 2 - 2, grid.cell_y / 2 - 2
        height = FLOOR + self.kind.sides["front"].tallest
        corners = ((-hx, -hy), (hx, -hy), (hx, hy), (-hx, hy))
        return tuple(posed.to_picture(x + dx, y + dy, height) for dx, dy in corners)


def rim_of(grid: Grid) -> Rim:
    """The tote's rim as a shape."""
    return Rim(Box(0, 0, *grid.half, 16), RIM_MM)
