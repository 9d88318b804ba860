"""Pictures that belong together: ladders of severity, contrast pairs, look-alikes.

All are plain requests; render them one by one or on several cores.
"""

from dataclasses import replace

from media_demo.pictures.families import FAMILIES
from media_demo.pictures.kinds import Hand, SideName
from media_demo.pictures.parts.registry import KINDS
from media_demo.pictures.requests import SpecimenRequest

# families that people take for one another, most confusable first
# (common practice, no source)
LOOK_ALIKES: tuple[tuple[str, str], ...] = (
    ("weld-line", "crack"),
    ("weld-line", "scuff"),
    ("flow-line", "jetting"),
    ("flow-line", "gloss"),
    ("splay", "scuff"),
    ("splay", "flow-line"),
    ("burn", "grease-oil"),
    ("burn", "black-specks"),
    ("gloss", "grease-oil"),
    ("flash", "mismatch"),
    ("sink", "ejector-mark"),
    ("drag-mark", "scuff"),
    ("void-bubble", "black-specks"),
    ("gate-vestige", "stress-whitening"),
    ("delamination", "splay"),
    ("stress-whitening", "crack"),
)


def severity_ladder(
    request: SpecimenRequest, severities: tuple[float, ...] | None = None
) -> tuple[SpecimenRequest, ...]:
    """The same picture at rising severity, clean first, everything else alike.

    Without ``severities`` the family's own ladder is climbed: from just about nothing
    through the usual limit to gross.
    """
    family = _surface_family(request.family)
    steps = FAMILIES[family].ladder if severities is None else severities
    if any(step <= 0 for step in steps):
        raise ValueError("a ladder's severities are above 0; the clean part comes by itself")
    marked = [replace(request, severity=step) for step in sorted(steps)]
    return (clean_twin(request), *marked)


def clean_twin(request: SpecimenRequest) -> SpecimenRequest:
    """The same picture without the mark."""
    return replace(request, family=None, severity=None, look_for=request.family)


def contrast_pair(
    request: SpecimenRequest, limit: float, *, inside: float = 0.8, outside: float = 1.3
) -> tuple[SpecimenRequest, SpecimenRequest]:
    """An acceptable and a refused picture that differ in severity alone.

    ``inside`` and ``outside`` are shares of the limit.
    """
    _surface_family(request.family)
    if limit <= 0 or not inside < 1 < outside:
        raise ValueError("the limit is above 0, and lies between the two shares")
    return replace(request, severity=inside * limit), replace(request, severity=outside * limit)


def look_alike_pair(
    families: tuple[str, str],
    part: str,
    resin: str,
    seed: int,
    *,
    hand: Hand | None = None,
    close_up: bool = True,
) -> tuple[SpecimenRequest, SpecimenRequest]:
    """Two families on the same side of the same part, same pose, bench and light.

    Raises ValueError where the part has no side that offers both.
    """
    side = _shared_side(part, families)
    first, second = (
        SpecimenRequest(
            part, resin, seed, hand=hand, side=side, family=family, light="form", close_up=close_up
        )
        for family in families
    )
    return first, second


def parts_for_pair(families: tuple[str, str]) -> tuple[str, ...]:
    """The part kinds on which two families can be shown beside each other."""
    return tuple(slug for slug in KINDS if _sides_of(slug, families))


def _shared_side(part: str, families: tuple[str, str]) -> SideName:
    sides = _sides_of(part, families)
    if not sides:
        raise ValueError(f"{part} has no side that shows both {' and '.join(families)}")
    return sides[0]


def _sides_of(part: str, families: tuple[str, str]) -> list[SideName]:
    offered = [
        KINDS[part].sides_for(FAMILIES[_surface_family(f)].sites, FAMILIES[f].zones)
        for f in families
    ]
    return [side for side in offered[0] if side in offered[1]]


def _surface_family(family: str | None) -> str:
    if family not in FAMILIES:
        raise ValueError(f"{family!r} is not a family of marks on a part")
    return family
