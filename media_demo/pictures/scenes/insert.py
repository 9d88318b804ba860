"""Inserts: how many are there, of the right kind, straight, and at the right height.

Without a gauge the picture is judged by counting: ``site`` pins the fault (a name of
``FAULTS``) and ``severity`` is the number of wrong inserts. With ``gauge=True`` the height
of one insert to its face is measured: ``severity`` in mm, minus for below the face, and
the truth's severity is what the gauge shows.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image

from media_demo.pictures.arrays import F32, Rgb, smoothstep
from media_demo.pictures.assembly import lay
from media_demo.pictures.fields import Fields
from media_demo.pictures.parts import detergent_lid
from media_demo.pictures.plans import INSIDE_ALPHA, INSIDE_GRAIN, Plan, good_part, make_plan
from media_demo.pictures.regions import Polygon
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.scenes import dial_gauge
from media_demo.pictures.scenes.dial_gauge import (
    CASE_MM,
    FINE,
    GAUGE_MM,
    REACH_MM,
    Stand,
    plainness,
)
from media_demo.pictures.scenes.props import carry_to_foot
from media_demo.pictures.scenes.studio import (
    NEAR_GRID,
    Studio,
    asked,
    bench_fields,
    fitted,
    kind_of,
    mark_stream,
    open_studio,
)
from media_demo.pictures.shapes import Disc
from media_demo.pictures.truth import Look, Truth
from media_demo.pictures.view import Pose, View

UNIT = "pieces"
LADDER = (0, 1, 2)
HEIGHT_LADDER = (0.0, 0.1, 0.18, 0.25, 0.35, 0.45)
FAULTS = ("missing", "wrong kind", "tilted")
SIZE, TILT = (1200, 900), 17.0
CLOSE = (960, 720)
ZINC: Rgb = (0.56, 0.57, 0.58)
USUAL_HEIGHT = 0.32


@dataclass(frozen=True)
class Socket:
    """Where an insert sits: middle, its radius, its bore's radius, its top, the boss."""

    u: float
    v: float
    radius: float
    bore: float
    top: float
    boss: float


SOCKETS: dict[str, tuple[Socket, ...]] = {
    "detergent_lid": tuple(Socket(u, v, 4.2, 2.1, 7.0, 6.4) for u, v in detergent_lid.INSERTS),
    "knob": (Socket(0.0, 0.0, 5.6, 3.1, 14.0, 8.2),),
}


def render(request: SpecimenRequest) -> RenderedSpecimen:
    """Render the inside of a part with ``severity`` wrong inserts.

    Raises ValueError for a part without inserts or an unknown fault.
    """
    plan, sockets = _plan(request)
    rng = mark_stream(request)
    fault = FAULTS[int(rng.integers(len(FAULTS)))]
    if request.site is not None and request.family is not None:
        if request.site not in FAULTS:
            raise ValueError(f"an insert cannot be {request.site!r}; one of {', '.join(FAULTS)}")
        fault = request.site
    count = min(round(asked(request, 1.0)), len(sockets))
    wrong = [int(i) for i in rng.permutation(len(sockets))[:count]]
    heading = float(rng.uniform(0, 2 * math.pi))
    change = _Change(tuple(sockets[i] for i in wrong), fault, heading)
    view = _whole_view(plan)
    whole = _shoot(request, plan, view, change)
    near = None
    if request.close_up:
        near = _shoot(request, plan, _near_view(view, sockets), change)
    present = len(sockets) - (count if fault == "missing" else 0)
    truth = Truth(
        family=request.family,
        severity=float(count),
        unit=UNIT,
        requested=asked(request, 1.0),
        zone="F",
        site=fault if count else None,
        whole=whole[1],
        close_up=near[1] if near else None,
        seed=request.seed,
        shown=(("inserts", f"{present} of {len(sockets)}"),),
    )
    return RenderedSpecimen((whole[0],), near[0] if near else None, truth)


def render_height(request: SpecimenRequest) -> RenderedSpecimen:
    """Render a part with the gauge on one insert, whose height reads ``severity`` mm."""
    plan, sockets = _plan(request)
    amount = asked(request, USUAL_HEIGHT)
    socket = sockets[int(mark_stream(request).integers(len(sockets)))]
    spread = float(np.random.default_rng([request.seed, 11]).uniform(-60, 60))
    # away from the middle of the part, or beside a single insert
    towards = 0.0 if socket.u > 0 else 180.0
    turn = (90.0 if len(sockets) == 1 else towards) + spread - 90.0
    zero = float(np.random.default_rng([request.seed, 9]).normal(0, 5))
    reading = FINE.reading(amount)
    change = _Change((socket,) if reading else (), "height", 0.0, reading)
    gauge = _Gauge(socket, turn, zero, reading)
    view = _whole_view(plan, socket, turn)
    whole = _shoot(request, plan, view, change, gauge)
    near = None
    if request.close_up:
        a = math.radians(turn + 90)
        X, Y = view.world(socket.u, socket.v)
        far = (REACH_MM + CASE_MM - 10) / 2
        closer = replace(
            _near_view(view, (socket,)),
            px_per_mm=11.5,
            look_at=(X + far * math.cos(a), Y + far * math.sin(a), socket.top + 5),
        )
        near = _shoot(request, plan, closer, change, gauge)
    truth = Truth(
        family=request.family,
        severity=reading,
        unit="mm",
        requested=amount,
        zone="F",
        site="insert height",
        whole=whole[1],
        close_up=near[1] if near else None,
        seed=request.seed,
        shown=(
            ("gauge", "dial gauge"),
            ("reading_mm", f"{reading:.2f}"),
            ("division_mm", f"{FINE.division_mm:.2f}"),
        ),
    )
    return RenderedSpecimen((whole[0],), near[0] if near else None, truth)


