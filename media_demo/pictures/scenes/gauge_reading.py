"""Marks that a gauge decides: the part with a dial gauge on the mark; its reading counts.

Gate vestige, sink and ejector mark are measured under a bridge of 20 mm, flash and the
parting-line step by a tip between two stops against the wall. The truth's severity is
what the pointer shows, to the division. The visibility is that of the reading: how many
just-readable steps the pointer stands from where it stands on a good part.
"""

import math
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from PIL import Image

from media_demo.pictures.assembly import lay
from media_demo.pictures.blemishes import Blemish
from media_demo.pictures.families import FAMILIES
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import PartKind, Side, SideName, Site
from media_demo.pictures.plans import good_part, make_plan
from media_demo.pictures.regions import Polygon
from media_demo.pictures.requests import TILT_DEG, RenderedSpecimen, SpecimenRequest
from media_demo.pictures.scenes.dial_gauge import (
    COARSE,
    FINE,
    FOOTPRINT,
    Dial,
    Stand,
    bare_gauge,
    paint_pointer,
    plainness,
    pointer_outline,
    print_scale,
)
from media_demo.pictures.scenes.gauge_stand import (
    Measure,
    Setup,
    near_view,
    stand_of,
    turn_of,
    whole_view,
    with_room,
)
from media_demo.pictures.scenes.props import carry_to_foot
from media_demo.pictures.scenes.studio import asked, drawn_mask, kind_of, open_studio
from media_demo.pictures.truth import Look, Truth, luminance, visibility
from media_demo.pictures.view import View, Window

# what lies this near to a pointer counts when it is looked for
AROUND_PX = 24
# beyond this the rim of the case no longer shades the face
SHADE_MM = 3.0
# a witness left by every pin of the tool
PIN_WITNESS = -0.06

MEASURES: dict[str, Measure] = {
    "gate-vestige": Measure(COARSE, True, ("gate",), 2.6),
    "sink": Measure(FINE, True, ("boss", "rib line"), 3.4, sign=-1),
    "ejector-mark": Measure(FINE, True, ("pin",), 3.0),
    "flash": Measure(FINE, False, ("edge",), 4.0),
    "mismatch": Measure(FINE, False, ("edge",), 4.0),
}


def render(request: SpecimenRequest) -> RenderedSpecimen:
    """Render a part with the gauge on its mark, reading ``severity`` mm.

    Raises ValueError where the part has no place for the family that the gauge reaches.
    """
    slug = request.family or request.look_for or ""
    measure = MEASURES[slug]
    plan = make_plan(_placed(request, slug))
    site = plan.site
    if site is None:
        raise ValueError(f"{request.part} has no place for {slug} that a gauge reaches")
    amount = asked(request, plan.severity)
    plan = replace(plan, severity=amount)
    turn, raised = turn_of(plan, site, measure)
    zero = float(np.random.default_rng([request.seed, 9]).normal(0, 5))
    setup = Setup(plan, slug, measure, site, turn, zero, raised)
    whole = _shoot(request, setup, whole_view(setup), amount)
    near = None
    if request.close_up:
        near = _shoot(request, setup, near_view(setup, whole.view), amount, whole.readings)
    reading = whole.readings.now
    truth = Truth(
        family=request.family,
        severity=reading * measure.sign + 0.0,
        unit="mm",
        requested=amount,
        zone=site.zone,
        site=site.name,
        whole=whole.look,
        close_up=near.look if near else None,
        seed=request.seed,
        allowed=whole.allowed,
        shown=(
            ("gauge", "dial gauge"),
            ("reading_mm", f"{reading:.2f}"),
            ("division_mm", f"{measure.dial.division_mm:.2f}"),
        ),
    )
    return RenderedSpecimen((whole.picture,), near.picture if near else None, truth)


class _Readings(NamedTuple):
    """What the gauge reads, and what it reads on a good part."""

    now: float
    rest: float


@dataclass(frozen=True)
class _Shot:
    """A picture with its view, the readings in it, and what it shows."""

    picture: Image.Image
    view: View
    readings: _Readings
    look: Look
    allowed: tuple[Blemish, ...]


def places_reached(
    kind: PartKind,
    slug: str,
    *,
    side: SideName | None = None,
    zone: str | None = None,
    site: str | None = None,
) -> list[tuple[SideName, Site]]:
    """The sites of a part that the family's gauge reaches, each with its side."""
    measure, zones = MEASURES[slug], FAMILIES[slug].zones
    names: list[SideName] = [side] if side else list(kind.sides)
    return [
        (name, found)
        for name in names
        if name in kind.sides
        for found in kind.sides[name].sites_for(measure.sites, zone)
        if site in (None, found.name) and (zones is None or found.zone in zones)
        if measure.bridge or _outside(kind.sides[name], found)
    ]


def _placed(request: SpecimenRequest, slug: str) -> SpecimenRequest:
    """Pin the request to a site that the gauge reaches."""
    kind = kind_of(request)
    able = places_reached(kind, slug, side=request.side, zone=request.zone, site=request.site)
    if not able:
        raise ValueError(
            f"{kind.slug} has no place for {slug} that a gauge reaches"
            f" (zone {request.zone or 'any'}, site {request.site or 'any'})"
        )
    seed = request.seed if request.mark_seed is None else request.mark_seed
    name, site = able[int(np.random.default_rng([seed, 10]).integers(len(able)))]
    return replace(request, side=name, site=site.name, tilt_deg=TILT_DEG)


