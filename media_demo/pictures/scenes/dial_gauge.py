"""A plain dial gauge: its face with scale and pointer, and its body on a bridge or on feet.

The pointer turns clockwise with the reading; one turn is ``Dial.turn_mm``. The body is
drawn in its own axes: the tip at the origin, the dial along +v.
"""

import math
from dataclasses import dataclass, replace
from functools import lru_cache, partial

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from media_demo.pictures.arrays import F32, Array, Rgb
from media_demo.pictures.fields import Fields
from media_demo.pictures.regions import Polygon as Outline
from media_demo.pictures.scenes.props import (
    coat,
    inks_of,
    paint,
    paint_posed,
    print_picture,
    prop,
    raise_solid,
)
from media_demo.pictures.shapes import Bar, Bounds, Box, Disc, Grown, Polygon
from media_demo.pictures.view import Pose, View

PX_PER_MM = 26
FACE_MM, CASE_MM, REACH_MM = 15.6, 17.6, 30.0
# how far it stands up above what its feet stand on
GAUGE_MM, LYING_MM = 10.0, 11.0
# how far the face lies below the rim of its case, and how wide the bevel down to it is
SUNK_MM, BEVEL_MM = 0.7, 0.4
BODY = Bounds(-CASE_MM, -5.0, CASE_MM, REACH_MM + CASE_MM + 1)
# where its two stops can be set, to either side of the tip, widest first
STOPS_MM = (9.5, 7.5, 6.0, 4.5)
# points of its outline on the bench behind the stops: mm out of the wall, mm along it
FOOTPRINT = (
    *((REACH_MM + CASE_MM * math.cos(t / 8), CASE_MM * math.sin(t / 8)) for t in range(51)),
    *((out, along) for out in (2.5, 5.5, 8.2) for along in range(-11, 12, 2)),
)
STEEL: Rgb = (0.50, 0.51, 0.525)
CASE: Rgb = (0.16, 0.165, 0.175)
FACE = (240, 240, 234)
INK = (24, 25, 28)
NEEDLE: Rgb = (0.60, 0.126, 0.116)
HUB: Rgb = (0.116, 0.119, 0.126)
FACE_SHADE: Rgb = (0.70, 0.70, 0.684)
# tip, one side, tail, other side: degrees clockwise of where it points, mm from the middle
POINTER = ((0, FACE_MM - 1.5), (22, 2.2), (180, 3.6), (-22, 2.2))
HUB_MM, POINTER_SHADOW_MM = 1.5, 0.35
# a step of the pointer that an eye at 100 % tells from none (common practice, no source)
READABLE_PX = 3.0


@dataclass(frozen=True)
class Dial:
    """A scale: mm per turn, mm per division, and whether it counts both ways from zero."""

    turn_mm: float
    division_mm: float
    balanced: bool

    @property
    def lowest(self) -> float:
        return -0.48 * self.turn_mm if self.balanced else 0.0

    @property
    def highest(self) -> float:
        return 0.48 * self.turn_mm if self.balanced else 0.98 * self.turn_mm

    def reading(self, value: float) -> float:
        """The nearest division to a value, within the scale."""
        kept = min(max(value, self.lowest), self.highest)
        return round(round(kept / self.division_mm) * self.division_mm, 4)

    def angle_deg(self, reading: float) -> float:
        """Where the pointer stands, clockwise from zero."""
        return 360.0 * reading / self.turn_mm


def plainness(dial: Dial, reading: float, rest: float, px_per_mm: float) -> float:
    """Just-readable steps of the pointer's tip between two readings."""
    turned = math.radians(abs(dial.angle_deg(reading) - dial.angle_deg(rest)))
    return turned * (FACE_MM - 1.5) * px_per_mm / READABLE_PX


FINE = Dial(1.0, 0.01, balanced=True)
COARSE = Dial(2.0, 0.02, balanced=False)


def pointer_tip(dial: Dial, reading: float, zero_deg: float) -> tuple[float, float]:
    """Direction of the pointer on the face (x right, y up), ``zero_deg`` clockwise of up."""
    return _around(dial.angle_deg(reading) + zero_deg, 1.0)


@lru_cache(maxsize=6)
def _inks(dial: Dial, size: tuple[int, int]) -> list[Array]:
    """The face's colours: the same in every picture of one scale."""
    return inks_of(scale_picture(dial), size)