@dataclass(frozen=True)
class _Change:
    """What is done to which inserts; ``height`` in mm and ``heading`` of a tilt."""

    sockets: tuple[Socket, ...]
    fault: str
    heading: float
    height: float = 0.0


@dataclass(frozen=True)
class _Gauge:
    """The gauge on an insert, and what it reads."""

    socket: Socket
    turn_deg: float
    zero_deg: float
    reading: float


def _plan(request: SpecimenRequest) -> tuple[Plan, tuple[Socket, ...]]:
    kind = kind_of(request)
    if kind.slug not in SOCKETS:
        raise ValueError(f"{kind.slug} has no inserts; {' and '.join(SOCKETS)} have")
    bare = replace(
        request, family=None, look_for=None, side="back", site=None, zone=None, severity=None
    )
    return make_plan(bare), SOCKETS[kind.slug]


def _whole_view(plan: Plan, socket: Socket | None = None, turn_deg: float = 0.0) -> View:
    box = plan.side.bounds
    corners = [(u, v) for u in (box.u0, box.u1) for v in (box.v0, box.v1)]
    if socket is not None:
        a = math.radians(turn_deg + 90 - plan.nuisance.turn_deg)
        u, v = socket.u + REACH_MM * math.cos(a), socket.v + REACH_MM * math.sin(a)
        r = CASE_MM + 2
        corners += [(u - r, v - r), (u + r, v + r)]
    return fitted(plan, corners, TILT, SIZE, rise=plan.side.tallest)


def _near_view(view: View, sockets: tuple[Socket, ...]) -> View:
    """All inserts from nearer."""
    u = sum(s.u for s in sockets) / len(sockets)
    v = sum(s.v for s in sockets) / len(sockets)
    X, Y = view.world(u, v)
    spread = max(abs(s.u - u) for s in sockets) + 12
    return replace(
        view,
        width=CLOSE[0],
        height=CLOSE[1],
        px_per_mm=min(CLOSE[0] * 0.48 / spread, 22.0),
        look_at=(X, Y, sockets[0].top),
        keystone=0.0,
        supersampling=NEAR_GRID,
    )


def _shoot(
    request: SpecimenRequest,
    plan: Plan,
    view: View,
    change: _Change,
    gauge: _Gauge | None = None,
) -> tuple[Image.Image, Look]:
    """Photograph the part, and the same with every insert as it should be."""
    studio = open_studio(request, view, plan.nuisance)
    if gauge is not None:
        return _shoot_dial(studio, plan, _gauged(studio, plan, change, gauge), gauge)
    part, _ = good_part(plan, view)
    if not change.sockets:
        return studio.photograph(part), Look((), view.px_per_mm, 0.0, 0)
    marks = [_ring(view, socket) for socket in change.sockets]
    frame = studio.frame_of(marks)
    clean = part.copy_of(studio.ground_of(frame, plan.side.tallest))
    for socket in change.sockets:
        _alter(part, socket, change)
    twin = studio.photograph(clean, frame)
    picture = studio.photograph(part)
    return picture, studio.compare(picture, {frame: twin}, marks)


def _gauged(studio: Studio, plan: Plan, change: _Change, gauge: _Gauge) -> Fields:
    """The part with the gauge on an insert; the pointer is still to be painted."""
    view, stand = studio.view, _stand(studio.view, gauge)
    part, _ = good_part(plan, view)
    for socket in change.sockets:
        _alter(part, socket, change)
    fields = bench_fields(view, plan.side.tallest + GAUGE_MM + 2)
    lay(fields, part)
    body = dial_gauge.bare_gauge(view, stand)
    lay(fields, body)
    carry_to_foot(fields, body)
    dial_gauge.print_scale(fields, stand, FINE)
    fields.texture_offset = studio.drawn.texture_offset
    return fields


def _stand(view: View, gauge: _Gauge) -> Stand:
    X, Y = view.world(gauge.socket.u, gauge.socket.v)
    return Stand(Pose(gauge.turn_deg, X, Y), gauge.socket.top, gauge.zero_deg)


