"""Wrong packing: a layer in its tote from above, compared with the pack picture.

``site`` pins what is wrong (a name of ``FAULTS``); ``severity`` is the number of pieces
that lie otherwise than the pack picture has them. With severity 0 the same layer is right.
"""

from dataclasses import dataclass, replace

import numpy as np
from PIL import Image

from media_demo.pictures import nuisance
from media_demo.pictures.arrays import to_srgb
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import PartKind
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.resins import RESINS
from media_demo.pictures.scenes.film import Bag, Films
from media_demo.pictures.scenes.studio import (
    Studio,
    asked,
    bench_fields,
    draw_nuisance,
    in_world_axes,
    kind_of,
    mark_stream,
    open_studio,
    outline_of,
    side_of,
)
from media_demo.pictures.scenes.tote import (
    FLOOR,
    RIM_MM,
    WALL,
    Content,
    Grid,
    Slot,
    draw_tote,
    good_layer,
    grid_of,
    pose_of,
)
from media_demo.pictures.truth import Look, Truth
from media_demo.pictures.view import Pose, View

UNIT = "pieces"
LADDER = (0, 1, 2, 3, 4)
FAULTS = ("missing", "turned", "face down", "no bag", "extra", "faces touch")
OTHER_HAND = "other hand"
# half a turn shows little on these
LOOK_ALIKE_TURNED = ("drawer_front", "vent_cover")
WIDTH, HEIGHT, TILT = 1200, 900, 9.0
CLOSE = (960, 720)


@dataclass(frozen=True)
class _Layer:
    """A layer as it is packed: the slots, and the indices that are wrong."""

    slots: tuple[Slot, ...]
    wrong: tuple[int, ...]


def faults_of(kind: PartKind, grid: Grid) -> tuple[str, ...]:
    """What can go wrong with a part kind's pack and be seen from above."""
    found = ["missing", "extra"]
    if kind.slug not in LOOK_ALIKE_TURNED:
        found.append("turned")
    if len(kind.sides) == 2:
        found.append("face down")
        if grid.pack.style != "bag" and grid.pack.up == "front":
            found.append("faces touch")
    if grid.pack.style == "bag":
        found.append("no bag")
    return tuple(f for f in FAULTS if f in found)


def render(request: SpecimenRequest) -> RenderedSpecimen:
    """Render a packed layer with ``severity`` wrong pieces (a whole number).

    Raises ValueError where the part kind's pack cannot show the fault named by ``site``.
    """
    kind = kind_of(request)
    return render_layer(request, faults_of(kind, grid_of(kind)))


def render_layer(request: SpecimenRequest, able: tuple[str, ...]) -> RenderedSpecimen:
    """Render a layer with one of some faults, the request's ``site`` or drawn."""
    kind = kind_of(request)
    grid = grid_of(kind)
    rng = mark_stream(request)
    fault = _fault(request, able, rng)
    count = min(round(asked(request, float(rng.integers(1, 3)))), grid.pack.count)
    drawn = draw_nuisance(request, "form")
    view, tote = _view(grid, drawn)
    good = tuple(good_layer(grid, np.random.default_rng([drawn.part_seed, 2])))
    layer = _spoil(good, fault, count, grid, rng)
    studio = open_studio(request, view, drawn, lit_by="grey")
    content = Content(
        kind,
        RESINS[request.resin],
        to_srgb(studio.material.colour),
        kind.handed and request.hand == "right",
        drawn.part_seed,
        view,
        tote,
    )
    whole = _shoot(studio, content, grid, layer, good)
    near = None
    if request.close_up:
        near = _shoot(*_nearer(request, studio, content, grid, layer), grid, layer, good)
    truth = Truth(
        family=request.family,
        severity=float(len(layer.wrong)),
        unit=UNIT,
        requested=float(count),
        zone="*",
        site=fault if layer.wrong else None,
        whole=whole[1],
        close_up=near[1] if near else None,
        seed=request.seed,
        shown=(
            ("pack", f"{grid.pack.columns} x {grid.pack.rows}"),
            ("count", str(sum(s.filled for s in layer.slots))),
        ),
    )
    return RenderedSpecimen((whole[0],), near[0] if near else None, truth)


def _fault(request: SpecimenRequest, able: tuple[str, ...], rng: np.random.Generator) -> str:
    drawn = able[int(rng.integers(len(able)))]
    if request.site is None or request.family is None:
        return drawn
    if request.site not in able:
        raise ValueError(
            f"the pack of {request.part} cannot show {request.site!r};"
            f" it can show {', '.join(able)}"
        )
    return request.site


def _view(grid: Grid, drawn: nuisance.Nuisance) -> tuple[View, Pose]:
    """The whole tote from above, a little turned."""
    half_x, half_y = (half + RIM_MM + 6 for half in grid.half)
    scale = min(WIDTH * 0.45 / half_x, HEIGHT * 0.45 / half_y)
    tote = Pose(drawn.turn_deg * 0.3, drawn.x_mm * 4, drawn.y_mm * 3 - 4)
    return View(WIDTH, HEIGHT, int(scale * 20) / 20, TILT, Pose(), distance_mm=1100.0), tote


