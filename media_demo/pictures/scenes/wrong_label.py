"""Wrong label: a closed box with its label, and the job's ticket beside it.

``site`` pins the field that differs (a name of ``FAULTS``, or "missing"); ``severity`` is
the number of things wrong, 0 or 1. With severity 0 label and ticket agree in every field.
"""

from dataclasses import dataclass, replace

import numpy as np
from PIL import Image, ImageChops

from media_demo.pictures.arrays import F32, Rgb
from media_demo.pictures.assembly import lay
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side
from media_demo.pictures.noise import cloud_tile, crop, streak_tile
from media_demo.pictures.nuisance import Nuisance
from media_demo.pictures.regions import Polygon
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.scenes.box_label import (
    LABEL_MM,
    PX_PER_MM,
    TICKET_MM,
    LabelFields,
    label_picture,
    ticket_picture,
)
from media_demo.pictures.scenes.label_data import WRONG, right_fields
from media_demo.pictures.scenes.props import print_picture, prop, raise_solid
from media_demo.pictures.scenes.studio import (
    NEAR_GRID,
    Studio,
    asked,
    bench_fields,
    draw_nuisance,
    kind_of,
    mark_stream,
    open_studio,
    side_of,
)
from media_demo.pictures.shapes import Bounds, Box
from media_demo.pictures.truth import Look, Truth
from media_demo.pictures.view import Pose, View, Window

UNIT = "pieces"
LADDER = (0, 1)
MISSING = "missing"
FAULTS = (*WRONG, MISSING)
WIDTH, HEIGHT, SCALE, TILT = 1200, 900, 4.75, 14.0
CLOSE, CLOSE_SCALE = (960, 720), 7.5
CARTON_MM, PAPER_MM = 11.0, 0.35
KRAFT: Rgb = (0.66, 0.53, 0.38)
TAPE: Rgb = (0.60, 0.46, 0.30)
CARTON = Box(-74.0, 0.0, 70.0, 110.0, 2.0)


@dataclass(frozen=True)
class _Papers:
    """Label and ticket as printed, with their poses; no label where it is missing.

    ``right`` is the label as it should be.
    """

    label: Image.Image | None
    right: Image.Image
    ticket: Image.Image
    label_pose: Pose
    ticket_pose: Pose
    seed: int


def render(request: SpecimenRequest) -> RenderedSpecimen:
    """Render a box and its ticket; the label is wrong in one field where severity is 1.

    Raises ValueError for a field that a label does not have, and for "hand" where the
    part is not handed.
    """
    kind = kind_of(request)
    hand = (request.hand or "") if kind.handed else ""
    rng = mark_stream(request)
    fault = _fault_of(request, hand, rng)
    drawn = draw_nuisance(request, "form")
    run = np.random.default_rng([request.seed, 8])
    right = right_fields(request.part, request.resin, hand, run)
    is_wrong = asked(request, 1.0) >= 0.5
    said: LabelFields | None = right
    if is_wrong:
        said = None if fault == MISSING else WRONG[fault](right, rng)
    papers = _printed(said, right, side_of(kind, "front"), drawn)
    view = View(WIDTH, HEIGHT, SCALE, TILT, Pose())
    studio = open_studio(request, view, drawn, lit_by="natural")
    picture, seen = _shoot(studio, papers, fault)
    near = None
    if request.close_up:
        x, y = papers.label_pose.x_mm, papers.label_pose.y_mm
        closer = replace(
            view,
            width=CLOSE[0],
            height=CLOSE[1],
            px_per_mm=CLOSE_SCALE,
            look_at=(x, y, CARTON_MM),
            keystone=0.0,
            supersampling=NEAR_GRID,
        )
        near = _shoot(open_studio(request, closer, drawn, lit_by="natural"), papers, fault)
    truth = Truth(
        family=request.family,
        severity=float(is_wrong),
        unit=UNIT,
        requested=asked(request, 1.0),
        zone="*",
        site=fault if is_wrong else None,
        whole=seen,
        close_up=near[1] if near else None,
        seed=request.seed,
        shown=(*(said.pairs("label") if said else ()), *right.pairs("ticket")),
    )
    return RenderedSpecimen((picture,), near[0] if near else None, truth)


