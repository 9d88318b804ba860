"""Drawing one planned specimen or first piece in a worker process: pictures, encoded, with truth.

The worker imports no Django: it hands back bytes and numbers that the parent writes down.
"""

import io
from dataclasses import dataclass, replace

from PIL import Image

from media_demo.pictures.families import FAMILIES
from media_demo.pictures.first_piece import first_piece_request
from media_demo.pictures.plans import make_plan, sweep_angles, whole_view
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.specimens import render_specimen
from media_demo.pictures.truth import Look, Truth
from media_demo.plant.bank import BAD, CLEAN, Planned
from media_demo.plant.places import TAUGHT_ONLY
from training.specimens.pictures.encode import Encoded, encode

# What lies this near to its limit is nobody's to examine: measuring it again might turn it round.
UNSURE = 0.02
# Marks made again: to the side of the limit they were meant for, or where they can be seen.
TRIES, WORSE = 4, 1.5


@dataclass(frozen=True)
class Lossless:
    """A picture kept to the last level, as WebP: for colours that are to be compared."""

    data: bytes
    width: int
    height: int


@dataclass(frozen=True)
class DrawnView:
    """The encoded frames of one view with the light's angle of each, and where its mark lies."""

    frames: tuple[Encoded | Lossless, ...]
    close_up: bool
    look: Look
    angles_deg: tuple[float | None, ...]


@dataclass(frozen=True)
class Drawn:
    """A planned specimen as it came out, measured."""

    planned: Planned
    views: tuple[DrawnView, ...]
    truth: Truth

    @property
    def ratio(self) -> float | None:
        """Measured severity ÷ the job's limit; None where nothing is accepted or nothing is there.

        A gauge reads minus for what is sunk; limits of height hold both ways from zero.
        """
        if self.planned.limit is None or self.truth.family is None:
            return None
        return abs(self.truth.severity) * self.planned.per_mm / self.planned.limit

    @property
    def visible(self) -> bool:
        near = self.truth.close_up
        return self.truth.whole.visible or (near is not None and near.visible)

    @property
    def on_its_side(self) -> bool:
        """Whether it lies on the side of the limit it was meant for, and clear of it."""
        if self.truth.family is None:
            return self.planned.kind != BAD
        ratio = self.ratio
        if ratio is None:
            return self.planned.kind == BAD and self.truth.severity > 0
        return ratio >= 1 + UNSURE if self.planned.kind == BAD else ratio <= 1 - UNSURE

    @property
    def examinable(self) -> bool:
        """Whether it may be judged: on its side, and what makes it bad can be seen."""
        return self.on_its_side and (self.planned.kind != BAD or self.visible)


def draw_specimen(planned: Planned) -> Drawn:
    """Render and encode one planned specimen, made anew a few times where it came out otherwise.

    Bench, pose and light stay as they are; the mark is made to measure, or elsewhere and worse.
    All but the last try may be given up before every picture is drawn.
    """
    request = request_for(planned)

    def useless(truth: Truth) -> bool:
        return not Drawn(planned, (), truth).examinable

    for again in range(1, TRIES + 1):
        rendered = render_specimen(request, None if again == TRIES else useless)
        drawn = Drawn(planned, (), rendered.truth)
        if drawn.examinable or again == TRIES:
            break
        if drawn.on_its_side:
            request = _plainer(request, planned, again)
        else:
            request = _to_measure(request, drawn)
    return replace(drawn, views=_views(planned, rendered))


def _plainer(request: SpecimenRequest, planned: Planned, again: int) -> SpecimenRequest:
    """Ask for the mark elsewhere, from the second time on for a worse one too."""
    severity, marks = request.severity, planned.family in FAMILIES and not planned.gauge
    if severity and marks and again > 1:
        severity *= WORSE
    return replace(request, mark_seed=planned.seed + again, severity=severity)


def _to_measure(request: SpecimenRequest, drawn: Drawn) -> SpecimenRequest:
    """Ask for more or less, by how far the made mark missed."""
    wanted, made = drawn.planned.severity, abs(drawn.truth.severity)
    if not wanted or not made or not request.severity:
        return replace(request, mark_seed=drawn.planned.seed + 1)
    return replace(request, severity=request.severity * wanted / made)


def request_for(planned: Planned) -> SpecimenRequest:
    marked = planned.kind != CLEAN and planned.severity is not None
    return SpecimenRequest(
        part=planned.part,
        resin=planned.resin,
        seed=planned.seed,
        hand=planned.hand,  # type: ignore[arg-type]
        family=planned.family if marked else None,
        severity=planned.severity if marked else None,
        zone=planned.zone if planned.zone != "*" else None,
        frames=planned.frames,
        close_up=True,
        # A clean part is photographed like a marked one, or the picture would tell them apart.
        look_for=None if marked else planned.family,
        gauge=planned.gauge,
    )


@dataclass(frozen=True)
class DrawnFirstPiece:
    """An approved first piece, its scale, and its corners in shares of the picture's sides.

    With more than one frame the light goes through the same angles as in a specimen's sweep.
    """

    frames: tuple[Encoded, ...]
    angles_deg: tuple[float | None, ...]
    px_per_mm: float
    corners: tuple[tuple[float, float], ...]

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Return where on the picture a place of the part lies; both in shares from the top left."""
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = self.corners
        top = (ax + (bx - ax) * x, ay + (by - ay) * x)
        low = (cx + (dx - cx) * x, cy + (dy - cy) * x)
        return top[0] + (low[0] - top[0]) * y, top[1] + (low[1] - top[1]) * y


def draw_first_piece(
    product: str, colour: str, hand: str | None, seed: int, frames: int
) -> DrawnFirstPiece:
    """Render and encode the approved first piece of a job."""
    request = first_piece_request(product, colour, hand, seed=seed, frames=frames)  # type: ignore[arg-type]
    rendered, plan = render_specimen(request), make_plan(request)
    box, view = plan.side.bounds, whole_view(plan)
    width, height = rendered.frames[0].size
    sides = (box.u1, box.u0) if plan.mirrored else (box.u0, box.u1)
    places = [view.to_picture(u, v) for v in (box.v1, box.v0) for u in sides]
    return DrawnFirstPiece(
        tuple(encode(frame) for frame in rendered.frames),
        angles_of(len(rendered.frames)),
        rendered.truth.whole.px_per_mm,
        tuple((x / width, y / height) for x, y in places),
    )


def angles_of(frames: int) -> tuple[float | None, ...]:
    """The height of the light over the bench in each frame of a sweep; None for a single one."""
    return tuple(sweep_angles(frames)) if frames > 1 else (None,)


def _views(planned: Planned, rendered: RenderedSpecimen) -> tuple[DrawnView, ...]:
    lossless = planned.family == TAUGHT_ONLY
    frames = tuple(_lossless(f) if lossless else encode(f) for f in rendered.frames)
    whole = DrawnView(frames, False, rendered.truth.whole, angles_of(len(frames)))
    if rendered.close_up is None or rendered.truth.close_up is None:
        return (whole,)
    near = (encode(rendered.close_up),)
    return (whole, DrawnView(near, True, rendered.truth.close_up, angles_of(1)))


def _lossless(picture: Image.Image) -> Lossless:
    out = io.BytesIO()
    picture.convert("RGB").save(out, "WEBP", lossless=True, quality=40, method=2)
    return Lossless(out.getvalue(), picture.width, picture.height)
