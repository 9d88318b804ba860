"""The approved first piece of a job: a good part, photographed the same way every time."""

from media_demo.pictures.kinds import Hand
from media_demo.pictures.plant_parts import part_for_product
from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.specimens import render_specimen


def first_piece_request(
    product: str,
    colour: str,
    hand: Hand | None = None,
    *,
    seed: int = 0,
    frames: int = 1,
) -> SpecimenRequest:
    """What to render for the first piece of a job (product code, colour and hand of the jobs file).

    ``frames=9`` gives the same sweep of light as a nine-frame specimen, so the two can be
    laid side by side at the same angle.
    """
    part = part_for_product(product, colour, hand)
    return SpecimenRequest(
        part=part.part,
        resin=part.resin,
        hand=part.hand,
        side="front",
        seed=seed,
        frames=frames,
        light="form" if frames == 1 else "reflection",
    )


def render_first_piece(
    product: str,
    colour: str,
    hand: Hand | None = None,
    *,
    seed: int = 0,
    frames: int = 1,
) -> RenderedSpecimen:
    """Render the first piece of a job; see `first_piece_request`."""
    return render_specimen(first_piece_request(product, colour, hand, seed=seed, frames=frames))