def _shoot_dial(
    studio: Studio, plan: Plan, fields: Fields, gauge: _Gauge
) -> tuple[Image.Image, Look]:
    """Photograph the gauge on the insert, and first its dial as on one that is flush."""
    view, stand = studio.view, _stand(studio.view, gauge)
    twins = {}
    if gauge.reading:
        frame = studio.frame_of([_dial(view, gauge)])
        flush = fields.copy_of(studio.ground_of(frame, plan.side.tallest + GAUGE_MM))
        dial_gauge.paint_pointer(flush, stand, FINE, 0.0)
        twins[frame] = studio.photograph(flush, frame)
        del flush
    dial_gauge.paint_pointer(fields, stand, FINE, gauge.reading)
    picture = studio.photograph(fields)
    if not twins:
        return picture, Look((), view.px_per_mm, 0.0, 0)
    look = studio.compare(picture, twins, [])
    steps = plainness(FINE, gauge.reading, 0.0, view.px_per_mm)
    regions = (_ring(view, gauge.socket),)
    return picture, replace(look, regions=regions, visibility=steps if look.visible else 0.0)


def _alter(part: Fields, socket: Socket, change: _Change) -> None:
    """Take an insert out, change it for another kind, tilt it or move it up or down."""
    disc = Disc(socket.u, socket.v, socket.radius)
    block = part.block(disc.bounds, 1.0)
    d = part.distance(disc, block)
    inside = smoothstep(0.12, -0.12, d)
    if change.fault == "missing":
        _take_out(part, socket, change)
    elif change.fault == "wrong kind":
        _other_kind(part, socket)
    elif change.fault == "tilted":
        du, dv = part.u[block] - F32(socket.u), part.v[block] - F32(socket.v)
        c, s = F32(math.cos(change.heading)), F32(math.sin(change.heading))
        part.height[block] += (
            (du * c + dv * s + F32(1.6)) * F32(math.tan(math.radians(11))) * inside
        )
    else:
        part.height[block] += F32(change.height) * inside


def _take_out(part: Fields, socket: Socket, change: _Change) -> None:
    """The empty socket: a smooth hole with a locating step at its floor."""
    disc = Disc(socket.u, socket.v, socket.radius)
    block = part.block(disc.bounds, 1.0)
    d = part.distance(disc, block)
    depth = np.clip(F32(0.5) - d * F32(1 / 0.3), 0, 1)
    floor = F32(socket.top - 5.0)
    ring = smoothstep(0.1, -0.1, np.abs(d + F32(socket.radius - socket.bore)) - F32(0.5))
    hole = floor + F32(0.7) * ring
    here = np.maximum(part.height[block], F32(socket.top - 0.1) * depth)
    part.height[block] = here + (hole - here) * depth
    inside = smoothstep(0.1, -0.1, d)
    if part.metal is not None:
        part.metal[block] *= 1 - inside
    part.alpha[block] += (F32(INSIDE_ALPHA + 0.04) - part.alpha[block]) * inside
    part.grain[block] += (F32(INSIDE_GRAIN) - part.grain[block]) * inside


def _other_kind(part: Fields, socket: Socket) -> None:
    """A plain zinc sleeve with a wide round bore in place of the brass insert."""
    disc = Disc(socket.u, socket.v, socket.radius)
    block = part.block(disc.bounds, 1.0)
    d = part.distance(disc, block)
    inside = smoothstep(0.1, -0.1, d)
    bore = Disc(socket.u, socket.v, socket.radius * 0.68)
    opening = np.clip(F32(0.5) - part.distance(bore, block) * F32(1 / 0.25), 0, 1)
    face = F32(socket.top)
    height = face + (F32(socket.top - 4.0) - face) * opening
    part.height[block] += (height - part.height[block]) * inside
    if part.metal is not None:
        part.metal[block] *= 1 - inside
    part.tint(block, inside, ZINC)
    part.alpha[block] += (F32(0.20) - part.alpha[block]) * inside
    part.grain[block] *= 1 - F32(0.7) * inside


def _ring(view: View, socket: Socket) -> Polygon:
    """The boss of an insert in the picture."""
    return tuple(
        view.to_picture(
            socket.u + socket.boss * math.cos(t), socket.v + socket.boss * math.sin(t), socket.top
        )
        for t in np.linspace(0, 2 * math.pi, 28, endpoint=False).tolist()
    )


def _dial(view: View, gauge: _Gauge) -> Polygon:
    """The dial's case in the picture."""
    X, Y = view.world(gauge.socket.u, gauge.socket.v)
    posed = replace(view, pose=Pose(gauge.turn_deg, X, Y))
    r, top = CASE_MM, gauge.socket.top + 10
    corners = ((-r, REACH_MM - r), (r, REACH_MM - r), (r, REACH_MM + r), (-r, REACH_MM + r))
    return tuple(posed.to_picture(u, v, top) for u, v in corners)
