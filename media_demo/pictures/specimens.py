"""Render one specimen: the public door of the picture package.

Call ``render_specimen(SpecimenRequest(part="fascia", resin="white", seed=7,
family="black-specks", severity=0.45, close_up=True))``. Everything is picklable, so a
``ProcessPoolExecutor`` with ``render_specimen`` as its function renders on several cores.
The same request always gives the same pictures. ``part_for_product`` in
``media_demo.pictures.plant_parts`` names the part kind of a product of the demo plant.
"""

from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from PIL import Image

from media_demo.pictures import benches, nuisance
from media_demo.pictures.arrays import BoolArray
from media_demo.pictures.families import FAMILIES, Family
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import PartKind, Side, SideName, Site
from media_demo.pictures.lamps import Lamp
from media_demo.pictures.marks import Mark
from media_demo.pictures.nuisance import Light, Nuisance
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.regions import outlines
from media_demo.pictures.renderer import Stage, photograph, set_stage, standing_light
from media_demo.pictures.resins import RESINS, lot_colour
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.truth import Look, Truth, changed, difference, luminance, visibility
from media_demo.pictures.view import Pose, View, Window

T = TypeVar("T")

WIDTH, HEIGHT = 1200, 900
TILT_DEG = 17.0
SWEEP_DEG = 2.5
FILL = 0.86


@dataclass(frozen=True)
class SpecimenRequest:
    """What to render.

    ``severity`` is in the family's unit (``FAMILIES[slug].unit``); the made mark is
    measured and may differ a little. ``zone`` or ``site`` (a site name) pin the place;
    otherwise the seed draws one. ``frames`` is 1, or 9 for a sweep of the key lamp in
    steps of 2.5 degrees. ``close_up`` adds a second picture at ``close_up_px_per_mm``
    around the mark (around a plausible place when the part is clean).
    """

    part: str
    resin: str
    seed: int
    hand: str | None = None
    side: SideName | None = None
    family: str | None = None
    severity: float | None = None
    zone: str | None = None
    site: str | None = None
    frames: int = 1
    close_up: bool = False
    close_up_px_per_mm: float = 15.0
    light: Light | None = None
    tilt_deg: float = TILT_DEG


@dataclass(frozen=True)
class RenderedSpecimen:
    """The pictures of a specimen and what they truly show."""

    frames: tuple[Image.Image, ...]
    close_up: Image.Image | None
    truth: Truth


@dataclass(frozen=True)
class _Plan:
    """A request with everything drawn that the seed decides."""

    request: SpecimenRequest
    kind: PartKind
    side: Side
    family: Family | None
    site: Site | None
    nuisance: Nuisance
    severity: float


