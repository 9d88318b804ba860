"""Families that need a scene of their own: several parts, a gauge, a label, a board.

A scene maker takes the request and returns the finished specimen; ``render_specimen``
asks here first. One family, one file in this folder.
"""

from collections.abc import Callable
from typing import TypeAlias

from media_demo.pictures.requests import RenderedSpecimen, SpecimenRequest
from media_demo.pictures.scenes import colour_shift

SceneMaker: TypeAlias = Callable[[SpecimenRequest], RenderedSpecimen]

SCENES: dict[str, SceneMaker] = {"colour-shift": colour_shift.render}
