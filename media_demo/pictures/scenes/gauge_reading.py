"""Marks that a gauge decides: the part with a dial gauge on the mark; its reading counts.

Gate vestige, sink and ejector mark are measured under a bridge of 20 mm, flash and the
parting-line step by a tip between two stops against the wall. The truth's severity is
what the pointer shows, to the division. The visibility is that of the reading: how many
just-readable steps the pointer stands from where it stands on a good part.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image

from media_demo.pictures.arrays import Array
from media_demo.pictures.assembly import lay
from media_demo.pictures.blemishes import Blemish
from media_demo.pictures.families import FAMILIES
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import PartKind, Side, SideName, Site
from media_demo.pictures.plans import Plan, good_part, make_plan
from media_demo.pictures.regions import Polygon
from media_demo.pictures.requests import TILT_DEG, RenderedSpecimen, SpecimenRequest
from media_demo.pictures.scenes.dial_gauge import (
    BODY,
    CASE_MM,
    COARSE,
    FINE,
    GAUGE_MM,
    REACH_MM,
    Dial,
    Stand,
    bare_gauge,
    plainness,
    pointer_outline,
    print_face,
)
from media_demo.pictures.scenes.studio import asked, drawn_mask, kind_of, open_studio
from media_demo.pictures.shapes import Bounds, Shape
from media_demo.pictures.truth import Look, Truth, luminance, visibility
from media_demo.pictures.view import Pose, View, Window

WIDTH, HEIGHT = 1200, 900
CLOSE, CLOSE_SCALE = (960, 720), 11.5
# how far its feet reach, and how high the part may rise under them and under the dial
FOOT_MM, FOOT_CLEAR_MM, DIAL_CLEAR_MM = 13.0, 0.8, 5.0
# how far a wall may stand out of its site at the parting line
WALL_MM = 4.0
# beyond this the rim of the case no longer shades the face
SHADE_MM = 6.0
# a witness left by every pin of the tool
PIN_WITNESS = -0.06


@dataclass(frozen=True)
class Measure:
    """How a family is measured: the dial, the way the gauge stands, the sites it reaches.

    ``sign`` is -1 where the severity is a depth: the gauge reads minus for sunk.
    """

    dial: Dial
    bridge: bool
    sites: tuple[str, ...]
    radius: float
    sign: int = 1


MEASURES: dict[str, Measure] = {
    "gate-vestige": Measure(COARSE, True, ("gate",), 2.6),
    "sink": Measure(FINE, True, ("boss", "rib line"), 3.4, sign=-1),
    "ejector-mark": Measure(FINE, True, ("pin",), 3.0),
    "flash": Measure(FINE, False, ("edge",), 4.0),
    "mismatch": Measure(FINE, False, ("edge",), 4.0),
}


@dataclass(frozen=True)
class _Bench:
    """A plan with its gauge: what is measured, how, and where the gauge stands."""

    plan: Plan
    slug: str
    measure: Measure
    site: Site
    turn_deg: float
    zero_deg: float


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
    turn = _turn(plan, site, measure)
    zero = float(np.random.default_rng([request.seed, 9]).normal(0, 5))
    bench = _Bench(plan, slug, measure, site, turn, zero)
    whole = _shoot(request, bench, _whole_view(bench), amount)
    near = None
    if request.close_up:
        near = _shoot(request, bench, _near_view(bench, whole.view), amount)
    reading = whole.reading
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


@dataclass(frozen=True)
class _Shot:
    """A picture with its view, the reading in it, and what it shows."""

    picture: Image.Image
    view: View
    reading: float
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
    """Whether a gauge on the bench reaches the wall from outside."""
    a, far = math.radians(site.angle), 6.0
    u = np.array([site.u + far * math.cos(a)], np.float32)
    v = np.array([site.v + far * math.sin(a)], np.float32)
    return float(side.outline.distance(u, v)[0]) > 2.5


def _turn(plan: Plan, site: Site, measure: Measure) -> float:
    """Which way the gauge points (+v of its own axes), in degrees of the world."""
    pose = _pose(plan, 0.0, 0.0)
    if not measure.bridge:
        normal = math.radians(site.angle)
        du = math.cos(normal) * (-1 if pose.mirrored else 1)
        out = math.degrees(math.atan2(math.sin(normal), du)) + pose.turn_deg
        return out - 90.0
    box = plan.side.bounds
    du = ((box.u0 + box.u1) / 2 - site.u) * (-1 if pose.mirrored else 1)
    dv = (box.v0 + box.v1) / 2 - site.v
    spread = float(np.random.default_rng([plan.request.seed, 11]).uniform(-20, 20))
    inwards = math.degrees(math.atan2(dv, du)) + pose.turn_deg + spread
    return _clear_of_the_part(plan, site, inwards) - 90.0


def _clear_of_the_part(plan: Plan, site: Site, wanted_deg: float) -> float:
    """The direction next to the wanted one in which no wall or grip rises into the gauge."""
    view = View(600, 450, 2.0, TILT_DEG, _pose(plan, 0, 0))
    X, Y = view.world(site.u, site.v)
    view = replace(view, pose=_pose(plan, -X, -Y))
    part, _ = good_part(plan, view)
    x, y = view.ground_of(part.window)
    base = _seat(part, site)
    heights = []
    for off in (0, 180, 40, -40, 140, -140, 80, -80):
        a = math.radians(wanted_deg + off)
        ca, sa = np.float32(math.cos(a)), np.float32(math.sin(a))
        along, across = x * ca + y * sa, y * ca - x * sa
        dial = np.hypot(along - np.float32(REACH_MM), across) < CASE_MM + 1
        arm = (along > 6) & (along < REACH_MM) & (np.abs(across) < 4.5)
        feet = (np.abs(along) < 3) & (np.abs(across) < FOOT_MM)
        over = float(part.height[dial | arm].max(initial=0.0)) - (base + DIAL_CLEAR_MM)
        under = float(part.height[feet].max(initial=0.0)) - (base + FOOT_CLEAR_MM)
        heights.append((max(over, under), off))
        if heights[-1][0] < 0:
            break
    return wanted_deg + min(heights)[1]


def _pose(plan: Plan, x: float, y: float) -> Pose:
    mirrored = plan.kind.handed and plan.request.hand == "right"
    return Pose(plan.nuisance.turn_deg, x, y, mirrored)


def _whole_view(bench: _Bench) -> View:
    """Part and gauge together, as large as both allow."""
    plan, site = bench.plan, bench.site
    view = View(WIDTH, HEIGHT, 4.0, TILT_DEG, _pose(plan, 0, 0))
    box = plan.side.bounds
    points = [view.world(u, v) for u in (box.u0, box.u1) for v in (box.v0, box.v1)]
    mark = view.world(site.u, site.v)
    a = math.radians(bench.turn_deg + 90)
    dial = (mark[0] + REACH_MM * math.cos(a), mark[1] + REACH_MM * math.sin(a))
    reach = CASE_MM + 2
    points += [(dial[0] - reach, dial[1] - reach), (dial[0] + reach, dial[1] + reach + 6)]
    x0, x1 = min(p[0] for p in points), max(p[0] for p in points)
    y0, y1 = min(p[1] for p in points), max(p[1] for p in points)
    scale = min(WIDTH * 0.88 / (x1 - x0), HEIGHT * 0.88 / ((y1 - y0) * math.cos(view.tilt) + 5))
    scale = int(min(scale, 9.0) * 4) / 4
    drawn = plan.nuisance
    loose = 0.012 * WIDTH / scale
    pose = _pose(plan, -(x0 + x1) / 2 + drawn.x_mm * loose, -(y0 + y1) / 2 + drawn.y_mm * loose)
    return View(WIDTH, HEIGHT, scale, TILT_DEG, pose)


def _near_view(bench: _Bench, whole: View) -> View:
    """The gauge and the mark from nearer."""
    X, Y = whole.world(bench.site.u, bench.site.v)
    a = math.radians(bench.turn_deg + 90)
    far = (REACH_MM + CASE_MM - 10) / 2
    look_at = (X + far * math.cos(a), Y + far * math.sin(a), bench.site.height + 6)
    return replace(
        whole,
        width=CLOSE[0],
        height=CLOSE[1],
        px_per_mm=max(CLOSE_SCALE, whole.px_per_mm * 1.2),
        look_at=look_at,
        keystone=0.0,
        supersampling=1.5,
    )


@dataclass(frozen=True)
class _Laid:
    """The part with the gauge on it, its face still bare; what it reads, and at rest."""

    fields: Fields
    stand: Stand
    reading: float
    rest: float
    allowed: tuple[Blemish, ...]


def _shoot(request: SpecimenRequest, bench: _Bench, view: View, amount: float) -> _Shot:
    """Photograph part and gauge, and the face again with its pointer where it rests."""
    dial, studio = bench.measure.dial, open_studio(request, view, bench.plan.nuisance)
    laid = _lay_out(bench, view, amount)
    stand, reading, rest = laid.stand, laid.reading, laid.rest
    pointers = [pointer_outline(view, stand, dial, shown) for shown in (reading, rest)]
    frame = studio.frame_of(pointers)
    resting = None if reading == rest else laid.fields.copy_of(_ground_of(view, stand, frame))
    print_face(laid.fields, stand, dial, reading)
    picture = studio.photograph(laid.fields)
    steps = 0.0
    if resting is not None:
        print_face(resting, stand, dial, rest)
        twin = studio.photograph(resting, frame)
        if _pointer_shows(picture, twin, frame, pointers):
            steps = plainness(dial, reading, rest, view.px_per_mm)
    # the place is where the tip stands; the pointer shows how much
    regions = (_ring(view, bench),) if amount else ()
    return _Shot(picture, view, reading, Look(regions, view.px_per_mm, steps, 0), laid.allowed)


def _lay_out(bench: _Bench, view: View, amount: float) -> _Laid:
    """Make the part with its mark, and lay the gauge on it."""
    plan, dial, sign = bench.plan, bench.measure.dial, bench.measure.sign
    part, allowed = good_part(_with_room(bench, view), view)
    rest = reading = dial.reading(_natural(bench, allowed) * sign)
    # where the gauge stands is the good part's matter
    stand = stand_of(view, bench, part)
    if amount:
        family = FAMILIES[bench.slug]
        mark = family.make(part, plan.side, bench.site, amount, plan.mark_rng)
        reading = dial.reading(mark.severity * sign)
    if not stand.bridge:
        # against a wall the tip stops where the mark ends
        stand = replace(stand, push_mm=max(reading, 0.0))
    lay(part, bare_gauge(view, stand))
    return _Laid(part, stand, reading, rest, allowed)


def _pointer_shows(
    picture: Image.Image, twin: Image.Image, frame: Window, pointers: list[Polygon]
) -> bool:
    """Whether a pointer can be seen to stand elsewhere than in the twin, which is the frame."""
    made = luminance(picture.crop((frame.col0, frame.row0, frame.col1, frame.row1)))
    return visibility(made, luminance(twin), drawn_mask(pointers, frame)) >= 1.0


@dataclass(frozen=True)
class _Roomy:
    """An outline with room around it for what is laid on or beside the part."""

    outline: Shape
    bounds: Bounds

    def distance(self, u: Array, v: Array) -> Array:
        return self.outline.distance(u, v)


def _with_room(bench: _Bench, view: View) -> Plan:
    """The plan with room for the gauge in the part's fields."""
    plan, site, pose = bench.plan, bench.site, view.pose
    # a wall may stand a little out of its site
    body = BODY.grown(WALL_MM + 3)
    turn = math.radians(bench.turn_deg - pose.turn_deg)
    c, s = math.cos(turn), math.sin(turn)
    room = plan.side.bounds
    for a, b in ((a, b) for a in (body.u0, body.u1) for b in (body.v0, body.v1)):
        across = a * c - b * s
        u, v = site.u + (-across if pose.mirrored else across), site.v + a * s + b * c
        room = room.joined(Bounds(u, v, u, v))
    side = replace(
        plan.side, outline=_Roomy(plan.side.outline, room), tallest=plan.side.tallest + GAUGE_MM
    )
    return replace(plan, side=side)


