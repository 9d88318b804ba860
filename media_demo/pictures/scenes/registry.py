"""Families that need a scene of their own: several parts, a gauge, a label, a board.

A scene maker takes the request and returns the finished specimen; ``render_specimen``
asks here first. One family, one file in this folder. ``GAUGED`` families are ordinary
marks that are measured in the picture when the request says ``gauge=True``.
"""

from collections.abc import Callable
from typing import TypeAlias

from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.scenes import (
    colour_shift,
    gauge_reading,
    insert,
    mixed_hands,
    warp_on_plate,
    wrong_label,
    wrong_pack,
)

SceneMaker: TypeAlias = Callable[[SpecimenRequest], RenderedSpecimen]

SCENES: dict[str, SceneMaker] = {
    "colour-shift": colour_shift.render,
    "insert": insert.render,
    "mixed-hands": mixed_hands.render,
    "wrong-label": wrong_label.render,
    "wrong-pack": wrong_pack.render,
}

GAUGED: dict[str, SceneMaker] = {
    **dict.fromkeys(gauge_reading.MEASURES, gauge_reading.render),
    "insert": insert.render_height,
    "warp": warp_on_plate.render,
}


def scene_of(request: SpecimenRequest) -> SceneMaker | None:
    """The scene a request asks for; a clean part is shown in the scene it is taken for."""
    slug = request.family or request.look_for or ""
    return GAUGED[slug] if request.gauge and slug in GAUGED else SCENES.get(slug)
