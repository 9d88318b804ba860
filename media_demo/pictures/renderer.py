"""Light a part on a bench and photograph it, once or over a sweep of the lamp."""

import math
from dataclasses import dataclass, field

import numpy as np
from PIL import Image
from scipy import ndimage

from media_demo.pictures import facets as facet_tools
from media_demo.pictures.arrays import F32, Array
from media_demo.pictures.benches import Bench
from media_demo.pictures.camera import Camera, expose
from media_demo.pictures.facets import Facets, Material
from media_demo.pictures.fields import Fields
from media_demo.pictures.lamps import (
    Lamp,
    Room,
    Triple,
    falling_light,
    mirrored_lamp,
    mirrored_room,
)
from media_demo.pictures.projection import Surface, project
from media_demo.pictures.shading import add_lamp, lit_by_room
from media_demo.pictures.shadows import REACH_MM, Span, lamp_visibility, openness, pooled
from media_demo.pictures.view import View, Window

BENCH_STEP = 8
SHADOW_CELL_MM = 0.2
NEAREST_STEP = 2
BENCH_SPECULAR = 0.03
FILM_SHADE, FILM_SHADE_MM = 0.7, 0.8


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
    clarity: float = 0.0
    bench_lights: dict[Lamp, BenchLight] = field(default_factory=dict)

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
    return Stage(view, fields, surface, facets, bench, room, frame, material.clarity)


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
        unit = view.alignment
        margin = -(-math.ceil(reach_mm * view.fine_per_mm) // unit) * unit
        room = view.picture.grown(margin).aligned(unit)
        self.window = fields.window.aligned(unit).grown(margin).clipped(room)
        self.step = step
        inner = fields.window.clipped(self.window)
        height = np.zeros(self.window.shape, F32)
        top = fields.height
        if fields.sheet is not None:
            top = np.where(fields.sheet.cover > F32(0.5), fields.sheet.height, top)
        height[inner.slices_in(self.window)] = top[inner.slices_in(fields.window)]
        self.height = pooled(height, step, peak=peak)
        self.px_per_mm = view.fine_per_mm / step
        self.under: Array | None = None
        if fields.sheet is not None:
            cover = np.zeros(self.window.shape, F32)
            cover[inner.slices_in(self.window)] = fields.sheet.cover[inner.slices_in(fields.window)]
            shade = pooled(cover, step, peak=False)
            self.under = ndimage.gaussian_filter(shade, FILM_SHADE_MM * self.px_per_mm)

    def at_pixels(self, values: Array, stage: Stage) -> Array:
        """Read a coarse map at every visible pixel of plastic."""
        surface, fields = stage.surface, stage.fields
        bits = self.step.bit_length() - 1
        if self.step > NEAREST_STEP:
            values, bits = self._refined(values), 0
        cell = (surface.row + (fields.window.row0 - self.window.row0)) >> bits
        cell *= values.shape[1]
        cell += (surface.col + (fields.window.col0 - self.window.col0)) >> bits
        found: Array = values.ravel().take(cell)
        if self.under is not None and surface.film is not None:
            # a film is seen from above, what lies under it is in its shade
            under = self.under if bits else self._refined(self.under)
            shade = 1 - F32(FILM_SHADE) * under.ravel().take(cell)
            found = np.where(surface.film, F32(0.45) + F32(0.55) * found, found * shade)
        return found

    def _refined(self, values: Array) -> Array:
        """A coarse map drawn out to fine pixels."""
        size = (values.shape[1] * self.step, values.shape[0] * self.step)
        image = Image.fromarray(np.ascontiguousarray(values))
        return np.asarray(image.resize(size, Image.Resampling.BILINEAR), F32)

    def on_bench(self, values: Array, stage: Stage) -> Array:
        """Lay a coarse map on the bench of the frame, 1 where it does not reach."""
        view, frame = stage.view, stage.frame
        out = np.ones(frame.shape, F32)
        if self.under is not None:
            values = values * (1 - F32(FILM_SHADE) * self.under)
        place = view.to_frame(self.window)
        if place.shape != values.shape:
            image = Image.fromarray(values)
            values = np.asarray(
                image.resize((place.shape[1], place.shape[0]), Image.Resampling.BILINEAR), F32
            )
        # the bench lies look_at[2] below the plane that is not shifted
        shift = round(view.look_at[2] * view.rows_per_mm_up / view.supersampling)
        place = Window(place.row0 + shift, place.row1 + shift, place.col0, place.col1)
        inner = place.clipped(frame)
        out[inner.slices_in(frame)] = values[inner.slices_in(place)]
        return out


def _bench_geometry(view: View) -> tuple[Array, Array, Array, Array, Array]:
    step = int(BENCH_STEP * view.supersampling)
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
    at = Triple(X, Y, zero)
    fall = falling_light(lamp, at, Triple(zero, zero, up))
    alpha = np.full_like(X, bench.alpha)
    shine = mirrored_lamp(lamp, at, Triple(rx, ry, rz), alpha) * F32(BENCH_SPECULAR * 1.3)
    return BenchLight(_enlarge(fall, view), _enlarge(shine, view))


def _cell(view: View) -> int:
    """Fine pixels of a coarse cell, a power of two: a picture pixel or a fifth of a mm."""
    wide = max(view.supersampling, SHADOW_CELL_MM * view.fine_per_mm)
    return min(int(2 ** math.ceil(math.log2(wide) - 0.5)), 8)


def _sky(stage: Stage) -> tuple[Array, Array]:
    """Open share of the sky on the plastic and on the bench."""
    grid = _Coarse(stage.fields, _cell(stage.view) * 2, REACH_MM, peak=False)
    sky = openness(grid.height, grid.px_per_mm)
    return grid.at_pixels(sky, stage), _through(grid.on_bench(sky, stage), stage.clarity)


def _lamp_share(stage: Stage, lamp: Lamp, coarse: int) -> tuple[Array, Array]:
    """Unshadowed share of a lamp on the plastic and on the bench."""
    half = math.atan(0.5 * lamp.depth_mm / lamp.distance_mm)
    elevation = math.radians(lamp.elevation_deg)
    low, high = max(0.15, elevation - half), elevation + half
    spread = math.atan(0.35 * lamp.width_mm / lamp.distance_mm)
    tallest = float(stage.fields.height.max()) if stage.fields.height.size else 0.0
    reach = tallest / math.tan(low) + 1
    grid = _Coarse(stage.fields, _cell(stage.view) * coarse, reach, peak=True)
    azimuth = math.radians(lamp.azimuth_deg)
    seen = lamp_visibility(grid.height, grid.px_per_mm, Span(azimuth, spread, low, high))
    return grid.at_pixels(seen, stage), _through(grid.on_bench(seen, stage), stage.clarity)


def _through(seen: Array, clarity: float) -> Array:
    """Lighten the shadow of a clear part."""
    if clarity:
        seen *= F32(1 - 0.7 * clarity)
        seen += F32(0.7 * clarity)
    return seen


@dataclass
class Scene:
    """A stage under its standing lights: colours of the plastic and of the bench."""

    stage: Stage
    plastic: list[Array]
    ground: list[Array]


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
    glow *= F32(BENCH_SPECULAR)
    shine = stage.part_of_picture(_enlarge(glow, stage.view))
    shine = shine * (F32(0.25) + F32(0.75) * bench_sky)
    ground = []
    for c in range(3):
        light = stage.part_of_picture(stage.bench.albedo[c]) * bench_sky
        light *= F32(room.fill)
        light += shine
        light *= F32(room.tone[c])
        ground.append(light)
    scene = Scene(stage, plastic, ground)
    for lamp in lamps:
        _add(scene, lamp, coarse=2)
    return scene


def _add(scene: Scene, lamp: Lamp, *, coarse: int = 1) -> None:
    stage = scene.stage
    seen, bench_seen = _lamp_share(stage, lamp, coarse)
    add_lamp(scene.plastic, stage.surface, stage.facets, lamp, seen)
    light = _bench_light(stage, lamp)
    fall = stage.part_of_picture(light.falling) * bench_seen
    bench_seen *= F32(0.88)
    bench_seen += F32(0.12)
    bench_seen *= stage.part_of_picture(light.mirrored)
    for c in range(3):
        lit = stage.part_of_picture(stage.bench.albedo[c]) * fall
        lit += bench_seen
        lit *= F32(lamp.colour[c])
        scene.ground[c] += lit


def photograph(scene: Scene, key: Lamp, camera: Camera) -> Image.Image:
    """Add the key lamp and take the picture; the scene stays as it was."""
    lit = Scene(scene.stage, [a.copy() for a in scene.plastic], [a.copy() for a in scene.ground])
    _add(lit, key)
    view = scene.stage.view
    return expose(_compose(lit), camera, view.width, view.height, scene.stage.frame)


def _compose(scene: Scene) -> list[Array]:
    """Lay the plastic over the bench at picture resolution."""
    stage = scene.stage
    view, surface = stage.view, stage.surface
    place = view.to_frame(surface.window).slices_in(stage.frame)
    share = view.supersampling
    bare = 1 - shrink(_plate(surface, surface.cover), share)
    bent = _bent(stage) if stage.clarity else None
    lit = None if surface.gap is None else 1 - shrink(surface.gap, share) * F32(0.86)
    for c in range(3):
        colour = np.minimum(scene.plastic[c], F32(3.5))
        colour *= surface.cover
        patch = scene.ground[c][place]
        behind = None if bent is None else _look_through(stage, patch, bent, c)
        if lit is not None:
            patch *= lit
        patch *= bare
        patch += shrink(_plate(surface, colour), share)
        if behind is not None:
            patch += behind
    return scene.ground


def _bent(stage: Stage) -> Array:
    """Where each pixel of a clear part looks: (row, column) in the surface's window."""
    surface, facets, view = stage.surface, stage.facets, stage.view
    # refraction shifts the view by about thickness times slope times (1 - 1/n)
    shift = surface.height * F32(0.33 * view.px_per_mm)
    down = shrink(_plate(surface, facets.ny * shift), view.supersampling)
    right = shrink(_plate(surface, -facets.nx * shift), view.supersampling)
    rows, cols = np.indices(down.shape, dtype=F32)
    return np.stack((rows + np.clip(down, -40, 40), cols + np.clip(right, -40, 40)))


def _look_through(stage: Stage, patch: Array, bent: Array, channel: int) -> Array:
    surface, passing = stage.surface, stage.facets.passing
    if passing is None:
        return np.zeros_like(patch)
    seen: Array = ndimage.map_coordinates(patch, bent, order=1, mode="nearest")
    light = passing[channel] * surface.cover
    seen *= shrink(_plate(surface, light), stage.view.supersampling)
    return seen


def _plate(surface: Surface, values: Array) -> Array:
    """Spread flat values over the surface's window and soften its silhouettes."""
    plate = np.zeros(surface.window.shape, F32)
    flat = plate.ravel()
    flat[surface.pixel] = values
    edge, share = surface.rim
    below = flat.take(edge + plate.shape[1])
    above = flat.take(edge)
    flat[edge] = above + (below - above) * share
    return plate


def shrink(plate: Array, share: float) -> Array:
    """Average fine pixels into picture pixels (1, 1.5 or 2 fine pixels each way)."""
    if share == 1:
        return plate
    if share == 1.5:
        rows = np.empty((plate.shape[0] // 3 * 2, plate.shape[1]), F32)
        _three_to_two(plate, rows)
        out = np.empty((rows.shape[0], rows.shape[1] // 3 * 2), F32)
        _three_to_two(rows.T, out.T)
        return out
    return pooled(plate, int(share), peak=False)


def _three_to_two(plate: Array, out: Array) -> None:
    half = plate[1::3] * F32(1 / 3)
    np.multiply(plate[0::3], F32(2 / 3), out=out[0::2])
    np.multiply(plate[2::3], F32(2 / 3), out=out[1::2])
    out[0::2] += half
    out[1::2] += half
