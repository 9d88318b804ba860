"""From a request to everything the seed decides: side, place, pose, light, severity."""

from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from media_demo.pictures import nuisance
from media_demo.pictures.blemishes import Blemish, leave
from media_demo.pictures.families import FAMILIES, Family
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import PartKind, Side, SideName, Site, somewhere_on
from media_demo.pictures.lamps import Lamp
from media_demo.pictures.nuisance import Light, Nuisance
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.requests import TILT_DEG, SpecimenRequest
from media_demo.pictures.resins import RESINS, ink_for
from media_demo.pictures.sculptor import Sculptor
from media_demo.pictures.view import Pose, View, Window

T = TypeVar("T")

WIDTH, HEIGHT = 1200, 900
CLOSE_WIDTH, CLOSE_HEIGHT = 960, 720
# A sweep of the key lamp is the same for every part, so that two can be laid side by side at the
# same angle. Its middle is the edge of the lamp's reflection in a level face (camera tilt 17).
SWEEP_DEG, SWEEP_MIDDLE_DEG, SWEEP_AZIMUTH_DEG = 2.5, 62.0, 90.0
CLOSE_SCALE = 15.0
FILL = 0.86
LOW_TILT_DEG = 62.0
INSIDE_GRAIN, INSIDE_ALPHA = 0.3, 0.28
CLEAN_CLOSE_UPS = ("face", "gloss face", "edge", "hole edge", "corner", "weld", "gate")


@dataclass(frozen=True)
class Plan:
    """A request with everything drawn that the seed decides.

    ``sought`` is the family the picture is taken for, marked or clean. ``drawn`` is what to ask
    the family for so that the mark measures ``severity``, once that is found.
    """

    request: SpecimenRequest
    kind: PartKind
    side: Side
    family: Family | None
    sought: Family | None
    site: Site | None
    nuisance: Nuisance
    severity: float
    drawn: float | None = None

    @property
    def mirrored(self) -> bool:
        return self.kind.handed and self.request.hand == "right"

    @property
    def bench_rng(self) -> np.random.Generator:
        return np.random.default_rng(self.nuisance.bench_seed)

    @property
    def mark_rng(self) -> np.random.Generator:
        seed = self.request.seed if self.request.mark_seed is None else self.request.mark_seed
        return np.random.default_rng([seed, 3])


def make_plan(request: SpecimenRequest) -> Plan:
    """Draw what the request leaves open.

    Raises ValueError for an unknown part, resin, family or site, for a handed part
    without a hand, and where the part has no place for the family.
    """
    kind = _named(KINDS, request.part, "part kind")
    _named(RESINS, request.resin, "resin")
    if kind.handed and request.hand not in ("left", "right"):
        raise ValueError(f"{kind.slug} is a handed part: ask for hand 'left' or 'right'")
    family = None if request.family is None else _named(FAMILIES, request.family, "family")
    sought = family
    if family is None and request.look_for in FAMILIES:
        sought = FAMILIES[request.look_for]
    seed = request.seed if request.mark_seed is None else request.mark_seed
    rng = np.random.default_rng([seed, 2])
    side_name, site = _place(kind, sought, request, float(rng.random()))
    step = int(rng.integers(3, 6))
    site = site and somewhere_on(site, rng)
    severity = request.severity
    if severity is None:
        severity = family.ladder[min(step, len(family.ladder) - 1)] if family else 0.0
    sweep: Light | None = "reflection" if request.frames > 1 else None
    light = request.light or sweep or _light(sought, request.seed)
    drawn = nuisance.draw(request.seed, light)
    if request.bench:
        drawn = replace(drawn, bench=request.bench)
    side = kind.sides[side_name]
    return Plan(request, kind, side, family, sought, site, drawn, severity)


def _light(sought: Family | None, seed: int) -> Light | None:
    """The light a family is looked for in; None leaves it to the nuisance."""
    if sought is None or not sought.lights:
        return None
    return sought.lights[int(np.random.default_rng([seed, 5]).integers(len(sought.lights)))]


def _named(table: dict[str, T], name: str, what: str) -> T:
    if name not in table:
        raise ValueError(f"unknown {what} {name!r}; one of {', '.join(sorted(table))}")
    return table[name]


def _place(
    kind: PartKind, family: Family | None, request: SpecimenRequest, draw: float
) -> tuple[SideName, Site | None]:
    """Choose the side and the site of the mark (or of the close-up of a clean part)."""
    kinds = family.sites if family else CLEAN_CLOSE_UPS
    sides: list[SideName] = [request.side] if request.side else list(kind.sides)
    if "whole" in kinds:
        side = kind.sides[sides[0]]
        box = side.bounds
        end = box.u0 + 0.86 * (box.u1 - box.u0)
        spot = Site("whole part", "whole", side.rest, end, box.v0, 0, tilt_deg=LOW_TILT_DEG)
        return sides[0], spot
    found = [
        (name, site)
        for name in sides
        if name in kind.sides
        for site in kind.sides[name].sites_for(kinds, request.zone)
        if request.site in (None, site.name)
        and (family is None or family.zones is None or site.zone in family.zones)
    ]
    if found:
        return found[int(draw * len(found))]
    if family and request.family:
        raise ValueError(
            f"{kind.slug} has no place for {family.slug} in zone {request.zone or 'any'}"
            f" (side {request.side or 'any'}, site {request.site or 'any'})"
        )
    return sides[0], None


