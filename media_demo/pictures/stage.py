"""A part in place on its bench, ready to be lit."""

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from media_demo.pictures import facets as facet_tools
from media_demo.pictures.arrays import F32, Array
from media_demo.pictures.benches import Bench
from media_demo.pictures.facets import Facets, Material
from media_demo.pictures.fields import Fields
from media_demo.pictures.lamps import Lamp, Room
from media_demo.pictures.projection import Surface, project
from media_demo.pictures.view import View, Window

STRIP = 64


@dataclass
class BenchLight:
    """One source of light on the bare bench, over the whole picture."""

    falling: Array
    mirrored: Array


@dataclass
class Stage:
    """Everything that no lamp changes.

    ``bench_lights`` keeps each lamp's light on the bare bench (the room's under None);
    stages of the same bench and view may share it. ``cells`` keeps where every visible pixel
    lies on the coarse maps of shadows.
    """

    view: View
    fields: Fields
    surface: Surface
    facets: Facets
    bench: Bench
    room: Room
    frame: Window
    clarity: float = 0.0
    bench_lights: dict[Lamp | None, BenchLight] = field(default_factory=dict)
    cells: dict[tuple[Window, int], npt.NDArray[np.int32]] = field(default_factory=dict)

    def part_of_picture(self, whole: Array) -> Array:
        """The frame's share of a map of the whole picture."""
        f = self.frame
        share: Array = whole[f.row0 : f.row1, f.col0 : f.col1]
        return share


def set_stage(
    fields: Fields, bench: Bench, room: Room, material: Material, frame: Window | None = None
) -> Stage:
    """Find the visible plastic and its properties.

    Uses the fields up: of them only the height stays, a little softened.
    ``frame`` limits the work to a part of the picture (in picture pixels).
    """
    view = fields.view
    frame = frame or Window(0, view.height, 0, view.width)
    fields.height = soften(fields.height)
    # of a whole picture every layer is large: each goes as soon as nothing needs it any more
    fields.forget("u", "v")
    surface = project(fields, view.to_fine_window(frame))
    fields.forget("solid")
    facets = facet_tools.build(fields, surface, material)
    surface.forget_hits()
    fields.forget_surface()
    return Stage(view, fields, surface, facets, bench, room, frame, material.clarity)


def soften(height: Array) -> Array:
    """Take the sharpest steps off a height field (3-tap blur both ways), a strip at a time."""
    rows = len(height)
    done = np.empty_like(height)
    for y in range(0, rows, STRIP):
        end = min(y + STRIP, rows)
        # with a row above and below for the blur along the columns, where there is one
        top, low = max(y - 1, 0), min(end + 1, rows)
        strip = height[top:low]
        across = strip.copy()
        across[:, 1:-1] = F32(0.6) * strip[:, 1:-1] + F32(0.2) * (strip[:, :-2] + strip[:, 2:])
        done[y:end] = across[y - top : end - top]
        first, last = max(y, 1), min(end, rows - 1)
        if first < last:
            a, b = first - top, last - top
            done[first:last] = F32(0.6) * across[a:b] + F32(0.2) * (
                across[a - 1 : b - 1] + across[a + 1 : b + 1]
            )
    return done
