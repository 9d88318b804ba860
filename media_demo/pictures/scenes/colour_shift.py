"""Colour shift: the part beside its master, under one light. For teaching only.

A screen cannot show a difference of one unit reliably; pictures are for differences of
about three and more, side by side, and are kept lossless.
"""

import math
from dataclasses import dataclass

import numpy as np

from media_demo.pictures import benches, nuisance
from media_demo.pictures.arrays import Rgb, linear, to_srgb
from media_demo.pictures.assembly import empty_bench, lay, part_in
from media_demo.pictures.facets import Material
from media_demo.pictures.fields import Fields
from media_demo.pictures.kinds import Side
from media_demo.pictures.nuisance import Nuisance
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.regions import shape_outline
from media_demo.pictures.renderer import photograph, standing_light
from media_demo.pictures.requests import TILT_DEG, RenderedSpecimen, SpecimenRequest
from media_demo.pictures.resins import RESINS, from_lab, to_lab
from media_demo.pictures.scenes.colour_difference import ciede2000
from media_demo.pictures.scenes.studio import asked
from media_demo.pictures.stage import set_stage
from media_demo.pictures.truth import Look, Truth
from media_demo.pictures.view import Pose, View

UNIT = "dE"
# the difference from which pictures teach, side by side (common practice, no source)
JUST_VISIBLE = 3.0
LADDER = (0.5, 1.0, 2.0, 3.0, 4.5, 7.0)
WIDTH, HEIGHT, GAP_MM = 1200, 900, 16.0


@dataclass(frozen=True)
class _Pair:
    """Two parts in one view: where each lies, and which of them is the piece."""

    request: SpecimenRequest
    side: Side
    view: View
    poses: tuple[Pose, Pose]
    piece: int


def render(request: SpecimenRequest) -> RenderedSpecimen:
    """Render master and piece, the piece ``severity`` units of CIELAB away.

    Raises ValueError for a clear resin: its colour is what lies behind it.
    """
    resin = RESINS[request.resin]
    if resin.clarity:
        raise ValueError("colour-shift needs an opaque resin")
    wanted = asked(request, LADDER[4])
    drawn = nuisance.draw(request.seed, request.light or "form")
    rng = np.random.default_rng([request.seed, 3])
    pair = _arrange(request, drawn, int(rng.integers(2)))
    master = linear(resin.colour)
    piece = _moved(master, wanted, rng)
    bench = benches.lay(drawn.bench, pair.view, np.random.default_rng(drawn.bench_seed))
    camera = drawn.exposed(master, bench.mean)
    material = Material(master, resin.texture)
    stage = set_stage(_two(pair, drawn, piece), bench, drawn.room(bench.mean), material)
    (picture,) = photograph(standing_light(stage, drawn.standing), [drawn.key], camera)
    measured = math.dist(to_lab(master), to_lab(piece))
    look = Look((_outline(pair),), pair.view.px_per_mm, measured / JUST_VISIBLE, 0)
    truth = Truth(
        family=request.family,
        severity=measured,
        unit=UNIT,
        requested=wanted,
        zone=pair.side.rest,
        site="whole part",
        whole=look,
        close_up=None,
        seed=request.seed,
        shown=(
            ("formula", "CIE 1976 (dE*ab)"),
            ("CIEDE2000", f"{ciede2000(to_lab(master), to_lab(piece)):.2f}"),
            ("use", "teaching"),
        ),
    )
    return RenderedSpecimen((picture,), None, truth)


def _arrange(request: SpecimenRequest, drawn: Nuisance, piece: int) -> _Pair:
    """Lay the two one above the other, or side by side, whichever shows them larger."""
    kind = KINDS[request.part]
    side = kind.sides[request.side or "front"]
    box = side.bounds
    wide, tall = box.u1 - box.u0, box.v1 - box.v0
    stacked = min(WIDTH * 0.84 / wide, HEIGHT * 0.84 / (2 * tall + GAP_MM))
    beside = min(WIDTH * 0.84 / (2 * wide + GAP_MM), HEIGHT * 0.84 / tall)
    step = (0.0, (tall + GAP_MM) / 2) if stacked >= beside else (-(wide + GAP_MM) / 2, 0.0)
    mirrored = kind.handed and request.hand == "right"
    middle_u = (box.u0 + box.u1) / 2 * (-1 if mirrored else 1)
    middle_v = (box.v0 + box.v1) / 2
    poses = tuple(
        Pose(drawn.turn_deg * 0.4, s * step[0] - middle_u, s * step[1] - middle_v, mirrored)
        for s in (1, -1)
    )
    scale = int(max(stacked, beside) * 4) / 4
    view = View(WIDTH, HEIGHT, scale, TILT_DEG, Pose())
    return _Pair(request, side, view, (poses[0], poses[1]), piece)


def _moved(master: Rgb, wanted: float, rng: np.random.Generator) -> Rgb:
    """A colour ``wanted`` units away: yellowed, faded or darkened."""
    direction = np.array([rng.normal(0, 0.7), rng.normal(0, 0.2), abs(rng.normal(0.6, 0.5))])
    direction *= wanted / float(np.linalg.norm(direction))
    L, a, b = to_lab(master)
    if L + direction[0] > 97:
        direction[0] = -direction[0]
    return from_lab((L + direction[0], a + direction[1], b + direction[2]))


def _two(pair: _Pair, drawn: Nuisance, piece: Rgb) -> Fields:
    resin = RESINS[pair.request.resin]
    fields = empty_bench(pair.view)
    for i, pose in enumerate(pair.poses):
        part = part_in(pair.view, pose, pair.side, resin, drawn.part_seed)
        lay(fields, part, to_srgb(piece) if i == pair.piece else None)
    fields.texture_offset = drawn.texture_offset
    return fields


def _outline(pair: _Pair) -> tuple[tuple[float, float], ...]:
    view = View(WIDTH, HEIGHT, pair.view.px_per_mm, TILT_DEG, pair.poses[pair.piece])
    middle = pair.side.tallest / 2
    return tuple(view.to_picture(u, v, middle) for u, v in shape_outline(pair.side.outline))
