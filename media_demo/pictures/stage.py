"""A part in place on its bench, ready to be lit."""

from dataclasses import dataclass, field

from media_demo.pictures import facets as facet_tools
from media_demo.pictures.arrays import F32, Array
from media_demo.pictures.benches import Bench
from media_demo.pictures.facets import Facets, Material
from media_demo.pictures.fields import Fields
from media_demo.pictures.lamps import Lamp, Room
from media_demo.pictures.projection import Surface, project
from media_demo.pictures.view import View, Window


@dataclass
class BenchLight:
    """One source of light on the bare bench, over the whole picture."""

    falling: Array
    mirrored: Array


@dataclass
class Stage:
    """Everything that no lamp changes.

    ``bench_lights`` keeps each lamp's light on the bare bench (the room's under None);
    stages of the same bench and view may share it.
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

    def part_of_picture(self, whole: Array) -> Array:
        """The frame's share of a map of the whole picture."""
        f = self.frame
        share: Array = whole[f.row0 : f.row1, f.col0 : f.col1]
        return share


def set_stage(
    fields: Fields, bench: Bench, room: Room, material: Material, frame: Window | None = None
) -> Stage:
    """Find the visible plastic and its properties; softens the fields' height a little.

    ``frame`` limits the work to a part of the picture (in picture pixels).
    """
    view = fields.view
    frame = frame or Window(0, view.height, 0, view.width)
    fields.height = soften(fields.height)
    surface = project(fields, view.to_fine_window(frame))
    facets = facet_tools.build(fields, surface, material)
    surface.forget_hits()
    return Stage(view, fields.bare_relief(), surface, facets, bench, room, frame, material.clarity)


def soften(height: Array) -> Array:
    """Take the sharpest steps off a height field (3-tap blur both ways)."""
    out = height.copy()
    out[:, 1:-1] = F32(0.6) * height[:, 1:-1] + F32(0.2) * (height[:, :-2] + height[:, 2:])
    done = out.copy()
    done[1:-1] = F32(0.6) * out[1:-1] + F32(0.2) * (out[:-2] + out[2:])
    return done