def _printed(said: LabelFields | None, right: LabelFields, side: Side, drawn: Nuisance) -> _Papers:
    """Print the label as it is and as it should be, and the ticket; lay them out."""
    as_it_should_be = label_picture(right, side)
    label: Image.Image | None = as_it_should_be
    if said != right:
        label = None if said is None else label_picture(said, side)
    return _Papers(
        label,
        as_it_should_be,
        ticket_picture(right, drawn.part_seed),
        Pose(drawn.turn_deg * 0.4, -66 + drawn.x_mm * 3, drawn.y_mm * 8),
        Pose(-drawn.turn_deg * 0.6, 62 + drawn.y_mm * 3, -drawn.x_mm * 6),
        drawn.part_seed,
    )


def _fault_of(request: SpecimenRequest, hand: str, rng: np.random.Generator) -> str:
    """The field that is wrong: the one asked for, else one of those that the part can have."""
    able = [f for f in FAULTS if f != "hand" or hand]
    drawn = able[int(rng.integers(len(able)))]
    if request.site is None or request.family is None:
        return drawn
    if request.site not in able:
        raise ValueError(f"no label field {request.site!r} here; one of {', '.join(able)}")
    return request.site


def _shoot(studio: Studio, papers: _Papers, fault: str) -> tuple[Image.Image, Look]:
    """Photograph the papers, and the label as it should be."""
    fields = _unlabelled(studio, papers)
    if papers.label is papers.right:
        _stick(fields, studio, papers, papers.right)
        return studio.photograph(fields), Look((), studio.view.px_per_mm, 0.0, 0)
    frame = studio.frame_of([_differing(studio.view, papers)])
    clean = fields.copy_of(studio.ground_of(frame, CARTON_MM))
    if papers.label is not None:
        _stick(fields, studio, papers, papers.label)
    _stick(clean, studio, papers, papers.right)
    twin = studio.photograph(clean, frame)
    picture = studio.photograph(fields)
    marks = [label_outline(studio.view, papers.label_pose)] if fault == MISSING else []
    return picture, studio.compare(picture, {frame: twin}, marks)


def _differing(view: View, papers: _Papers) -> Polygon:
    """What of the label is printed otherwise than it should be: all where it is missing."""
    box = papers.label and ImageChops.difference(papers.label, papers.right).getbbox()
    x0, y0, x1, y1 = box or (0, 0, *papers.right.size)
    left, top = -LABEL_MM[0] / 2, LABEL_MM[1] / 2
    place = Bounds(
        left + x0 / PX_PER_MM, top - y1 / PX_PER_MM, left + x1 / PX_PER_MM, top - y0 / PX_PER_MM
    )
    return _on_label(view, papers.label_pose, place)


def label_outline(view: View, pose: Pose) -> Polygon:
    """The label's corners in the picture: top left, top right, bottom right, bottom left."""
    return _on_label(view, pose, Box(0, 0, LABEL_MM[0] / 2, LABEL_MM[1] / 2).bounds)


def _on_label(view: View, pose: Pose, box: Bounds) -> Polygon:
    posed = replace(view, pose=pose)
    corners = ((box.u0, box.v1), (box.u1, box.v1), (box.u1, box.v0), (box.u0, box.v0))
    return tuple(posed.to_picture(u, v, CARTON_MM + PAPER_MM) for u, v in corners)


def _unlabelled(studio: Studio, papers: _Papers) -> Fields:
    """The box from above without its label, and the ticket on the bench."""
    view = studio.view
    fields = bench_fields(view, CARTON_MM + 2)
    lay(fields, _carton(view, papers.seed))
    sheet = _Sheet(papers.ticket_pose, papers.ticket, TICKET_MM, papers.seed + 1)
    lay(fields, _paper(view, sheet, fields.window))
    return fields


