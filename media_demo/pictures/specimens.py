"""Render one specimen: the public door of the picture package.

    from media_demo.pictures.requests import SpecimenRequest
    from media_demo.pictures.specimens import render_specimen

    made = render_specimen(
        SpecimenRequest(
            part="fascia", resin="white", seed=7,
            family="black-specks", severity=0.45, close_up=True,
        )
    )
    made.frames[0].save("whole.png")
    made.truth.whole.regions    # outlines of the mark in picture pixels

Everything is picklable: ``ProcessPoolExecutor(2).map(render_specimen, requests)`` renders
on two cores. The same request always gives the same pictures.
``plant_parts.part_for_product`` names the part kind of a product of the demo plant;
``first_piece.render_first_piece`` renders its approved first piece.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image

from media_demo.pictures import benches
from media_demo.pictures.arrays import linear
from media_demo.pictures.benches import Bench
from media_demo.pictures.blemishes import Blemish
from media_demo.pictures.camera import Camera
from media_demo.pictures.fields import Fields
from media_demo.pictures.lamps import Lamp
from media_demo.pictures.made_to_measure import Made, cut_off, make_mark
from media_demo.pictures.marks import Mark
from media_demo.pictures.plans import (
    Plan,
    close_lamp,
    close_view,
    good_part,
    key_lamps,
    make_plan,
    whole_view,
)
from media_demo.pictures.renderer import Scene, photograph, standing_light
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.resins import RESINS, lot_material
from media_demo.pictures.scenes.registry import scene_of
from media_demo.pictures.stage import Stage, set_stage
from media_demo.pictures.truth import Look, Truth
from media_demo.pictures.twins import Shots, frame_around, ground_around, look
from media_demo.pictures.view import View, Window


def render_specimen(
    request: SpecimenRequest, refuse: Callable[[Truth], bool] | None = None
) -> RenderedSpecimen:
    """Render the pictures of one specimen with their ground truth.

    A specimen whose mark can hardly be seen in the close-up may be refused before its whole
    picture is drawn, which costs most: it then comes without pictures. ``refuse`` is asked with
    a truth whose whole look is foreseen; of a mark made elsewhere, which was refused before,
    with a truth whose looks are both foreseen from the surroundings of the mark.

    Raises
    ------
    ValueError
        If the part, resin, family or site is unknown, or the part kind has no place
        where the family can arise.
    """
    scene = scene_of(request)
    if scene is not None:
        return scene(request)
    plan = make_plan(request)
    keys, view = key_lamps(plan), whole_view(plan)
    near = None
    if request.close_up:
        closer, key = close_view(plan), [close_lamp(plan)]
        looks = (foresee, shoot) if request.mark_seed is not None and refuse else (shoot,)
        for at in looks:
            near = at(plan, closer, key)
            plan = replace(plan, drawn=near.drawn)
            if refuse is not None and near.mark is not None:
                seen = near.look if near.look.visible else foresee(plan, view, keys).look
                foreseen = _truth(plan, near.mark, seen, near.look)
                if refuse(foreseen):
                    return RenderedSpecimen((), None, foreseen)
    whole = shoot(plan, view, keys)
    # what the close-up cuts off is measured where all of it shows
    mark = whole.mark
    if near is not None and near.mark is not None and not (near.cut_off and mark):
        mark = near.mark
    truth = _truth(plan, mark, whole.look, near.look if near else None)
    truth = replace(truth, allowed=whole.allowed)
    return RenderedSpecimen(whole.frames, near.frames[0] if near else None, truth)


def _truth(plan: Plan, mark: Mark | None, whole: Look, near: Look | None) -> Truth:
    family, site = plan.family, plan.site
    return Truth(
        family=plan.request.family,
        severity=mark.severity if mark else 0.0,
        unit=family.unit if family else "",
        requested=plan.severity if family else 0.0,
        zone=site.zone if family and site else None,
        site=site.name if family and site else None,
        whole=whole,
        close_up=near,
        seed=plan.request.seed,
    )


@dataclass(frozen=True)
class Shot:
    """The pictures of one view and what they show.

    ``drawn`` is what the family was asked for to make the mark.
    """

    frames: tuple[Image.Image, ...]
    look: Look
    mark: Mark | None
    allowed: tuple[Blemish, ...]
    drawn: float | None = None
    cut_off: bool = False


@dataclass(frozen=True)
class _Made:
    """The part of one view with its mark on it, and how it was before where the mark is.

    Without a mark, or where the picture does not reach it, there is no frame and no clean twin.
    """

    bench: Bench
    camera: Camera
    part: Fields
    made: Made | None
    frame: Window | None
    clean: Fields | None
    allowed: tuple[Blemish, ...]

    @property
    def mark(self) -> Mark | None:
        return self.made.mark if self.made else None

    def shot(self, frames: tuple[Image.Image, ...], look: Look) -> Shot:
        if self.made is None or self.clean is None:
            return Shot(frames, look, None, self.allowed, self.made.drawn if self.made else None)
        mark, drawn = self.made.mark, self.made.drawn
        return Shot(frames, look, mark, self.allowed, drawn, cut_off(mark, self.part))


def shoot(plan: Plan, view: View, keys: list[Lamp]) -> Shot:
    """Photograph the specimen, and its clean twin where the mark is."""
    made = _make(plan, view)
    scene = lit(plan, made.part, made.bench)
    frames = photograph(scene, keys, made.camera)
    seen = _compared(plan, made, scene, Shots(frames, keys, made.camera))
    return made.shot(frames, seen)


def foresee(plan: Plan, view: View, keys: list[Lamp]) -> Shot:
    """What the pictures of a view will show, from the surroundings of the mark alone."""
    made = _make(plan, view)
    if made.clean is None:
        return made.shot((), Look((), view.px_per_mm, 0.0, 0))
    scene = lit(plan, made.part, made.bench, made.frame)
    frames = photograph(scene, keys, made.camera)
    return made.shot(frames, _compared(plan, made, scene, Shots(frames, keys, made.camera)))


def _make(plan: Plan, view: View) -> _Made:
    bench = benches.lay(plan.nuisance.bench, view, plan.bench_rng)
    camera = plan.nuisance.exposed(linear(RESINS[plan.request.resin].colour), bench.mean)
    part, allowed = good_part(plan, view)
    made = make_mark(plan, part)
    frame = frame_around(part) if made else None
    if frame is None or 0 in frame.shape:
        return _Made(bench, camera, part, made, None, None, allowed)
    clean = part.before(ground_around(part, frame))
    return _Made(bench, camera, part, made, frame, clean, allowed)


def _compared(plan: Plan, made: _Made, scene: Scene, shots: Shots) -> Look:
    """What the pictures show that the clean twin's do not."""
    view, site = scene.stage.view, plan.site
    if made.mark is None or made.clean is None:
        scale = view.local_px_per_mm(site.u, site.v, site.height) if site else view.px_per_mm
        return Look((), scale, 0.0, 0)
    twin = lit(plan, made.clean, made.bench, made.frame, scene.stage)
    return look(made.mark, scene.stage, twin, shots)


def lit(
    plan: Plan,
    fields: Fields,
    bench: Bench,
    frame: Window | None = None,
    like: Stage | None = None,
) -> Scene:
    """Set the stage and switch on the standing lights; ``like`` shares its bench light."""
    resin = RESINS[plan.request.resin]
    drawn = plan.nuisance
    stage = set_stage(
        fields,
        bench,
        drawn.room(bench.mean),
        lot_material(resin, np.random.default_rng(drawn.colour_seed)),
        frame,
    )
    if like is not None:
        stage.bench_lights = like.bench_lights
    return standing_light(stage, drawn.standing)
