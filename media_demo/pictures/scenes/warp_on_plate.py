"""Warp: the part on the plate, no pressure, a taper gauge under its widest gap.

The truth's severity is what the gauge shows, in steps of 0.05 mm. Gaps over 1.55 mm are
beyond the gauge and are made no wider.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image

from media_demo.pictures.arrays import F32
from media_demo.pictures.assembly import lay
from media_demo.pictures.defects import warp
from media_demo.pictures.fields import Fields
from media_demo.pictures.plans import Plan, good_part, make_plan
from media_demo.pictures.regions import Polygon, shape_outline
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.scenes.dial_gauge import READABLE_PX
from media_demo.pictures.scenes.studio import (
    NEAR_GRID,
    Studio,
    asked,
    bench_fields,
    fitted,
    open_studio,
)
from media_demo.pictures.scenes.taper_gauge import (
    HALF_WIDTH,
    HANDLE_MM,
    RUN,
    STEP_MM,
    THICKEST_MM,
    Slid,
    reading_of,
    taper,
)
from media_demo.pictures.shapes import Bounds
from media_demo.pictures.truth import Look, Truth
from media_demo.pictures.view import Pose, View, Window

LADDER = (0.0, 0.2, 0.4, 0.6, 0.8, 1.1, 1.5)
TILT = 46.0
SIZE, CLOSE, CLOSE_SCALE = (1200, 900), (960, 720), 11.0
# how far from the middle to the end the gauge goes in, clear of the rounded corner
PLACE = 0.80


@dataclass(frozen=True)
class _Gap:
    """The gap under a bowed part where the gauge stops: part coordinates, mm."""

    u: float
    v: float
    gap: float


def render(request: SpecimenRequest) -> RenderedSpecimen:
    """Render a part on the plate whose gap reads ``severity`` mm at the gauge."""
    sought = replace(request, family="warp", look_for=None, gauge=False, tilt_deg=TILT)
    plan = make_plan(replace(sought, bench=request.bench or "steel"))
    amount = asked(request, plan.severity)
    view = _whole_view(plan)
    whole = _shoot(request, plan, view, amount)
    near = None
    if request.close_up:
        X, Y = view.world(whole.gap.u, whole.gap.v)
        closer = replace(
            view,
            width=CLOSE[0],
            height=CLOSE[1],
            px_per_mm=CLOSE_SCALE,
            look_at=(X, Y - 12.0, 2.0),
            keystone=0.0,
            supersampling=NEAR_GRID,
        )
        near = _shoot(request, plan, closer, amount)
    truth = Truth(
        family=request.family,
        severity=whole.reading,
        unit="mm",
        requested=amount,
        zone=plan.side.rest,
        site="whole part",
        whole=whole.look,
        close_up=near.look if near else None,
        seed=request.seed,
        shown=(
            ("gauge", "taper gauge"),
            ("reading_mm", f"{whole.reading:.2f}"),
            ("division_mm", f"{STEP_MM:.2f}"),
        ),
    )
    return RenderedSpecimen((whole.picture,), near.picture if near else None, truth)


@dataclass(frozen=True)
class _Shot:
    picture: Image.Image
    gap: _Gap
    reading: float
    look: Look


def _whole_view(plan: Plan) -> View:
    """Part and gauge together."""
    box = plan.side.bounds
    low = box.v0 - THICKEST_MM * RUN * 0.9 - HANDLE_MM
    corners = [(u, v) for u in (box.u0, box.u1) for v in (low, box.v1)]
    return fitted(plan, corners, TILT, SIZE, rise=plan.side.tallest)


def _shoot(request: SpecimenRequest, plan: Plan, view: View, amount: float) -> _Shot:
    """Photograph the part with the gauge in the gap, and a straight one without a gap.

    The straight one only round the gauge: how far it goes in is what is read.
    """
    studio = open_studio(request, view, plan.nuisance)
    part, _ = good_part(plan, view)
    frame = studio.frame_of([_strip(view, plan, _gap_of(part, plan, amount))])
    ground = studio.ground_of(frame, plan.side.tallest + THICKEST_MM)
    straight = part.copy_of(ground) if amount else None
    bowed, gap = _bowed(part, plan, amount)
    laid = _laid(studio, plan, bowed, gap)
    # large, and no longer wanted beside what is laid out
    del part, bowed
    picture, reading = studio.photograph(laid), reading_of(gap.gap)
    if straight is None:
        return _Shot(picture, gap, reading, Look((), view.px_per_mm, 0.0, 0))
    flush = replace(gap, gap=0.0)
    twin = studio.photograph(_laid(studio, plan, straight, flush, ground), frame)
    look = studio.compare(picture, {frame: twin}, [])
    # how many just-readable steps the edge stands from the gauge's tip
    moved = reading * RUN * math.cos(view.tilt) * view.px_per_mm / READABLE_PX
    whole_part = Look((_outline(plan, view),), look.px_per_mm, moved if look.visible else 0.0, 0)
    return _Shot(picture, gap, reading, whole_part)


def _gap_of(part: Fields, plan: Plan, amount: float) -> _Gap:
    """Where the gauge goes in under a part, and how wide the gap there is to be."""
    box = plan.side.bounds
    middle, half = (box.u0 + box.u1) / 2, (box.u1 - box.u0) / 2
    u = middle + _end(plan) * PLACE * half
    return _Gap(u, _foot(part, u), min(amount, THICKEST_MM - STEP_MM))


def _bowed(part: Fields, plan: Plan, amount: float) -> tuple[Fields, _Gap]:
    """The part made to bow, so that its gap at the gauge is as wide as asked."""
    if plan.site is None:
        raise ValueError("warp is judged on the whole part")
    gap = _gap_of(part, plan, amount)
    # the bow is a parabola: what stands up here as asked stands up more at the end
    seed = plan.nuisance.part_seed
    lean = _lean(seed)
    share = ((_end(plan) * PLACE - lean) / (1 + abs(lean))) ** 2
    warp.apply(part, plan.side, plan.site, gap.gap / share, np.random.default_rng(seed))
    return part, gap


def _end(plan: Plan) -> float:
    """The end that stands up more: -1 left, 1 right."""
    return -1.0 if _lean(plan.nuisance.part_seed) > 0 else 1.0


def _lean(seed: int) -> float:
    """The lean that the warp of this seed draws first."""
    return float(np.random.default_rng(seed).uniform(-0.15, 0.15))


def _foot(part: Fields, u: float) -> float:
    """Where the near wall of the part meets the plate."""
    low, high = float(part.v.min()), float(part.v.max())
    block = part.block(Bounds(u - 0.5, low, u + 0.5, high), 0.5)
    beside = np.abs(part.u[block] - F32(u)) < 0.5
    near = beside & (part.solid[block] > 0.5) & (part.height[block] > 0.05)
    return float(part.v[block][near].min()) if near.any() else 0.0


def _laid(
    studio: Studio, plan: Plan, part: Fields, gap: _Gap, within: Window | None = None
) -> Fields:
    """Part and gauge on the plate (or on some of it)."""
    view = studio.view
    fields = bench_fields(view, plan.side.tallest + 6, within=within)
    lay(fields, part)
    if part.lift is not None:
        inner = part.window.clipped(fields.window)
        fields.lift = np.zeros(fields.window.shape, F32)
        fields.lift[inner.slices_in(fields.window)] = part.lift[inner.slices_in(part.window)]
    lay(fields, taper(view, slid_of(view, plan, gap.u, gap.v, reading_of(gap.gap))))
    fields.texture_offset = studio.drawn.texture_offset
    return fields


def slid_of(view: View, plan: Plan, u: float, v: float, reading: float) -> Slid:
    """The gauge pushed in from the near side, square to the edge."""
    X, Y = view.world(u, v)
    return Slid(Pose(plan.nuisance.turn_deg, X, Y), reading)


def _outline(plan: Plan, view: View) -> Polygon:
    middle = plan.side.tallest / 2
    points = shape_outline(plan.side.outline, 1.0)
    return tuple(view.to_picture(u, v, middle) for u, v in points)


def _strip(view: View, plan: Plan, bowed: _Gap) -> Polygon:
    """The gauge in the picture."""
    slid = slid_of(view, plan, bowed.u, bowed.v, 0.0)
    posed = replace(view, pose=slid.pose)
    low = slid.bounds.v0
    corners = ((-HALF_WIDTH, low), (HALF_WIDTH, low), (HALF_WIDTH, 0), (-HALF_WIDTH, 0))
    return tuple(posed.to_picture(a, b, 1.0) for a, b in corners)


def edge_in_picture(view: View, slid: Slid, thickness: float) -> tuple[float, float]:
    """Where the mark of a thickness lies in the picture."""
    posed = replace(view, pose=slid.pose)
    return posed.to_picture(0.0, slid.along(thickness), min(thickness, THICKEST_MM))