def _outside(side: Side, site: Site) -> bool:
    """Whether a gauge on the bench reaches the wall from outside, clear of the rest of the part."""
    a = math.radians(site.angle)
    out, along = np.array(FOOTPRINT, np.float32).T
    u = np.float32(site.u) + out * np.float32(math.cos(a)) - along * np.float32(math.sin(a))
    v = np.float32(site.v) + out * np.float32(math.sin(a)) + along * np.float32(math.cos(a))
    return float(side.outline.distance(u, v).min()) > 0.2


@dataclass(frozen=True)
class _Laid:
    """The part with the gauge on it, its face still bare."""

    fields: Fields
    stand: Stand
    readings: _Readings
    allowed: tuple[Blemish, ...]


def _shoot(
    request: SpecimenRequest,
    setup: Setup,
    view: View,
    amount: float,
    known: _Readings | None = None,
) -> _Shot:
    """Photograph part and gauge, and the face again with its pointer where it rests.

    Measured on another grid a mark may come out a hair higher: readings that are known hold.
    """
    dial, studio = setup.measure.dial, open_studio(request, view, setup.plan.nuisance)
    laid = _lay_out(setup, view, amount, known)
    part, stand, readings = laid.fields, laid.stand, laid.readings
    pointers = [pointer_outline(view, stand, dial, reading) for reading in readings]
    frame = _frame_of(pointers).clipped(studio.whole)
    print_scale(part, stand, dial)
    twin = None
    if readings.now != readings.rest:
        # photographed first: what it was made of is gone before the whole picture needs room
        twin = studio.photograph(_at_rest(laid, dial, frame), frame)
    paint_pointer(part, stand, dial, readings.now)
    picture = studio.photograph(part)
    steps = 0.0
    if twin is not None and _pointer_shows(picture, twin, frame, pointers):
        steps = plainness(dial, *readings, view.px_per_mm)
    # the place is where the tip stands; the pointer shows how much
    regions = (_ring(view, setup),) if amount else ()
    return _Shot(picture, view, readings, Look(regions, view.px_per_mm, steps, 0), laid.allowed)


def _lay_out(setup: Setup, view: View, amount: float, known: _Readings | None) -> _Laid:
    """Make the part with its mark, and lay the gauge on it."""
    plan, dial, sign = setup.plan, setup.measure.dial, setup.measure.sign
    part, allowed = good_part(with_room(setup, view), view)
    rest = reading = dial.reading(_natural(setup, allowed) * sign)
    # where the gauge stands is the good part's matter
    stand = stand_of(view, setup, part)
    if amount:
        family = FAMILIES[setup.slug]
        mark = family.make(part, plan.side, setup.site, amount, plan.mark_rng)
        reading = dial.reading(mark.severity * sign)
    readings = known or _Readings(reading, rest)
    if not stand.bridge:
        # against a wall the tip stops where the mark ends
        stand = replace(stand, push_mm=max(readings.now, 0.0))
    gauge = bare_gauge(view, stand)
    lay(part, gauge)
    carry_to_foot(part, gauge)
    return _Laid(part, stand, readings, allowed)


def _at_rest(laid: _Laid, dial: Dial, frame: Window) -> Fields:
    """What a frame shows of the face, its pointer where it rests."""
    part, stand = laid.fields, laid.stand
    resting = part.copy_of(_ground_of(part.view, stand, frame))
    paint_pointer(resting, stand, dial, laid.readings.rest)
    return resting


def _frame_of(pointers: list[Polygon]) -> Window:
    """The part of the picture round the pointers, with what hides or brings out a pointer."""
    xs, ys = zip(*(point for outline in pointers for point in outline), strict=True)
    window = Window(int(min(ys)), int(max(ys)) + 1, int(min(xs)), int(max(xs)) + 1)
    # whole cells of the fine grid, whatever the supersampling
    return window.grown(AROUND_PX).aligned(32)


def _pointer_shows(
    picture: Image.Image, twin: Image.Image, frame: Window, pointers: list[Polygon]
) -> bool:
    """Whether a pointer can be seen to stand elsewhere than in the twin, which is the frame."""
    made = luminance(picture.crop((frame.col0, frame.row0, frame.col1, frame.row1)))
    return visibility(made, luminance(twin), drawn_mask(pointers, frame)) >= 1.0


def _ground_of(view: View, stand: Stand, frame: Window) -> Window:
    """The part of the face that a frame shows, with what may shade it."""
    rise = round((stand.top - view.look_at[2]) * view.rows_per_mm_up)
    seen = view.to_fine_window(frame)
    seen = replace(seen, row0=seen.row0 + rise, row1=seen.row1 + rise)
    return seen.grown(round(SHADE_MM * view.fine_per_mm)).aligned(view.alignment)


def _natural(setup: Setup, allowed: tuple[Blemish, ...]) -> float:
    """What the gauge reads on a good part."""
    for blemish in allowed:
        if blemish.family == setup.slug and blemish.site == setup.site.name:
            return blemish.severity
    if setup.slug == "ejector-mark" and setup.plan.side.rest == "C":
        return PIN_WITNESS
    return 0.0


def _ring(view: View, setup: Setup) -> Polygon:
    """A ring round the mark in the picture."""
    site, r = setup.site, setup.measure.radius
    height = site.height
    return tuple(
        view.to_picture(site.u + r * math.cos(t), site.v + r * math.sin(t), height)
        for t in np.linspace(0, 2 * math.pi, 28, endpoint=False).tolist()
    )
