"""What can be asked of the renderer, and what it hands back."""

from dataclasses import dataclass

from PIL import Image

from media_demo.pictures.kinds import Hand, SideName
from media_demo.pictures.nuisance import Light
from media_demo.pictures.truth import Truth

TILT_DEG = 17.0


@dataclass(frozen=True)
class SpecimenRequest:
    """What to render.

    ``severity`` is in the family's unit (``FAMILIES[slug].unit``); the made mark is
    measured and may differ a little. ``zone`` or ``site`` (a site name) pin the place;
    otherwise the seed draws one. ``frames`` is 1, or 9 for a sweep of the key lamp in
    steps of 2.5 degrees. ``close_up`` adds a second picture at ``close_up_px_per_mm``
    (by default the family's scale) around the mark (around a plausible place when the part is clean). ``mark_seed``
    draws the mark from another stream than the pose, bench and light: two requests that
    differ only in ``severity`` differ in nothing else. ``look_for`` photographs a clean
    part as if for a family: same places, scale, tilt and lights, so that the way a
    picture is taken does not tell whether there is a mark in it. ``gauge`` measures the
    mark with a gauge that stands in the picture, whose reading decides.
    """

    part: str
    resin: str
    seed: int
    hand: Hand | None = None
    side: SideName | None = None
    family: str | None = None
    severity: float | None = None
    zone: str | None = None
    site: str | None = None
    frames: int = 1
    close_up: bool = False
    close_up_px_per_mm: float | None = None
    light: Light | None = None
    bench: str | None = None
    tilt_deg: float | None = None
    mark_seed: int | None = None
    look_for: str | None = None
    gauge: bool = False


@dataclass(frozen=True)
class RenderedSpecimen:
    """The pictures of a specimen and what they truly show."""

    frames: tuple[Image.Image, ...]
    close_up: Image.Image | None
    truth: Truth