def scale_picture(dial: Dial) -> Image.Image:
    """The dial's face without its pointer, its zero upright."""
    size = round(2 * FACE_MM * PX_PER_MM)
    image = Image.new("RGB", (size, size), FACE)
    draw = ImageDraw.Draw(image)
    count = round(dial.turn_mm / dial.division_mm)
    font = ImageFont.load_default(size=2.5 * PX_PER_MM)
    for i in range(count):
        long = 3.0 if i % 10 == 0 else 2.2 if i % 5 == 0 else 1.5
        width = 0.34 if i % 10 == 0 else 0.22 if i % 5 == 0 else 0.15
        _tick(draw, 360 * i / count, FACE_MM - 0.6 - long, FACE_MM - 0.6, width)
        if i % 10 == 0:
            _word(draw, _number(dial, i, count), 360 * i / count, 10.0, font)
    small = ImageFont.load_default(size=1.75 * PX_PER_MM)
    _word(draw, f"{dial.division_mm:.2f} mm", 180, 4.6, small)
    if dial.balanced:
        # beside readings that are far beyond every limit, so that the pointer seldom hides them
        sign = ImageFont.load_default(size=3.0 * PX_PER_MM)
        _word(draw, "+", 112, 6.2, sign)
        _word(draw, "-", -112, 6.2, sign)
    return image


def _number(dial: Dial, i: int, count: int) -> str:
    value = min(i, count - i) if dial.balanced else i
    return f"{value * dial.division_mm:.1f}".replace("0.", ".") if value else "0"


def _around(angle_deg: float, radius: float) -> tuple[float, float]:
    """A point at an angle clockwise of up: x right, y up."""
    a = math.radians(angle_deg)
    return radius * math.sin(a), radius * math.cos(a)


def _place(angle_deg: float, radius_mm: float) -> tuple[float, float]:
    """A point of the face in the pixels of its picture."""
    x, y = _around(angle_deg, radius_mm)
    return (FACE_MM + x) * PX_PER_MM, (FACE_MM - y) * PX_PER_MM


def _tick(
    draw: ImageDraw.ImageDraw, angle_deg: float, start: float, end: float, width: float
) -> None:
    line = (*_place(angle_deg, start), *_place(angle_deg, end))
    draw.line(line, fill=INK, width=max(round(width * PX_PER_MM), 2))


def _word(
    draw: ImageDraw.ImageDraw,
    words: str,
    angle_deg: float,
    radius_mm: float,
    font: ImageFont.FreeTypeFont | ImageFont.ImageFont,
) -> None:
    draw.text(_place(angle_deg, radius_mm), words, INK, font=font, anchor="mm", stroke_width=2)


@dataclass(frozen=True)
class Stand:
    """Where a gauge stands: its pose, the height of its feet, and the dial's zero.

    On a ``bridge`` it spans the mark from above, feet 20 mm apart; otherwise it lies on
    the bench and pushes its tip sideways, ``tip_mm`` up, between two stops ``stops_mm`` to
    either side. The tip stops ``push_mm`` short of the line through the stops.
    """

    pose: Pose
    base: float
    zero_deg: float
    bridge: bool = True
    tip_mm: float = 3.0
    push_mm: float = 0.0
    stops_mm: float = STOPS_MM[0]

    @property
    def arm(self) -> float:
        """Height of the arm that carries the dial."""
        return self.base + 6.0 if self.bridge else self.tip_mm + 4.0

    @property
    def top(self) -> float:
        """Height of the dial's case."""
        return self.base + GAUGE_MM if self.bridge else LYING_MM


def bare_gauge(view: View, stand: Stand) -> Fields:
    """The gauge with a bare face."""
    thing = prop(view, stand.pose, BODY, alpha=0.22, margin_mm=3)
    thing.grain[:] = 0.03
    case = Disc(0, REACH_MM, CASE_MM)
    # painted beyond their edges: nothing of the resin shows at a rim
    coat(thing, STEEL)
    paint(thing, Grown(case, 3.0), CASE)
    if stand.bridge:
        _bridge(thing, stand.base)
    else:
        _stops(thing, stand)
    raise_solid(thing, Box(0, 10.5, 3.2, 6.5, 0.6), stand.arm, STEEL, draft=0.4, base=stand.base)
    raise_solid(thing, case, stand.top, CASE, fillet=1.2, draft=1.5, base=stand.base)
    face = Disc(0, REACH_MM, FACE_MM)
    block = thing.block(face.bounds, BEVEL_MM)
    d = thing.distance(face, block)
    thing.height[block] -= np.clip(1 - d * F32(1 / BEVEL_MM), 0, 1) * F32(SUNK_MM)
    thing.alpha[block] += (0.45 - thing.alpha[block]) * thing.cover(d)
    return thing