def _spoil(
    good: tuple[Slot, ...], fault: str, count: int, grid: Grid, rng: np.random.Generator
) -> _Layer:
    """Make ``count`` places wrong in one way."""
    slots = list(good)
    # the same places first, however many there are
    wrong = [int(i) for i in rng.permutation(len(slots))[:count]]
    seeds = rng.integers(2**31, size=len(slots))
    for i in wrong:
        slot = slots[i]
        other = "back" if slot.up == "front" else "front"
        if fault == "missing":
            slots[i] = replace(slot, filled=False, bagged=False)
        elif fault == "turned":
            slots[i] = replace(slot, turn_deg=slot.turn_deg + 180)
        elif fault == "face down":
            slots[i] = replace(slot, up="back" if other == "back" else "front")
        elif fault == "no bag":
            slots[i] = replace(slot, bagged=False)
        elif fault == OTHER_HAND:
            slots[i] = replace(slot, other_hand=True)
        else:
            slots.append(_upon(slot, fault, grid, np.random.default_rng(seeds[i])))
    return _Layer(tuple(slots), tuple(wrong))


def _upon(slot: Slot, fault: str, grid: Grid, rng: np.random.Generator) -> Slot:
    """A piece too many on top of another: crosswise, or face to face with it."""
    off = rng.uniform(-0.12, 0.12, 2) * (grid.cell_x, grid.cell_y)
    x = float(np.clip(slot.x + off[0], -grid.half[0] + 30, grid.half[0] - 30))
    if fault == "extra":
        turn = slot.turn_deg + float(rng.choice((-1, 1)) * rng.uniform(9, 24))
        return replace(slot, x=x, y=slot.y + float(off[1]), turn_deg=turn, on_top=True)
    return replace(
        slot,
        x=x,
        y=slot.y + float(off[1]) + float(rng.choice((-1, 1)) * rng.uniform(4, 9)),
        turn_deg=slot.turn_deg + float(rng.uniform(-7, 7)),
        up="back",
        on_top=True,
    )


def _shoot(
    studio: Studio, content: Content, grid: Grid, layer: _Layer, good: tuple[Slot, ...]
) -> tuple[Image.Image, Look]:
    """Photograph the layer, and the places that are wrong as they should be."""
    view = studio.view
    made, right = dict(enumerate(layer.slots)), dict(enumerate(good))
    same = {i: slot for i, slot in made.items() if right.get(i) == slot}
    fields = _tote(studio, content, grid)
    content.fill(fields, same)
    marks = [content.cell_outline(grid, i) for i in layer.wrong]
    for slot in layer.slots[len(good) :]:
        pose = pose_of(content.kind, slot, content.tote, mirrored=content.mirrored)
        side = side_of(content.kind, slot.up)
        marks.append(outline_of(view, pose, side, FLOOR + side.tallest))
    films = _films(studio, content, layer.slots)
    if not marks:
        return studio.photograph(fields, cover=films), Look((), view.px_per_mm, 0.0, 0)
    frames = studio.frames_of(marks)
    clean = [fields.copy_of(studio.ground_of(frame, WALL)) for frame in frames]
    content.fill(fields, {i: slot for i, slot in made.items() if i not in same})
    whole = replace(films, bags=_films(studio, content, good).bags)
    twins = {}
    for frame, ground in zip(frames, clean, strict=True):
        content.fill(ground, {i: slot for i, slot in right.items() if i not in same})
        twins[frame] = studio.photograph(ground, frame, whole)
    picture = studio.photograph(fields, cover=films)
    return picture, studio.compare(picture, twins, marks)


def _tote(studio: Studio, content: Content, grid: Grid) -> Fields:
    """The empty tote on the bench."""
    view, drawn = studio.view, studio.drawn
    fields = bench_fields(view, WALL + 4, pose=content.tote)
    fields.grain[:] = 0
    draw_tote(fields, grid, drawn.bench_seed)
    in_world_axes(fields)
    fields.texture_offset = drawn.texture_offset
    return fields


def _films(studio: Studio, content: Content, slots: tuple[Slot, ...]) -> Films:
    """The bags of the slots that have one."""
    bags = []
    for i, slot in enumerate(slots):
        if not slot.bagged:
            continue
        side = side_of(content.kind, slot.up)
        box = side.bounds
        pose = pose_of(content.kind, slot, content.tote, mirrored=content.mirrored)
        u, v = (box.u0 + box.u1) / 2, (box.v0 + box.v1) / 2
        x, y = replace(studio.view, pose=pose).world(u, v)
        wide, tall = (box.u1 - box.u0) / 2, (box.v1 - box.v0) / 2
        top = FLOOR + 0.6 + side.tallest * 0.9
        seed = studio.drawn.part_seed + 1000 + i
        turn = pose.turn_deg
        bags.append(Bag(x, y, turn, wide + 8.5, tall + 6.5, wide - 1, tall - 1, top, seed))
    return Films(studio.view, studio.drawn, tuple(bags))


def _nearer(
    request: SpecimenRequest, studio: Studio, content: Content, grid: Grid, layer: _Layer
) -> tuple[Studio, Content]:
    """The camera nearer to a wrong place (to any place of a good layer)."""
    index = layer.wrong[0] if layer.wrong else studio.drawn.part_seed % grid.pack.count
    x, y = grid.middle(index)
    X, Y = replace(studio.view, pose=content.tote).world(x, y)
    scale = min(0.5 * CLOSE[0] / grid.cell_x, 0.5 * CLOSE[1] / grid.cell_y, 8.0)
    view = replace(
        studio.view,
        width=CLOSE[0],
        height=CLOSE[1],
        px_per_mm=max(scale, studio.view.px_per_mm * 1.3),
        look_at=(X, Y, FLOOR),
        keystone=0.0,
    )
    return open_studio(request, view, studio.drawn, lit_by="grey"), replace(content, view=view)
