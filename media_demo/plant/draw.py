"""Drawing one planned specimen or first piece in a worker process: pictures, encoded, with truth.

The worker imports no Django: it hands back bytes and numbers that the parent writes down.
"""

from dataclasses import dataclass

from media_demo.pictures.first_piece import first_piece_request
from media_demo.pictures.plans import make_plan, whole_view
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.specimens import render_specimen
from media_demo.pictures.truth import Look, Truth
from media_demo.plant.bank import BAD, CLEAN, Planned
from training.specimens.pictures.encode import Encoded, encode

# What lies this near to its limit is nobody's to examine: measuring it again might turn it round.
UNSURE = 0.02
SWEEP_STEP_DEG = 2.5


@dataclass(frozen=True)
class DrawnView:
    """The encoded frames of one view and where its mark lies."""

    frames: tuple[Encoded, ...]
    close_up: bool
    look: Look


@dataclass(frozen=True)
class Drawn:
    """A planned specimen as it came out, measured."""

    planned: Planned
    views: tuple[DrawnView, ...]
    truth: Truth

    @property
    def ratio(self) -> float | None:
        """Measured severity ÷ the job's limit; None where nothing is accepted or nothing is there."""
        if self.planned.limit is None or self.truth.family is None:
            return None
        return self.truth.severity / self.planned.limit

    @property
    def visible(self) -> bool:
        return any(view.look.visible for view in self.views)

    @property
    def examinable(self) -> bool:
        """Whether it lies on the side it was meant for, clear of the limit, and can be seen."""
        if self.planned.kind == CLEAN or self.truth.family is None:
            return True
        if self.planned.kind == BAD and not self.visible:
            return False
        ratio = self.ratio
        if ratio is None:
            return self.planned.kind == BAD
        return ratio >= 1 + UNSURE if self.planned.kind == BAD else ratio <= 1 - UNSURE


def draw_specimen(planned: Planned) -> Drawn:
    """Render and encode one planned specimen."""
    rendered = render_specimen(request_for(planned))
    return Drawn(planned, _views(rendered), rendered.truth)


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
    )


@dataclass(frozen=True)
class DrawnFirstPiece:
    """An approved first piece, its scale, and its corners in shares of the picture's sides."""

    picture: Encoded
    px_per_mm: float
    corners: tuple[tuple[float, float], ...]

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Return where on the picture a place of the part lies; both in shares from the top left."""
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = self.corners
        top = (ax + (bx - ax) * x, ay + (by - ay) * x)
        low = (cx + (dx - cx) * x, cy + (dy - cy) * x)
        return top[0] + (low[0] - top[0]) * y, top[1] + (low[1] - top[1]) * y


def draw_first_piece(product: str, colour: str, hand: str | None, seed: int) -> DrawnFirstPiece:
    """Render and encode the approved first piece of a job."""
    request = first_piece_request(product, colour, hand, seed=seed)  # type: ignore[arg-type]
    rendered, plan = render_specimen(request), make_plan(request)
    box, view = plan.side.bounds, whole_view(plan)
    width, height = rendered.frames[0].size
    sides = (box.u1, box.u0) if plan.mirrored else (box.u0, box.u1)
    places = [view.to_picture(u, v) for v in (box.v1, box.v0) for u in sides]
    return DrawnFirstPiece(
        encode(rendered.frames[0]),
        rendered.truth.whole.px_per_mm,
        tuple((x / width, y / height) for x, y in places),
    )


def _views(rendered: RenderedSpecimen) -> tuple[DrawnView, ...]:
    whole = DrawnView(tuple(encode(f) for f in rendered.frames), False, rendered.truth.whole)
    if rendered.close_up is None or rendered.truth.close_up is None:
        return (whole,)
    return (whole, DrawnView((encode(rendered.close_up),), True, rendered.truth.close_up))