def render_specimen(request: SpecimenRequest) -> RenderedSpecimen:
    """Render the pictures of one specimen with their ground truth.

    Raises
    ------
    ValueError
        If the part, resin, family or site is unknown, or the part kind has no place
        where the family can arise.
    """
    plan = _plan(request)
    keys = _key_lamps(plan)
    frames, whole, severity = _shoot(plan, whole_view(plan), keys)
    close_up, near = None, None
    if request.close_up:
        pictures, near, severity = _shoot(plan, _close_view(plan), keys[len(keys) // 2 :][:1])
        close_up = pictures[0]
    family = plan.family
    truth = Truth(
        family=request.family,
        severity=severity,
        unit=family.unit if family else "",
        requested=plan.severity if family else 0.0,
        zone=plan.site.zone if family and plan.site else None,
        site=plan.site.name if family and plan.site else None,
        whole=whole,
        close_up=near,
        seed=request.seed,
    )
    return RenderedSpecimen(frames, close_up, truth)


def _plan(request: SpecimenRequest) -> _Plan:
    kind = _named(KINDS, request.part, "part kind")
    _named(RESINS, request.resin, "resin")
    if kind.handed and request.hand not in ("left", "right"):
        raise ValueError(f"{kind.slug} is a handed part: ask for hand 'left' or 'right'")
    family = None if request.family is None else _named(FAMILIES, request.family, "family")
    rng = np.random.default_rng([request.seed, 2])
    kinds = family.sites if family else ("face", "gloss face", "edge")
    side_name, site = _place(kind, kinds, request, rng)
    severity = request.severity
    if severity is None:
        severity = family.ladder[int(rng.integers(3, len(family.ladder)))] if family else 0.0
    return _Plan(
        request=request,
        kind=kind,
        side=kind.sides[side_name],
        family=family,
        site=site,
        nuisance=nuisance.draw(request.seed, request.light),
        severity=severity,
    )


def _named(table: dict[str, T], name: str, what: str) -> T:
    if name not in table:
        raise ValueError(f"unknown {what} {name!r}; one of {', '.join(sorted(table))}")
    return table[name]


def _place(
    kind: PartKind, kinds: tuple[str, ...], request: SpecimenRequest, rng: np.random.Generator
) -> tuple[SideName, Site | None]:
    """Choose the side and the site of the mark (or of the close-up of a clean part)."""
    draw = float(rng.random())
    sides: list[SideName] = [request.side] if request.side else list(kind.sides)
    found = [
        (name, site)
        for name in sides
        if name in kind.sides
        for site in kind.sides[name].sites_for(kinds, request.zone)
        if request.site in (None, site.name)
    ]
    if found:
        return found[int(draw * len(found))]
    if request.family:
        raise ValueError(
            f"{kind.slug} has no place for {request.family} in zone {request.zone or 'any'}"
            f" (side {request.side or 'any'}, site {request.site or 'any'})"
        )
    return sides[0], None


def _key_lamps(plan: _Plan) -> list[Lamp]:
    key, n = plan.nuisance.key, plan.request.frames
    return [key.raised((i - (n - 1) / 2) * SWEEP_DEG) for i in range(n)]


def pixels_per_mm(side: Side) -> float:
    """The scale at which a whole side fills the picture, in steps of a quarter."""
    box = side.bounds
    scale = min(WIDTH * FILL / (box.u1 - box.u0), HEIGHT * FILL / (box.v1 - box.v0))
    return int(scale * 4) / 4


def whole_view(plan: _Plan) -> View:
    """The view of the whole part."""
    box, drawn = plan.side.bounds, plan.nuisance
    scale = pixels_per_mm(plan.side)
    loose = 0.012 * WIDTH / scale
    pose = Pose(
        turn_deg=drawn.turn_deg,
        x_mm=-(box.u0 + box.u1) / 2 * (-1 if _mirrored(plan) else 1) + drawn.x_mm * loose,
        y_mm=-(box.v0 + box.v1) / 2 + drawn.y_mm * loose,
        mirrored=_mirrored(plan),
    )
    return View(WIDTH, HEIGHT, scale, plan.request.tilt_deg, pose)


def _mirrored(plan: _Plan) -> bool:
    return plan.kind.handed and plan.request.hand == "right"


def _close_view(plan: _Plan) -> View:
    """The same specimen from nearer: the camera moves, the part and the lamp stay."""
    whole = whole_view(plan)
    scale = max(plan.request.close_up_px_per_mm, whole.px_per_mm * 1.5)
    site = plan.site
    rng = np.random.default_rng([plan.request.seed, 4])
    off = rng.uniform(-0.2, 0.2, 2) * (WIDTH / scale, HEIGHT / scale)
    u, v, h = (site.u, site.v, site.height) if site else (0.0, 0.0, plan.side.tallest)
    X, Y = whole.world(u, v)
    return replace(
        whole,
        px_per_mm=scale,
        look_at=(X + float(off[0]), Y + float(off[1]), h),
        supersampling=1,
        keystone=0.0,
    )


def _fields(plan: _Plan, view: View) -> Fields:
    """The clean part in a view."""
    resin = RESINS[plan.request.resin]
    s = view.supersampling
    margin = min(round(6 * view.fine_per_mm), 160)
    rise = round(max(plan.side.tallest - view.look_at[2], 0) * view.rows_per_mm_up) + 4
    reach = Window(
        -margin - round(view.look_at[2] * view.rows_per_mm_up),
        view.fine_height + margin + rise,
        -margin,
        view.fine_width + margin,
    )
    window = view.ground_window(plan.side.bounds, 2.5).clipped(reach).aligned(4 * s)
    fields = Fields.empty(view, window, resin.alpha)
    fields.grain *= np.float32(resin.grain)
    fields.texture_offset = plan.nuisance.texture_offset
    plan.side.build(Sculptor(fields, np.random.default_rng(plan.nuisance.part_seed)))
    return fields


def _shoot(
    plan: _Plan, view: View, keys: list[Lamp]
) -> tuple[tuple[Image.Image, ...], Look, float]:
    """Photograph the specimen, and its clean twin where the mark is."""
    clean = _fields(plan, view)
    mark, marked = _mark(plan, clean)
    stage = _stage(plan, marked)
    scene = standing_light(stage, plan.nuisance.standing)
    frames = tuple(photograph(scene, key, plan.nuisance.camera) for key in keys)
    if mark is None:
        site = plan.site
        scale = view.local_px_per_mm(site.u, site.v) if site else view.px_per_mm
        return frames, Look((), scale, 0.0, 0), 0.0
    look = _look(plan, clean, mark, marked, stage, frames, keys)
    return frames, look, mark.severity


def _mark(plan: _Plan, clean: Fields) -> tuple[Mark | None, Fields]:
    if plan.family is None or plan.site is None:
        return None, clean
    marked = clean.copy()
    rng = np.random.default_rng([plan.request.seed, 3])
    return plan.family.make(marked, plan.side, plan.site, plan.severity, rng), marked


def _stage(
    plan: _Plan, fields: Fields, frame: Window | None = None, like: Stage | None = None
) -> Stage:
    resin = RESINS[plan.request.resin]
    drawn = plan.nuisance
    bench = (
        like.bench
        if like
        else benches.lay(drawn.bench, fields.view, np.random.default_rng(drawn.bench_seed))
    )
    colour = lot_colour(resin, np.random.default_rng(drawn.colour_seed))
    return set_stage(
        fields,
        bench,
        drawn.room(bench.mean),
        colour,
        resin.texture,
        frame=frame,
        bench_lights=like.bench_lights if like else None,
    )


def _frame_around(fields: Fields, marked: Fields) -> Window:
    """The part of the picture a mark can have changed, in picture pixels."""
    view, s = fields.view, fields.view.supersampling
    touched = marked.touched[0]
    for window in marked.touched[1:]:
        touched = Window(
            min(touched.row0, window.row0),
            max(touched.row1, window.row1),
            min(touched.col0, window.col0),
            max(touched.col1, window.col1),
        )
    tallest = max(float(fields.height.max()), float(marked.height.max()))
    up = round((tallest - view.look_at[2]) * view.rows_per_mm_up)
    down = round(view.look_at[2] * view.rows_per_mm_up)
    grown = touched.grown(14 * s)
    screen = Window(grown.row0 - up, grown.row1 + down, grown.col0, grown.col1)
    screen = screen.aligned(4 * s)
    return Window(screen.row0 // s, screen.row1 // s, screen.col0 // s, screen.col1 // s).clipped(
        Window(0, view.height, 0, view.width)
    )


def _look(
    plan: _Plan,
    clean: Fields,
    mark: Mark,
    marked: Fields,
    stage: Stage,
    frames: tuple[Image.Image, ...],
    keys: list[Lamp],
) -> Look:
    """Compare the frames with the clean twin and outline what differs."""
    view, s = clean.view, clean.view.supersampling
    frame = _frame_around(clean, marked)
    scale = view.local_px_per_mm(mark.u, mark.v, mark.height)
    if 0 in frame.shape:
        return Look((), scale, 0.0, 0)
    up = round(float(clean.height.max()) * view.rows_per_mm_up) + 4
    reach = round(6 * view.fine_per_mm)
    near = Window(
        frame.row0 * s - reach - round(view.look_at[2] * view.rows_per_mm_up),
        frame.row1 * s + up + reach,
        frame.col0 * s - reach,
        frame.col1 * s + reach,
    ).aligned(4 * s)
    twin_stage = _stage(plan, clean.crop(near), frame, stage)
    twin_scene = standing_light(twin_stage, plan.nuisance.standing)
    made = _mask_in_picture(mark, marked, stage, frame)
    region = made.copy()
    best, best_frame = 0.0, 0
    box = (frame.col0, frame.row0, frame.col1, frame.row1)
    for i, key in enumerate(keys):
        twin = luminance(photograph(twin_scene, key, plan.nuisance.camera))
        diff = difference(luminance(frames[i].crop(box)), twin)
        region |= changed(diff)
        index = visibility(diff, twin, made | changed(diff))
        if index > best:
            best, best_frame = index, i
    polygons = outlines(region, x0=frame.col0, y0=frame.row0)
    return Look(polygons, scale, best, best_frame)


def _mask_in_picture(mark: Mark, marked: Fields, stage: Stage, frame: Window) -> BoolArray:
    """The mark's own geometry carried through the projection, over a frame."""
    s = stage.view.supersampling
    whole = np.zeros(marked.window.shape, np.bool_)
    whole[mark.block] = mark.mask
    surface = stage.surface
    rows = np.clip(surface.hit_row, 0, whole.shape[0] - 1)
    first = surface.window.col0 - marked.window.col0
    cols = np.arange(surface.window.shape[1])[None, :] + first
    seen = whole[rows, np.broadcast_to(cols, rows.shape)]
    n, m = seen.shape[0] // s, seen.shape[1] // s
    share = seen[: n * s, : m * s].reshape(n, s, m, s).mean(axis=(1, 3))
    out = np.zeros(frame.shape, np.bool_)
    w = surface.window
    place = Window(w.row0 // s, w.row0 // s + n, w.col0 // s, w.col0 // s + m)
    inner = place.clipped(frame)
    out[inner.slices_in(frame)] = share[inner.slices_in(place)] > 0.25
    return out
