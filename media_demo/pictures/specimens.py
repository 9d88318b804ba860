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

from dataclasses import dataclass

import numpy as np
from PIL import Image

from media_demo.pictures import benches
from media_demo.pictures.arrays import linear
from media_demo.pictures.benches import Bench
from media_demo.pictures.blemishes import Blemish
from media_demo.pictures.fields import Fields
from media_demo.pictures.lamps import Lamp
from media_demo.pictures.marks import Mark
from media_demo.pictures.plans import (
    Plan,
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


def render_specimen(request: SpecimenRequest) -> RenderedSpecimen:
    """Render the pictures of one specimen with their ground truth.

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
    keys = key_lamps(plan)
    whole = shoot(plan, whole_view(plan), keys)
    near = None
    if request.close_up:
        near = shoot(plan, close_view(plan), keys[len(keys) // 2 :][:1])
    mark = (near and near.mark) or whole.mark
    family, site = plan.family, plan.site
    truth = Truth(
        family=request.family,
        severity=mark.severity if mark else 0.0,
        unit=family.unit if family else "",
        requested=plan.severity if family else 0.0,
        zone=site.zone if family and site else None,
        site=site.name if family and site else None,
        whole=whole.look,
        close_up=near.look if near else None,
        seed=request.seed,
        allowed=whole.allowed,
    )
    return RenderedSpecimen(whole.frames, near.frames[0] if near else None, truth)


@dataclass(frozen=True)
class Shot:
    """The pictures of one view and what they show."""

    frames: tuple[Image.Image, ...]
    look: Look
    mark: Mark | None
    allowed: tuple[Blemish, ...]


def shoot(plan: Plan, view: View, keys: list[Lamp]) -> Shot:
    """Photograph the specimen, and its clean twin where the mark is."""
    bench = benches.lay(plan.nuisance.bench, view, plan.bench_rng)
    camera = plan.nuisance.exposed(linear(RESINS[plan.request.resin].colour), bench.mean)
    part, allowed = good_part(plan, view)
    mark = make_mark(plan, part)
    frame = frame_around(part) if mark else None
    clean = part.before(ground_around(part, frame)) if frame and 0 not in frame.shape else None
    scene = lit(plan, part, bench)
    frames = tuple(photograph(scene, key, camera) for key in keys)
    site = plan.site
    scale = view.local_px_per_mm(site.u, site.v, site.height) if site else view.px_per_mm
    nothing = Look((), scale, 0.0, 0)
    if mark is None or clean is None:
        return Shot(frames, nothing, None, allowed)
    twin = lit(plan, clean, bench, frame, scene.stage)
    seen = look(mark, scene.stage, twin, Shots(frames, keys, camera))
    return Shot(frames, seen, mark, allowed)


def make_mark(plan: Plan, part: Fields) -> Mark | None:
    """Make the plan's mark on a good part, which remembers how it was before."""
    if plan.family is None or plan.site is None:
        return None
    part.record()
    return plan.family.make(part, plan.side, plan.site, plan.severity, plan.mark_rng)


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
