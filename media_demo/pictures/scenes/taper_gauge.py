"""A taper gauge: a steel wedge with a scale, slid under a gap until it stops."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from media_demo.pictures.arrays import F32, Array, Rgb
from media_demo.pictures.fields import Fields
from media_demo.pictures.scenes.props import coat, inks_of, print_picture, prop
from media_demo.pictures.shapes import Bounds, Box
from media_demo.pictures.view import Pose, View

PX_PER_MM = 24
STEP_MM, THICKEST_MM, RUN = 0.05, 1.6, 40.0
HALF_WIDTH, HANDLE_MM = 7.5, 12.0
# how far an edge may curve away within the width of the blade
CURVED_MM = 4.0
# how wide its side walls are in plan, and how much of the blade is left before their feet
WALL_MM, APRON = 0.25, 0.03
BLADE: Rgb = (0.60, 0.61, 0.62)
STEEL = (196, 198, 200)
INK = (22, 23, 26)


@dataclass(frozen=True)
class Slid:
    """A gauge as it lies: the pose puts its origin at the edge it stops at, +v inwards."""

    pose: Pose
    reading: float

    def along(self, thickness: float) -> float:
        """Where on the gauge's axis the blade is this thick."""
        return (self.reading - thickness) * RUN

    @property
    def bounds(self) -> Bounds:
        low = self.along(THICKEST_MM) - HANDLE_MM
        return Bounds(-HALF_WIDTH, low, HALF_WIDTH, self.along(0.0))


def reading_of(gap_mm: float) -> float:
    """The last mark that still goes in, in steps of 0.05 mm."""
    return round(min(round(gap_mm / STEP_MM) * STEP_MM, THICKEST_MM - STEP_MM), 2)


@lru_cache(maxsize=4)
def _inks(size: tuple[int, int]) -> list[Array]:
    """The blade's colours: the same in every picture of one scale."""
    return inks_of(blade_picture(), size)


def blade_picture() -> Image.Image:
    """The blade from its tip (top) to its handle, with a mark every 0.05 mm."""
    length = THICKEST_MM * RUN + HANDLE_MM
    size = (round(2 * HALF_WIDTH * PX_PER_MM), round(length * PX_PER_MM))
    image = Image.new("RGB", size, STEEL)
    draw = ImageDraw.Draw(image)
    font = ImageFont.load_default(size=2.7 * PX_PER_MM)
    for i in range(1, round(THICKEST_MM / STEP_MM) + 1):
        y = i * STEP_MM * RUN * PX_PER_MM
        long = 4.2 if i % 2 == 0 else 2.6
        width = round((0.34 if i % 2 == 0 else 0.24) * PX_PER_MM)
        draw.line((0, y, long * PX_PER_MM, y), fill=INK, width=width)
        draw.line((size[0] - long * PX_PER_MM, y, size[0], y), fill=INK, width=width)
        if i % 2 == 0:
            # outside its mark, so that the edge never hides the number it stops at
            place = (size[0] / 2, y + 0.2 * PX_PER_MM)
            draw.text(place, f"{i * STEP_MM:.1f}", INK, font=font, anchor="mt", stroke_width=2)
    small = ImageFont.load_default(size=2.4 * PX_PER_MM)
    y = (THICKEST_MM * RUN + HANDLE_MM * 0.5) * PX_PER_MM
    draw.text((size[0] / 2, y), "0.05 mm", INK, font=small, anchor="mm", stroke_width=1)
    return image


def taper(view: View, slid: Slid) -> Fields:
    """The gauge as far as it is seen: outside the edge, which may curve away from its tip."""
    box = slid.bounds
    seen = Bounds(box.u0, box.v0, box.u1, CURVED_MM)
    thing = prop(view, slid.pose, seen, alpha=0.26)
    thing.grain[:] = 0.05
    coat(thing, BLADE)
    shape = Box(0, (box.v0 + box.v1) / 2, HALF_WIDTH, (box.v1 - box.v0) / 2, 1.0)
    block = thing.block(shape.bounds, 1.0)
    d = thing.distance(shape, block)
    thick = F32(slid.reading) - thing.v[block] * F32(1 / RUN)
    thick = np.clip(thick, 0, F32(THICKEST_MM)) + F32(0.12)
    outside = thing.v[block] < CURVED_MM
    thing.height[block] = thick * np.clip(1 - d * F32(1 / WALL_MM), 0, 1) * outside
    thing.solid[block] = thing.cover(d - F32(WALL_MM)) * outside
    # hardly there, but laid: on the two pixels before its foot the blade keeps its finish
    apron = (d < WALL_MM + 2.5 / view.fine_per_mm) & outside
    np.maximum(thing.solid[block], F32(APRON) * apron, out=thing.solid[block])
    print_picture(thing, _inks, shape, gain=(0.62, 0.004))
    return thing