def _ground_of(view: View, stand: Stand, frame: Window) -> Window:
    """The part of the face that a frame shows, with what may shade it."""
    rise = round((stand.top - view.look_at[2]) * view.rows_per_mm_up)
    seen = view.to_fine_window(frame)
    seen = replace(seen, row0=seen.row0 + rise, row1=seen.row1 + rise)
    return seen.grown(round(SHADE_MM * view.fine_per_mm)).aligned(view.alignment)


def _natural(bench: _Bench, allowed: tuple[Blemish, ...]) -> float:
    """What the gauge reads on a good part."""
    for blemish in allowed:
        if blemish.family == bench.slug and blemish.site == bench.site.name:
            return blemish.severity
    if bench.slug == "ejector-mark" and bench.plan.side.rest == "C":
        return PIN_WITNESS
    return 0.0


def stand_of(view: View, bench: _Bench, good: Fields) -> Stand:
    """Where the gauge stands: on the part's face, or against its wall on the bench."""
    site = bench.site
    u, v = site.u, site.v
    tip = 3.0
    if not bench.measure.bridge:
        a = math.radians(site.angle)
        wall = _wall(good, site)
        u, v = u + wall * math.cos(a), v + wall * math.sin(a)
        tip = max(site.parting, 1.2)
    X, Y = view.world(u, v)
    base = _seat(good, site) if bench.measure.bridge else 0.0
    return Stand(Pose(bench.turn_deg, X, Y), base, bench.zero_deg, bench.measure.bridge, tip)


def _seat(good: Fields, site: Site) -> float:
    """The highest face under the bridge's feet."""
    near = np.hypot(good.u - np.float32(site.u), good.v - np.float32(site.v)) < 4.0
    here = good.height[near & (good.solid > 0.5)]
    return float(np.median(here)) if here.size else site.height


def _wall(good: Fields, site: Site) -> float:
    """How far out of the site the wall stands at the height of the parting line."""
    a = math.radians(site.angle)
    du, dv = good.u - np.float32(site.u), good.v - np.float32(site.v)
    out = du * np.float32(math.cos(a)) + dv * np.float32(math.sin(a))
    along = dv * np.float32(math.cos(a)) - du * np.float32(math.sin(a))
    wall = (np.abs(along) < 1.0) & (np.abs(out) < WALL_MM) & (good.height >= site.parting)
    return float(out[wall].max(initial=0.0))


def _ring(view: View, bench: _Bench) -> Polygon:
    """A ring round the mark in the picture."""
    site, r = bench.site, bench.measure.radius
    height = site.height
    return tuple(
        view.to_picture(site.u + r * math.cos(t), site.v + r * math.sin(t), height)
        for t in np.linspace(0, 2 * math.pi, 28, endpoint=False).tolist()
    )
