"""Where a gauge stands on a part, which way it points, and how both are looked at."""

import math
from dataclasses import dataclass, replace

import numpy as np

from media_demo.pictures.arrays import Array
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Site
from media_demo.pictures.plans import Plan, good_part
from media_demo.pictures.requests import TILT_DEG
from media_demo.pictures.scenes.dial_gauge import (
    BODY,
    CASE_MM,
    GAUGE_MM,
    REACH_MM,
    STOPS_MM,
    Dial,
    Stand,
)
from media_demo.pictures.shapes import Bounds, Shape
from media_demo.pictures.view import Pose, View

WIDTH, HEIGHT = 1200, 900
CLOSE, CLOSE_SCALE = (960, 720), 11.5
# how far its feet reach, and how high the part may rise under them and under the dial
FOOT_MM, FOOT_CLEAR_MM, DIAL_CLEAR_MM = 13.0, 0.8, 5.0
# how far a stop may stand off the wall, which is round
STOPS_CLEAR_MM = 1.0
# how far a wall may stand out of its site at the parting line
WALL_MM = 4.0


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


@dataclass(frozen=True)
class Setup:
    """A plan with its gauge: what is measured, how, and where the gauge stands.

    ``raised_mm`` is how far above the face round the mark the feet stand, on walls.
    """

    plan: Plan
    slug: str
    measure: Measure
    site: Site
    turn_deg: float
    zero_deg: float
    raised_mm: float = 0.0


def turn_of(plan: Plan, site: Site, measure: Measure) -> tuple[float, float]:
    """Which way the gauge points (+v of its own axes, degrees of the world), how far it is raised."""
    pose = _pose(plan, 0.0, 0.0)
    if not measure.bridge:
        normal = math.radians(site.angle)
        du = math.cos(normal) * (-1 if pose.mirrored else 1)
        out = math.degrees(math.atan2(math.sin(normal), du)) + pose.turn_deg
        return out - 90.0, 0.0
    box = plan.side.bounds
    du = ((box.u0 + box.u1) / 2 - site.u) * (-1 if pose.mirrored else 1)
    dv = (box.v0 + box.v1) / 2 - site.v
    spread = float(np.random.default_rng([plan.request.seed, 11]).uniform(-20, 20))
    inwards = math.degrees(math.atan2(dv, du)) + pose.turn_deg + spread
    heading, raised = _clear_of_the_part(plan, site, inwards)
    return heading - 90.0, raised


def _clear_of_the_part(plan: Plan, site: Site, wanted_deg: float) -> tuple[float, float]:
    """The direction next to the wanted one in which no wall or grip rises into the gauge.

    Where there is none, the one in which it must be raised least, and how far.
    """
    view = View(600, 450, 2.0, TILT_DEG, _pose(plan, 0, 0))
    X, Y = view.world(site.u, site.v)
    view = replace(view, pose=_pose(plan, -X, -Y))
    part, _ = good_part(plan, view)
    x, y = view.ground_of(part.window)
    base = _seat(part, site)
    raised = []
    for off in (0, 180, 40, -40, 140, -140, 80, -80):
        a = math.radians(wanted_deg + off)
        ca, sa = np.float32(math.cos(a)), np.float32(math.sin(a))
        along, across = x * ca + y * sa, y * ca - x * sa
        dial = np.hypot(along - np.float32(REACH_MM), across) < CASE_MM + 1
        arm = (along > 6) & (along < REACH_MM) & (np.abs(across) < 4.5)
        feet = (np.abs(along) < 3) & (np.abs(across) < FOOT_MM)
        over = float(part.height[dial | arm].max(initial=0.0)) - (base + DIAL_CLEAR_MM)
        under = float(part.height[feet].max(initial=0.0)) - base
        raised.append((max(over, under if under > FOOT_CLEAR_MM else 0.0, 0.0), off))
        if not raised[-1][0]:
            break
    # half a millimetre less is not worth another direction
    least, off = min(raised, key=lambda found: round(found[0]))
    return wanted_deg + off, least


def _pose(plan: Plan, x: float, y: float) -> Pose:
    mirrored = plan.kind.handed and plan.request.hand == "right"
    return Pose(plan.nuisance.turn_deg, x, y, mirrored)


