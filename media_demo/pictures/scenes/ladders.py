"""Scenes that belong together: the same picture with ever more wrong, right first."""

from dataclasses import replace

from media_demo.pictures.requests import SpecimenRequest
from media_demo.pictures.scenes import (
    colour_shift,
    insert,
    mixed_hands,
    warp_on_plate,
    wrong_label,
    wrong_pack,
)

LADDERS: dict[str, tuple[float, ...]] = {
    "colour-shift": (0.0, *colour_shift.LADDER),
    "insert": insert.LADDER,
    "mixed-hands": mixed_hands.LADDER,
    "wrong-label": wrong_label.LADDER,
    "wrong-pack": wrong_pack.LADDER,
}
# readings in mm, from nothing through the usual limits to gross
GAUGE_LADDERS: dict[str, tuple[float, ...]] = {
    "ejector-mark": (0.0, -0.08, -0.12, 0.08, 0.12, 0.35),
    "flash": (0.0, 0.04, 0.08, 0.12, 0.2, 0.4),
    "gate-vestige": (0.0, 0.08, 0.18, 0.26, 0.36, 0.9),
    "insert": insert.HEIGHT_LADDER,
    "mismatch": (0.0, 0.04, 0.07, 0.12, 0.22, 0.4),
    "sink": (0.0, 0.04, 0.07, 0.12, 0.2, 0.3),
    "warp": warp_on_plate.LADDER,
}


def scene_ladder(request: SpecimenRequest) -> tuple[SpecimenRequest, ...]:
    """The requests of a ladder: one seed, one thing different.

    Raises ValueError for a family that has no scene of its own.
    """
    known = GAUGE_LADDERS if request.gauge else LADDERS
    if request.family not in known:
        raise ValueError(f"no scene for {request.family!r}; one of {', '.join(sorted(known))}")
    return tuple(replace(request, severity=float(step)) for step in known[request.family])