def key_lamps(plan: Plan) -> list[Lamp]:
    """The key lamp of every frame."""
    key, n = plan.nuisance.key, plan.request.frames
    if n == 1:
        return [key]
    return [
        replace(key, azimuth_deg=SWEEP_AZIMUTH_DEG, elevation_deg=angle)
        for angle in sweep_angles(n)
    ]


def close_lamp(plan: Plan) -> Lamp:
    """The key lamp of the close-up: of a sweep's, the one that is nearest to the family's light."""
    keys = key_lamps(plan)
    lights = plan.sought.lights if plan.sought else ()
    wanted = nuisance.middle_deg(lights[0]) if lights else SWEEP_MIDDLE_DEG
    return min(keys, key=lambda key: abs(key.elevation_deg - wanted))


def sweep_angles(frames: int) -> list[float]:
    """Elevation of the key lamp in the frames of a sweep, degrees over the bench."""
    return [SWEEP_MIDDLE_DEG + (i - (frames - 1) / 2) * SWEEP_DEG for i in range(frames)]


def pixels_per_mm(side: Side) -> float:
    """The scale at which a whole side fills the picture, in steps of a quarter."""
    box = side.bounds
    scale = min(WIDTH * FILL / (box.u1 - box.u0), HEIGHT * FILL / (box.v1 - box.v0))
    return int(scale * 4) / 4


def whole_view(plan: Plan) -> View:
    """The view of the whole part."""
    box, drawn = plan.side.bounds, plan.nuisance
    scale = pixels_per_mm(plan.side)
    loose = 0.012 * WIDTH / scale
    across = (box.u0 + box.u1) / 2 * (-1 if plan.mirrored else 1)
    pose = Pose(
        turn_deg=drawn.turn_deg,
        x_mm=-across + drawn.x_mm * loose,
        y_mm=-(box.v0 + box.v1) / 2 + drawn.y_mm * loose,
        mirrored=plan.mirrored,
    )
    tilt = plan.request.tilt_deg or (plan.site and plan.site.tilt_deg) or TILT_DEG
    return View(WIDTH, HEIGHT, scale, tilt, pose)


def close_view(plan: Plan) -> View:
    """The same specimen from nearer: the camera moves, the part and the lamp stay."""
    whole = whole_view(plan)
    wanted = plan.request.close_up_px_per_mm
    if wanted is None:
        wanted = plan.sought.close_scale if plan.sought else CLOSE_SCALE
    scale = max(wanted, whole.px_per_mm * 1.5)
    site = plan.site
    seed = plan.request.seed if plan.request.mark_seed is None else plan.request.mark_seed
    off = np.random.default_rng([seed, 4]).uniform(-0.2, 0.2, 2)
    u, v, h = (site.u, site.v, site.height) if site else (0.0, 0.0, plan.side.tallest)
    X, Y = whole.world(u, v)
    return replace(
        whole,
        width=CLOSE_WIDTH,
        height=CLOSE_HEIGHT,
        px_per_mm=scale,
        look_at=(
            X + float(off[0]) * CLOSE_WIDTH / scale,
            Y + float(off[1]) * CLOSE_HEIGHT / scale,
            h,
        ),
        supersampling=1.0,
        keystone=0.0,
    )


def good_part(plan: Plan, view: View) -> tuple[Fields, tuple[Blemish, ...]]:
    """The part without the mark, in a view, and the allowed blemishes it carries."""
    resin = RESINS[plan.request.resin]
    margin = min(round(6 * view.fine_per_mm), 160)
    base = view.look_at[2]
    rise = round(max(plan.side.tallest - base, 0) * view.rows_per_mm_up) + 4
    reach = Window(
        -margin - round(base * view.rows_per_mm_up),
        view.fine_height + margin + rise,
        -margin,
        view.fine_width + margin,
    )
    window = view.ground_window(plan.side.bounds, 2.5).clipped(reach).aligned(view.alignment)
    fields = Fields.empty(view, window, resin.alpha)
    fields.grain *= np.float32(resin.grain)
    if plan.side.rest == "C":
        # the inside is not textured
        fields.grain *= np.float32(INSIDE_GRAIN)
        fields.alpha[:] = max(resin.alpha - 0.05, INSIDE_ALPHA)
    fields.lightness = 0.2126 * resin.colour[0] + 0.7152 * resin.colour[1]
    fields.texture_offset = plan.nuisance.texture_offset
    rng = np.random.default_rng(plan.nuisance.part_seed)
    plan.side.build(Sculptor(fields, rng, ink_for(resin)))
    spots = np.random.default_rng([plan.nuisance.part_seed, 1])
    return fields, leave(fields, plan.side, spots)
