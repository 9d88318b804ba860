"""Light a part on a bench and photograph it, once or over a sweep of the lamp."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PIL import Image
from scipy import ndimage

from media_demo.pictures.arrays import F32, Array
from media_demo.pictures.bench_light import lamp_on_bench, room_on_bench
from media_demo.pictures.camera import Camera, expose
from media_demo.pictures.grids import shrink, strips
from media_demo.pictures.lamps import Lamp
from media_demo.pictures.occlusion import lamp_share, open_sky
from media_demo.pictures.projection import Surface
from media_demo.pictures.shading import add_lamp, lit_by_room
from media_demo.pictures.stage import Stage


@dataclass
class Scene:
    """A stage under its standing lights: colours of the plastic and of the bench."""

    stage: Stage
    plastic: list[Array]
    ground: list[Array]


def standing_light(stage: Stage, lamps: tuple[Lamp, ...]) -> Scene:
    """Light a stage with the room and the lamps that do not move."""
    room = stage.room
    sky, bench_sky = open_sky(stage)
    plastic = lit_by_room(stage.surface, stage.facets, room, sky)
    light, albedo = room_on_bench(stage), [stage.part_of_picture(a) for a in stage.bench.albedo]
    falling, mirrored = (stage.part_of_picture(a) for a in (light.falling, light.mirrored))
    ground = [np.empty(stage.frame.shape, F32) for _ in range(3)]
    for rows in strips(stage.frame.shape[0]):
        seen = bench_sky[rows]
        shine = mirrored[rows] * (F32(0.25) + F32(0.75) * seen)
        fall = falling[rows] * seen
        for c in range(3):
            lit = np.multiply(albedo[c][rows], fall, out=ground[c][rows])
            lit += shine
            lit *= F32(room.tone[c])
    scene = Scene(stage, plastic, ground)
    for lamp in lamps:
        _add(scene, lamp, coarse=2)
    return scene


def _add(scene: Scene, lamp: Lamp, *, coarse: int = 1) -> None:
    stage = scene.stage
    seen, bench_seen = lamp_share(stage, lamp, coarse)
    add_lamp(scene.plastic, stage.surface, stage.facets, lamp, seen)
    light, albedo = (
        lamp_on_bench(stage, lamp),
        [stage.part_of_picture(a) for a in stage.bench.albedo],
    )
    falling, mirrored = (stage.part_of_picture(a) for a in (light.falling, light.mirrored))
    for rows in strips(stage.frame.shape[0]):
        share = bench_seen[rows]
        fall = falling[rows] * share
        shine = mirrored[rows] * (F32(0.12) + F32(0.88) * share)
        for c in range(3):
            lit = albedo[c][rows] * fall
            lit += shine
            lit *= F32(lamp.colour[c])
            scene.ground[c][rows] += lit


def photograph(scene: Scene, keys: Sequence[Lamp], camera: Camera) -> tuple[Image.Image, ...]:
    """Take a picture under each key lamp in turn; uses the scene up."""
    view, frame = scene.stage.view, scene.stage.frame
    return tuple(
        expose(light_of(scene, key, last=i == len(keys)), camera, view.width, view.height, frame)
        for i, key in enumerate(keys, start=1)
    )


def light_of(scene: Scene, key: Lamp, *, last: bool = False) -> list[Array]:
    """The light of the picture under the key lamp, before it is exposed.

    The scene stays as it was, unless this is the last picture taken of it.
    """
    lit = scene
    if not last:
        plastic, ground = ([a.copy() for a in part] for part in (scene.plastic, scene.ground))
        lit = Scene(scene.stage, plastic, ground)
    _add(lit, key)
    return _compose(lit)


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