def print_scale(fields: Fields, stand: Stand, dial: Dial) -> None:
    """Print the face without its pointer on the gauge, or on what it was laid on."""
    box = Box(0, 0, FACE_MM, FACE_MM, 0.0)
    face = Disc(0, 0, FACE_MM)
    pose = _face_pose(fields.view, stand)
    print_picture(fields, partial(_inks, dial), box, gain=(0.72, 0.006), within=face, pose=pose)


def paint_pointer(fields: Fields, stand: Stand, dial: Dial, reading: float) -> None:
    """Paint the pointer with its tail and hub on the face; a soft shadow lies under it."""
    pose, corners = _face_pose(fields.view, stand), _pointer_corners(dial, reading)
    shift = POINTER_SHADOW_MM
    shaded = Polygon(tuple((x + shift, y - shift) for x, y in corners))
    paint_posed(fields, pose, shaded, FACE_SHADE)
    paint_posed(fields, pose, Polygon(corners), NEEDLE)
    paint_posed(fields, pose, Disc(0, 0, HUB_MM), HUB)


def _face_pose(view: View, stand: Stand) -> Pose:
    """The face in its middle: the scale stands upright whichever way the gauge is turned."""
    x, y = replace(view, pose=stand.pose).world(0, REACH_MM)
    return Pose(-stand.zero_deg, x, y)


def pointer_outline(view: View, stand: Stand, dial: Dial, reading: float) -> Outline:
    """The pointer in the picture."""
    posed = replace(view, pose=_face_pose(view, stand))
    height = stand.top - SUNK_MM
    return tuple(posed.to_picture(x, y, height) for x, y in _pointer_corners(dial, reading))


def _pointer_corners(dial: Dial, reading: float) -> Outline:
    """The pointer in the face's own mm."""
    angle = dial.angle_deg(reading)
    return tuple(_around(angle + turn, radius) for turn, radius in POINTER)


def _bridge(thing: Fields, base: float) -> None:
    """A bar on two feet, open in the middle, with the tip in the opening."""
    top = base + 3.6
    bar = Box(0, 0, 12.4, 2.6, 1.2)
    ring = Disc(0, 0, 5.3)
    for shape in (bar, ring):
        raise_solid(thing, shape, top, STEEL, fillet=0.5, draft=0.3, base=base)
    raise_solid(thing, Box(0, 5.0, 2.8, 3.0, 0.5), top, STEEL, fillet=0.5, draft=0.3, base=base)
    hole = Disc(0, 0, 4.0)
    block = thing.block(hole.bounds, 0.5)
    gone = thing.distance(hole, block) < 0
    thing.height[block][gone] = 0
    thing.solid[block][gone] = 0
    raise_solid(thing, Disc(0, 0, 0.6), top - 1.0, STEEL, fillet=0.4, draft=0.2, base=base)
    raise_solid(thing, Bar(0, 0.3, 0, 4.2, 0.5), top - 0.4, STEEL, fillet=0.3, draft=0.2, base=base)


def _stops(thing: Fields, stand: Stand) -> None:
    """Two stops against the wall and the tip between them, lying flat."""
    top = stand.tip_mm + 0.9
    bar = Box(0, 6.0, stand.stops_mm + 1.9, 2.2, 0.6)
    raise_solid(thing, bar, top + 1.4, STEEL, fillet=0.4, draft=0.3)
    for u in (-stand.stops_mm, stand.stops_mm):
        raise_solid(thing, Box(u, 2.6, 1.5, 2.6, 0.5), top, STEEL, fillet=0.3, draft=0.15)
    start = stand.push_mm
    raise_solid(thing, Bar(0, start + 0.7, 0, 5, 0.7), top, STEEL, fillet=0.3, draft=0.12)
