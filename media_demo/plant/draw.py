"""Drawing one planned specimen or first piece in a worker process: pictures, encoded, with truth.

The worker imports no Django: it hands back bytes and numbers that the parent writes down.
"""

from dataclasses import dataclass

from media_demo.pictures.first_piece import render_first_piece
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
        zone=planned.zone if marked and planned.zone != "*" else None,
        frames=planned.frames,
        close_up=True,
    )


def draw_first_piece(
    product: str, colour: str, hand: str | None, seed: int
) -> tuple[Encoded, float]:
    """Render and encode the approved first piece of a job; return it with its scale."""
    rendered = render_first_piece(product, colour, hand, seed=seed)  # type: ignore[arg-type]
    return encode(rendered.frames[0]), rendered.truth.whole.px_per_mm


def _views(rendered: RenderedSpecimen) -> tuple[DrawnView, ...]:
    whole = DrawnView(tuple(encode(f) for f in rendered.frames), False, rendered.truth.whole)
    if rendered.close_up is None or rendered.truth.close_up is None:
        return (whole,)
    return (whole, DrawnView((encode(rendered.close_up),), True, rendered.truth.close_up))
