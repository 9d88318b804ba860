"""Light a part on a bench and photograph it, once or over a sweep of the lamp."""

import math
from dataclasses import dataclass, field

import numpy as np
from PIL import Image

from media_demo.pictures import facets as facet_tools
from media_demo.pictures.arrays import F32, Array, Rgb
from media_demo.pictures.benches import Bench
from media_demo.pictures.camera import Camera, expose
from media_demo.pictures.facets import Facets, Texture
from media_demo.pictures.fields import Fields
from media_demo.pictures.lamps import Lamp, Room, falling_light, mirrored_lamp, mirrored_room
from media_demo.pictures.projection import Surface, project
from media_demo.pictures.shading import add_lamp, lit_by_room
from media_demo.pictures.shadows import REACH_MM, lamp_visibility, openness, pooled
from media_demo.pictures.view import View, Window

BENCH_STEP = 8
BENCH_SPECULAR = 0.03


@dataclass
class BenchLight:
    """One lamp on the bare bench, over the whole picture."""

    falling: Array
    mirrored: Array


@dataclass
class Stage:
    """A part in place, ready to be lit: everything that no lamp changes."""

    view: View
    fields: Fields
    surface: Surface
    facets: Facets
    bench: Bench
    room: Room
    frame: Window
    bench_lights: dict[Lamp, BenchLight] = field(default_factory=dict)

    def part_of_picture(self, whole: Array) -> Array:
        """The frame's share of a map of the whole picture."""
        f = self.frame
        share: Array = whole[f.row0 : f.row1, f.col0 : f.col1]
        return share


def set_stage(
    fields: Fields,
    bench: Bench,
    room: Room,
    resin: Rgb,
    texture: Texture,
    frame: Window | None = None,
    bench_lights: dict[Lamp, BenchLight] | None = None,
) -> Stage:
    """Find the visible plastic and its properties; softens the fields' height a little.

    ``frame`` limits the work to a part of the picture (in picture pixels).
    """
    view = fields.view
    frame = frame or Window(0, view.height, 0, view.width)
    s = view.supersampling
    fine = Window(frame.row0 * s, frame.row1 * s, frame.col0 * s, frame.col1 * s)
    fields.height = soften(fields.height)
    surface = project(fields, fine)
    facets = facet_tools.build(fields, surface, resin, texture)
    lights = {} if bench_lights is None else bench_lights
    return Stage(view, fields, surface, facets, bench, room, frame, lights)


def soften(height: Array) -> Array:
    """Take the sharpest steps off a height field (3-tap blur both ways)."""
    out = height.copy()
    out[:, 1:-1] = F32(0.6) * height[:, 1:-1] + F32(0.2) * (height[:, :-2] + height[:, 2:])
    done = out.copy()
    done[1:-1] = F32(0.6) * out[1:-1] + F32(0.2) * (out[:-2] + out[2:])
    return done