def whole_view(setup: Setup) -> View:
    """Part and gauge together, as large as both allow."""
    plan, site = setup.plan, setup.site
    view = View(WIDTH, HEIGHT, 4.0, TILT_DEG, _pose(plan, 0, 0))
    box = plan.side.bounds
    points = [view.world(u, v) for u in (box.u0, box.u1) for v in (box.v0, box.v1)]
    mark = view.world(site.u, site.v)
    a = math.radians(setup.turn_deg + 90)
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


def near_view(setup: Setup, whole: View) -> View:
    """The gauge and the mark from nearer."""
    X, Y = whole.world(setup.site.u, setup.site.v)
    a = math.radians(setup.turn_deg + 90)
    far = (REACH_MM + CASE_MM - 10) / 2
    look_at = (X + far * math.cos(a), Y + far * math.sin(a), setup.site.height + 6)
    return replace(
        whole,
        width=CLOSE[0],
        height=CLOSE[1],
        px_per_mm=max(CLOSE_SCALE, whole.px_per_mm * 1.2),
        look_at=look_at,
        keystone=0.0,
        supersampling=1.0,
    )


@dataclass(frozen=True)
class _Roomy:
    """An outline with room around it for what is laid on or beside the part."""

    outline: Shape
    bounds: Bounds

    def distance(self, u: Array, v: Array) -> Array:
        return self.outline.distance(u, v)


def with_room(setup: Setup, view: View) -> Plan:
    """The plan with room for the gauge in the part's fields."""
    plan, site, pose = setup.plan, setup.site, view.pose
    # a wall may stand a little out of its site
    body = BODY.grown(WALL_MM + 3)
    turn = math.radians(setup.turn_deg - pose.turn_deg)
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


def stand_of(view: View, setup: Setup, good: Fields) -> Stand:
    """Where the gauge stands: on the part's face, or against its wall on the setup."""
    site = setup.site
    u, v = site.u, site.v
    tip = 3.0
    if not setup.measure.bridge:
        a = math.radians(site.angle)
        wall = _wall(good, site)
        u, v = u + wall * math.cos(a), v + wall * math.sin(a)
        tip = max(site.parting, 1.2)
    X, Y = view.world(u, v)
    bridge = setup.measure.bridge
    base = _seat(good, site) + setup.raised_mm if bridge else 0.0
    stand = Stand(Pose(setup.turn_deg, X, Y), base, setup.zero_deg, bridge, tip)
    return stand if bridge else replace(stand, stops_mm=_stops_at(setup))


def _stops_at(setup: Setup) -> float:
    """How far to either side the stops still meet the wall."""
    site, a = setup.site, math.radians(setup.site.angle)
    for along in STOPS_MM:
        sides = np.array((-along, along), np.float32)
        u = np.float32(site.u) - sides * np.float32(math.sin(a))
        v = np.float32(site.v) + sides * np.float32(math.cos(a))
        if float(setup.plan.side.outline.distance(u, v).max()) < STOPS_CLEAR_MM:
            return along
    return STOPS_MM[-1]


def _seat(good: Fields, site: Site) -> float:
    """The highest face under the bridge's feet."""
    part = _around(good, site, 4.0)
    near = np.hypot(part.u - np.float32(site.u), part.v - np.float32(site.v)) < 4.0
    here = part.height[near & (part.solid > 0.5)]
    return float(np.median(here)) if here.size else site.height


def _wall(good: Fields, site: Site) -> float:
    """How far out of the site the wall stands at the height of the parting line."""
    part, a = _around(good, site, WALL_MM + 1), math.radians(site.angle)
    du, dv = part.u - np.float32(site.u), part.v - np.float32(site.v)
    out = du * np.float32(math.cos(a)) + dv * np.float32(math.sin(a))
    along = dv * np.float32(math.cos(a)) - du * np.float32(math.sin(a))
    wall = (np.abs(along) < 1.0) & (np.abs(out) < WALL_MM) & (part.height >= site.parting)
    return float(out[wall].max(initial=0.0))


def _around(part: Fields, site: Site, reach: float) -> Fields:
    """What lies round a site."""
    box = Bounds(site.u, site.v, site.u, site.v)
    return part.crop(part.view.ground_window(box, reach))