def _stick(fields: Fields, studio: Studio, papers: _Papers, printed: Image.Image) -> None:
    """Put a label on the box."""
    sheet = _Sheet(papers.label_pose, printed, LABEL_MM, papers.seed)
    lay(fields, _paper(studio.view, sheet, fields.window), lift=CARTON_MM)


def _carton(view: View, seed: int) -> Fields:
    """The lid of a corrugated box: fibres, faint flutes, the gap of the flaps, tape."""
    rng = np.random.default_rng(seed)
    thing = prop(view, Pose(), CARTON.bounds, alpha=0.7)
    raise_solid(thing, CARTON, CARTON_MM, KRAFT, fillet=1.2, draft=0.9)
    rows, cols = thing.window.shape
    spots = rng.integers(0, 1024, 6)
    clouds = crop(cloud_tile(1.5), range(rows), range(cols), (int(spots[0]), int(spots[1])))
    fibre = streak_tile(3.0, 0.9)
    fibres = crop(fibre, range(rows), range(cols), (int(spots[2]), int(spots[3])))
    flute = np.sin(thing.u * F32(2 * np.pi / 7.0)) * F32(0.012)
    if thing.paint is not None:
        shade = 1 + F32(0.03) * clouds + F32(0.016) * fibres + flute
        for add in thing.paint.add:
            np.multiply(add, shade, out=add)
    thing.slope_u += np.cos(thing.u * F32(2 * np.pi / 7.0)) * F32(0.010)
    _tape(thing)
    thing.height[:] = np.maximum(thing.height, 0)
    return thing


def _tape(thing: Fields) -> None:
    """The tape over the flaps' gap, and the gap it bridges."""
    gap = thing.block(Box(-74, -56, 80, 1.0).bounds, 0.5)
    d = np.abs(thing.v[gap] + F32(56.0))
    inside = thing.solid[gap] > 0.5
    thing.height[gap] -= np.clip(1 - d * F32(1 / 1.1), 0, 1) * F32(0.5) * inside
    tape = Box(-74, -56, 80, 24, 0.2)
    block = thing.block(tape.bounds, 0.5)
    w = thing.cover(thing.distance(tape, block)) * (thing.solid[block] > 0.5)
    thing.tint(block, w * F32(0.42), TAPE)
    thing.alpha[block] += (F32(0.16) - thing.alpha[block]) * w
    thing.height[block] += F32(0.06) * w


@dataclass(frozen=True)
class _Sheet:
    """A printed sheet: where it lies, its print, its size in mm, what bends it."""

    pose: Pose
    picture: Image.Image
    size: tuple[float, float]
    seed: int


def _paper(view: View, sheet: _Sheet, within: Window) -> Fields:
    """A printed sheet lying not quite flat, as far as it lies within a window."""
    rng = np.random.default_rng(sheet.seed)
    shape = Box(0, 0, sheet.size[0] / 2, sheet.size[1] / 2, 1.2)
    whole = prop(view, sheet.pose, shape.bounds, alpha=0.46)
    thing = whole.crop(within)
    if 0 in thing.window.shape:
        return thing
    raise_solid(thing, shape, PAPER_MM, (0.9, 0.9, 0.88), fillet=0.1, draft=0.15)
    print_picture(thing, sheet.picture, shape, gain=(0.80, 0.008))
    rows, cols = thing.window.slices_in(whole.window)
    spot = (int(rng.integers(1024)), int(rng.integers(1024)))
    clouds = crop(cloud_tile(2.2), range(rows.start, rows.stop), range(cols.start, cols.stop), spot)
    bend = np.gradient(clouds * F32(0.05 * thing.view.fine_per_mm))
    thing.slope_v -= np.asarray(bend[0], F32)
    thing.slope_u += np.asarray(bend[1], F32)
    return thing
