"""The camera, bench and light of one scene: photograph it, and compare it with its twin."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeAlias

import numpy as np
from PIL import Image, ImageDraw

from media_demo.pictures import benches, nuisance
from media_demo.pictures.arrays import F32, Array, BoolArray, linear
from media_demo.pictures.benches import Bench
from media_demo.pictures.camera import Camera, expose
from media_demo.pictures.facets import Material
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import PartKind, Side, SideName
from media_demo.pictures.lamps import Lamp
from media_demo.pictures.nuisance import Light, Nuisance
from media_demo.pictures.occlusion import lowest_ray
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.plans import Plan
from media_demo.pictures.regions import Polygon, outlines, shape_outline
from media_demo.pictures.renderer import light_of, standing_light
from media_demo.pictures.requests import SpecimenRequest
from media_demo.pictures.resins import RESINS, lot_material
from media_demo.pictures.shapes import Bounds
from media_demo.pictures.stage import BenchLight, set_stage
from media_demo.pictures.truth import Look, changed, luminance, visibility
from media_demo.pictures.view import Pose, View, Window

# what lies over the finished light of a picture (a film), given the part of it in hand
Cover: TypeAlias = Callable[[list[Array], Window], None]

FRAME_MARGIN, RIM = 40, 4
# fine pixels each way in a pixel of a close-up: seen from near one is enough
NEAR_GRID = 1.0
# how far off the sky's horizon is looked for, and how far maps of light are blurred
HORIZON_MM, BLUR_PX = 7.0, 48
# how far to either side of its middle a lamp reaches, seen from the bench
BREADTH_DEG = 30.0
# smaller islands of difference are the shimmer of far-off shadows
SMALLEST_PX = 14


@dataclass(frozen=True)
class Studio:
    """One view with its bench, lamps and camera; every picture of it is lit alike.

    ``bench_lights`` keeps the light on the bare bench from one picture to the next.
    """

    view: View
    drawn: Nuisance
    bench: Bench
    camera: Camera
    material: Material
    bench_lights: dict[Lamp | None, BenchLight] = field(default_factory=dict)

    @property
    def whole(self) -> Window:
        return Window(0, self.view.height, 0, self.view.width)

    def photograph(
        self, fields: Fields, frame: Window | None = None, cover: Cover | None = None
    ) -> Image.Image:
        """Photograph what lies on the bench, or the part of the picture in ``frame``."""
        drawn, view = self.drawn, self.view
        stage = set_stage(fields, self.bench, drawn.room(self.bench.mean), self.material, frame)
        stage.bench_lights = self.bench_lights
        light = light_of(standing_light(stage, drawn.standing), drawn.key, last=True)
        if cover is not None:
            cover(light, stage.frame)
        return expose(light, self.camera, view.width, view.height, stage.frame)

    def frame_of(self, polygons: Sequence[Polygon]) -> Window:
        """The part of the picture round some outlines, with room for their shadows."""
        xs = [x for polygon in polygons for x, _ in polygon]
        ys = [y for polygon in polygons for _, y in polygon]
        window = Window(int(min(ys)), int(max(ys)) + 1, int(min(xs)), int(max(xs)) + 1)
        # whole cells of the fine grid, whatever the supersampling
        return window.grown(FRAME_MARGIN).aligned(32).clipped(self.whole)

    def frames_of(self, polygons: Sequence[Polygon]) -> list[Window]:
        """A part of the picture round each outline that it shows; one where that is less."""
        frames: list[Window] = []
        for polygon in polygons:
            frame = self.frame_of([polygon])
            while near := [f for f in frames if area(hull(f, frame)) <= area(f) + area(frame)]:
                frames.remove(near[0])
                frame = hull(frame, near[0])
            if area(frame):
                frames.append(frame)
        return frames

    def ground_of(self, frame: Window, tallest: float) -> Window:
        """The ground a frame shows, with what may cast a shadow into it."""
        view = self.view
        down = round(view.look_at[2] * view.rows_per_mm_up)
        up = round(tallest * view.rows_per_mm_up) + 4
        seen = view.to_fine_window(frame)
        left = right = above = below = HORIZON_MM * view.fine_per_mm + BLUR_PX
        for lamp in (self.drawn.key, *self.drawn.standing):
            # only what stands towards a lamp casts its shadow here
            reach = tallest / math.tan(lowest_ray(lamp)) * view.fine_per_mm + BLUR_PX
            for turn in (-BREADTH_DEG, 0.0, BREADTH_DEG):
                azimuth = math.radians(lamp.azimuth_deg + turn)
                x, y = reach * math.cos(azimuth), reach * math.sin(azimuth)
                left, right = max(left, -x), max(right, x)
                above, below = max(above, y), max(below, -y)
        ground = Window(
            seen.row0 - down - math.ceil(above),
            seen.row1 - down + up + math.ceil(below),
            seen.col0 - math.ceil(left),
            seen.col1 + math.ceil(right),
        )
        return ground.aligned(view.alignment)

    def compare(
        self, picture: Image.Image, twins: Mapping[Window, Image.Image], marks: Sequence[Polygon]
    ) -> Look:
        """Where a picture differs from its twin (of some frames alone), and how plainly."""
        around = hull(*twins)
        made = luminance(picture.crop((around.col0, around.row0, around.col1, around.row1)))
        clean = made.copy()
        for frame, twin in twins.items():
            # at the rim of a frame the blur of the lens has nothing to draw on
            inner = frame.grown(-RIM)
            clean[inner.slices_in(around)] = luminance(twin)[inner.slices_in(frame)]
        drawn, differs = drawn_mask(marks, around), changed(made, clean)
        region = outlines(drawn | differs, x0=around.col0, y0=around.row0, smallest=SMALLEST_PX)
        index = visibility(made, clean, drawn | differs)
        return Look(region, self.view.px_per_mm, index, 0)


def area(window: Window) -> int:
    """The pixels of a window."""
    rows, cols = window.shape
    return rows * cols


def hull(*windows: Window) -> Window:
    """The smallest window that holds some others."""
    return Window(
        min(w.row0 for w in windows),
        max(w.row1 for w in windows),
        min(w.col0 for w in windows),
        max(w.col1 for w in windows),
    )


def drawn_mask(polygons: Sequence[Polygon], frame: Window) -> BoolArray:
    """Outlines filled, over a part of the picture."""
    rows, cols = frame.shape
    image = Image.new("1", (cols, rows))
    draw = ImageDraw.Draw(image)
    for polygon in polygons:
        draw.polygon([(x - frame.col0, y - frame.row0) for x, y in polygon], fill=1, outline=1)
    return np.asarray(image, np.bool_).copy()


def open_studio(
    request: SpecimenRequest, view: View, drawn: Nuisance, *, lit_by: str | None = None
) -> Studio:
    """Lay the bench and meter the camera on the resin (or on ``lit_by``, another resin)."""
    resin = RESINS[request.resin]
    metered = RESINS[lit_by] if lit_by else resin
    bench = benches.lay(drawn.bench, view, np.random.default_rng(drawn.bench_seed))
    camera = drawn.exposed(linear(metered.colour), bench.mean)
    material = lot_material(resin, np.random.default_rng(drawn.colour_seed))
    return Studio(view, drawn, bench, camera, material)


def draw_nuisance(request: SpecimenRequest, light: Light | None = None) -> Nuisance:
    """The nuisance of a scene; the request may pin its bench and light."""
    drawn = nuisance.draw(request.seed, request.light or light)
    return replace(drawn, bench=request.bench) if request.bench else drawn


def mark_stream(request: SpecimenRequest, number: int = 3) -> np.random.Generator:
    """The stream that draws what is wrong, apart from pose, bench and light."""
    seed = request.seed if request.mark_seed is None else request.mark_seed
    return np.random.default_rng([seed, number])


def asked(request: SpecimenRequest, usual: float) -> float:
    """How much is to be wrong: nothing where the request names no family."""
    if request.family is None:
        return 0.0
    return usual if request.severity is None else request.severity


def kind_of(request: SpecimenRequest) -> PartKind:
    """The part kind of a request; ValueError names those there are."""
    if request.part not in KINDS:
        known = ", ".join(sorted(KINDS))
        raise ValueError(f"unknown part kind {request.part!r}; one of {known}")
    if request.resin not in RESINS:
        known = ", ".join(sorted(RESINS))
        raise ValueError(f"unknown resin {request.resin!r}; one of {known}")
    return KINDS[request.part]


def side_of(kind: PartKind, name: SideName) -> Side:
    """A side of a part kind, the front where it has no such side."""
    return kind.sides.get(name) or kind.sides["front"]


def pose_at(
    bounds: Bounds, x: float, y: float, turn_deg: float = 0.0, *, mirrored: bool = False
) -> Pose:
    """The pose that brings the middle of a box to a place of the bench."""
    u = (bounds.u0 + bounds.u1) / 2 * (-1 if mirrored else 1)
    v = (bounds.v0 + bounds.v1) / 2
    a = np.radians(turn_deg)
    c, s = float(np.cos(a)), float(np.sin(a))
    return Pose(turn_deg, x - (c * u - s * v), y - (s * u + c * v), mirrored)


def outline_of(view: View, pose: Pose, side: Side, height: float = 0.0) -> Polygon:
    """The outline of a part in the picture, seen at half its height above ``height``."""
    posed = replace(view, pose=pose)
    middle = height + side.tallest / 2
    return tuple(posed.to_picture(u, v, middle) for u, v in shape_outline(side.outline, 1.0))


def bench_fields(
    view: View,
    tallest: float,
    margin_mm: float = 4.0,
    within: Window | None = None,
    pose: Pose | None = None,
) -> Fields:
    """Bare fields over all the ground (or some of it) that a picture shows.

    In world axes, or in those of one large thing that is made on them before all others.
    """
    margin = round(margin_mm * view.fine_per_mm)
    down = round(view.look_at[2] * view.rows_per_mm_up)
    up = round(max(tallest - view.look_at[2], 0) * view.rows_per_mm_up) + 4
    reach = Window(
        -margin - down, view.fine_height + margin + up, -margin, view.fine_width + margin
    )
    window = reach.aligned(view.alignment)
    if within is not None:
        window = window.clipped(within.aligned(view.alignment))
    return Fields.empty(replace(view, pose=pose or Pose()), window, 0.4)


def in_world_axes(fields: Fields) -> None:
    """Go on in world axes, once a thing without slopes of its own is made in other ones."""
    fields.view = replace(fields.view, pose=Pose())
    fields.u, fields.v = fields.view.part_of(fields.window)


def flat(fields: Fields, height: float) -> Array:
    """A height all over the fields."""
    return np.full(fields.window.shape, height, F32)


def fitted(
    plan: Plan,
    corners: Sequence[tuple[float, float]],
    tilt_deg: float,
    size: tuple[int, int],
    *,
    rise: float = 0.0,
    largest: float = 9.0,
) -> View:
    """A view in which some points of the part's plane, ``rise`` mm up, fill the picture."""
    mirrored = plan.kind.handed and plan.request.hand == "right"
    drawn = plan.nuisance
    pose = Pose(drawn.turn_deg, 0, 0, mirrored)
    view = View(*size, 4.0, tilt_deg, pose)
    points = [view.world(u, v) for u, v in corners]
    x0, x1 = min(p[0] for p in points), max(p[0] for p in points)
    y0, y1 = min(p[1] for p in points), max(p[1] for p in points)
    c, s = float(np.cos(view.tilt)), float(np.sin(view.tilt))
    scale = min(size[0] * 0.86 / (x1 - x0), size[1] * 0.88 / ((y1 - y0) * c + rise * s), largest)
    scale = int(scale * 4) / 4
    loose = 0.010 * size[0] / scale
    middle = (x0 + x1) / 2, (y0 + y1) / 2 + rise * s / c / 2
    return View(
        *size,
        scale,
        tilt_deg,
        Pose(
            drawn.turn_deg,
            drawn.x_mm * loose - middle[0],
            drawn.y_mm * loose - middle[1],
            mirrored,
        ),
    )