class _Coarse:
    """A coarse grid around the fields' window, wide enough for shadows to fall on."""

    def __init__(self, fields: Fields, step: int, reach_mm: float, *, peak: bool) -> None:
        view = fields.view
        cell = step
        margin = -(-math.ceil(reach_mm * view.fine_per_mm) // cell) * cell
        room = view.picture.grown(margin)
        self.window = fields.window.aligned(cell).grown(margin).clipped(room.aligned(cell))
        self.step = cell
        inner = fields.window.clipped(self.window)
        height = np.zeros(self.window.shape, F32)
        height[inner.slices_in(self.window)] = fields.height[inner.slices_in(fields.window)]
        self.height = pooled(height, cell, peak=peak)
        self.px_per_mm = view.fine_per_mm / cell

    def at_pixels(self, values: Array, stage: Stage) -> Array:
        """Read a coarse map at every visible pixel of plastic (nearest cell)."""
        fields = stage.fields
        width = fields.window.shape[1]
        ground = stage.surface.ground
        row = (ground // width + (fields.window.row0 - self.window.row0)) // self.step
        col = (ground % width + (fields.window.col0 - self.window.col0)) // self.step
        return values.ravel().take(row * values.shape[1] + col, mode="clip")

    def on_bench(self, values: Array, stage: Stage) -> Array:
        """Lay a coarse map on the bench of the frame, 1 where it does not reach."""
        view, frame = stage.view, stage.frame
        s = view.supersampling
        out = np.ones(frame.shape, F32)
        if s != self.step:
            size = (self.window.shape[1] // s, self.window.shape[0] // s)
            image = Image.fromarray(values).resize(size, Image.Resampling.BILINEAR)
            values = np.asarray(image, F32)
        # the bench lies look_at[2] below the plane that is not shifted
        shift = round(view.look_at[2] * view.rows_per_mm_up / s)
        row0, col0 = self.window.row0 // s + shift, self.window.col0 // s
        place = Window(row0, row0 + values.shape[0], col0, col0 + values.shape[1])
        inner = place.clipped(frame)
        out[inner.slices_in(frame)] = values[inner.slices_in(place)]
        return out


def _bench_geometry(view: View) -> tuple[Array, Array, Array, Array, Array]:
    step = BENCH_STEP * view.supersampling
    X, Y = view.ground_of(view.picture.aligned(step), step)
    drop = view.look_at[2] * view.rows_per_mm_up
    Y = Y + F32(drop / view.fine_per_mm / math.cos(view.tilt))
    Y = np.broadcast_to(Y, X.shape).astype(F32)
    vx = F32(view.look_at[0]) - X
    vy = F32(view.look_at[1] - view.distance_mm * math.sin(view.tilt)) - Y
    vz = np.full_like(vx, view.distance_mm * math.cos(view.tilt))
    length = np.asarray(1 / np.sqrt(vx * vx + vy * vy + vz * vz), F32)
    return X, Y, -vx * length, -vy * length, vz * length


def _enlarge(values: Array, view: View) -> Array:
    size = (values.shape[1] * BENCH_STEP, values.shape[0] * BENCH_STEP)
    image = Image.fromarray(np.ascontiguousarray(values, F32))
    whole: Array = np.asarray(image.resize(size, Image.Resampling.BILINEAR), F32)
    return whole[: view.height, : view.width]


def light_bench(view: View, bench: Bench, lamp: Lamp) -> BenchLight:
    """One lamp on the bare bench (no shadows yet)."""
    X, Y, rx, ry, rz = _bench_geometry(view)
    zero, up = np.zeros_like(X), np.ones_like(X)
    fall = falling_light(lamp, X, Y, zero, zero, zero, up)
    alpha = np.full_like(X, bench.alpha)
    shine = mirrored_lamp(lamp, X, Y, zero, rx, ry, rz, alpha) * F32(BENCH_SPECULAR * 1.3)
    return BenchLight(_enlarge(fall, view), _enlarge(shine, view))


def _sky(stage: Stage) -> tuple[Array, Array]:
    """Open share of the sky on the plastic and on the bench."""
    step = stage.view.supersampling * 2
    grid = _Coarse(stage.fields, step, REACH_MM, peak=False)
    sky = openness(grid.height, grid.px_per_mm)
    return grid.at_pixels(sky, stage), grid.on_bench(sky, stage)


def _lamp_share(stage: Stage, lamp: Lamp) -> tuple[Array, Array]:
    """Unshadowed share of a lamp on the plastic and on the bench."""
    half = math.atan(0.5 * lamp.depth_mm / lamp.distance_mm)
    elevation = math.radians(lamp.elevation_deg)
    low, high = max(0.15, elevation - half), elevation + half
    spread = math.atan(0.35 * lamp.width_mm / lamp.distance_mm)
    tallest = float(stage.fields.height.max()) if stage.fields.height.size else 0.0
    reach = tallest / math.tan(low) + 1
    grid = _Coarse(stage.fields, stage.view.supersampling, reach, peak=True)
    seen = lamp_visibility(
        grid.height, grid.px_per_mm, math.radians(lamp.azimuth_deg), low, high, spread
    )
    return grid.at_pixels(seen, stage), grid.on_bench(seen, stage)


@dataclass
class Scene:
    """A stage under its standing lights; key lamps are added one at a time."""

    stage: Stage
    plastic: list[Array]
    bench_fall: list[Array]
    bench_shine: list[Array]


def _bench_light(stage: Stage, lamp: Lamp) -> BenchLight:
    if lamp not in stage.bench_lights:
        stage.bench_lights[lamp] = light_bench(stage.view, stage.bench, lamp)
    return stage.bench_lights[lamp]


def standing_light(stage: Stage, lamps: tuple[Lamp, ...]) -> Scene:
    """Light a stage with the room and the lamps that do not move."""
    room = stage.room
    sky, bench_sky = _sky(stage)
    plastic = lit_by_room(stage.surface, stage.facets, room, sky)
    _, _, _, _, rz = _bench_geometry(stage.view)
    glow, _ = mirrored_room(room, rz, np.full_like(rz, stage.bench.alpha))
    glow_map = stage.part_of_picture(_enlarge(glow, stage.view))
    glow_map = glow_map * (F32(0.25) + F32(0.75) * bench_sky)
    fall = [bench_sky * F32(room.fill * room.tone[c]) for c in range(3)]
    shine = [glow_map * F32(BENCH_SPECULAR * room.tone[c]) for c in range(3)]
    scene = Scene(stage, plastic, fall, shine)
    for lamp in lamps:
        _add(scene, lamp)
    return scene


def _add(scene: Scene, lamp: Lamp) -> None:
    stage = scene.stage
    seen, bench_seen = _lamp_share(stage, lamp)
    add_lamp(scene.plastic, stage.surface, stage.facets, lamp, seen)
    light = _bench_light(stage, lamp)
    fall = stage.part_of_picture(light.falling) * bench_seen
    shine = stage.part_of_picture(light.mirrored) * (F32(0.12) + F32(0.88) * bench_seen)
    for c in range(3):
        scene.bench_fall[c] += fall * F32(lamp.colour[c])
        scene.bench_shine[c] += shine * F32(lamp.colour[c])


def photograph(scene: Scene, key: Lamp, camera: Camera) -> Image.Image:
    """Add the key lamp and take the picture."""
    lit = Scene(
        scene.stage,
        [a.copy() for a in scene.plastic],
        [a.copy() for a in scene.bench_fall],
        [a.copy() for a in scene.bench_shine],
    )
    _add(lit, key)
    view = scene.stage.view
    return expose(_compose(lit), camera, view.width, view.height, scene.stage.frame)


def _compose(scene: Scene) -> list[Array]:
    """Lay the plastic over the bench at picture resolution."""
    stage = scene.stage
    view, surface = stage.view, stage.surface
    s = view.supersampling
    screen = surface.window
    cover = np.zeros(screen.shape, F32)
    cover.ravel()[surface.pixel] = surface.cover
    place = (
        slice(screen.row0 // s - stage.frame.row0, screen.row1 // s - stage.frame.row0),
        slice(screen.col0 // s - stage.frame.col0, screen.col1 // s - stage.frame.col0),
    )
    shown = _shrink(_blend_rims(cover, surface.rim), s)
    light: list[Array] = []
    for c in range(3):
        albedo = stage.part_of_picture(stage.bench.albedo[..., c])
        ground = albedo * scene.bench_fall[c] + scene.bench_shine[c]
        plate = np.zeros(screen.shape, F32)
        plate.ravel()[surface.pixel] = np.minimum(scene.plastic[c], F32(3.5)) * surface.cover
        ground[place] *= 1 - shown
        ground[place] += _shrink(_blend_rims(plate, surface.rim), s)
        light.append(ground)
    return light


def _blend_rims(plate: Array, rim: Array) -> Array:
    plate[:-1] += (plate[1:] - plate[:-1]) * rim[:-1]
    return plate


def _shrink(plate: Array, step: int) -> Array:
    if step == 1:
        return plate
    if step == 2:
        pairs = plate[0::2] + plate[1::2]
        return (pairs[:, 0::2] + pairs[:, 1::2]) * F32(0.25)
    return pooled(plate, step, peak=False)
