"""A short check of a screen before an exam: squares to count, a hairline to find, a card to measure by.

Eight grey fields from dark to light, some of them with a square that is a little darker or lighter.
On a screen that is too dim, too bright or in glare, squares at one end vanish and the count is
wrong. The number of squares is left to chance, so that it cannot be known beforehand. How small the
difference is, and that the check is enough for a training room: common practice, no source.
"""

import hashlib
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

# Lightness L* of the fields, and how far their squares are from them (CIE 15, CIELAB).
LIGHTNESS: Final = (10, 22, 34, 46, 58, 70, 82, 94)
STEP: Final = 4
FEWEST: Final = 4
LINE_PLACES: Final = 4
# Width of a card of format ID-1 in millimetres (ISO/IEC 7810).
CARD_MM: Final = 85.60
# From an office screen to a telephone, in device pixels per millimetre: 75 to 635 to the inch.
PIXELS_PER_MM: Final = (3.0, 25.0)


@dataclass(frozen=True, slots=True)
class GreyField:
    """One field and the square in it, as greys "#RRGGBB"; "" where there is no square."""

    ground: str
    square: str


@dataclass(frozen=True, slots=True)
class ScreenTest:
    """What is shown: fields from dark to light, and the place of the hairline from 1."""

    fields: tuple[GreyField, ...]
    line: int

    @property
    def shown(self) -> int:
        """Squares to be counted."""
        return sum(bool(each.square) for each in self.fields)


@dataclass(frozen=True, slots=True)
class ScreenAnswer:
    """What the person saw: squares, the hairline's place, and the card's width in CSS pixels.

    `density_percent` is device pixels for 100 CSS pixels. `card_fits` says that the frame was
    matched to a card.
    """

    squares: int
    line: int
    card_width_px: int
    density_percent: int
    card_fits: bool = True

    @property
    def pixels_per_mm(self) -> float:
        """Device pixels per millimetre of this screen."""
        return pixels_per_mm(self.card_width_px, self.density_percent)


class Fault(StrEnum):
    """What a screen did not show, or what could not be measured on it."""

    GREY = "grey"
    LINE = "line"
    CARD = "card"


def pixels_per_mm(card_width_px: int, density_percent: int) -> float:
    """Return the device pixels per millimetre of a screen on which a card is so wide."""
    return card_width_px * density_percent / 100 / CARD_MM


def make_test(seed: str) -> ScreenTest:
    """Return the test of a seed: which fields have a square, and where the hairline is."""
    order = sorted(range(len(LIGHTNESS)), key=lambda place: _chance(seed, f"field {place}"))
    number = FEWEST + _number(seed, "squares") % (len(LIGHTNESS) - FEWEST + 1)
    with_square = set(order[:number])
    fields = tuple(
        GreyField(grey(light), grey(_square(light)) if place in with_square else "")
        for place, light in enumerate(LIGHTNESS)
    )
    return ScreenTest(fields, 1 + _number(seed, "line") % LINE_PLACES)


def _square(lightness: float) -> float:
    """Return the lightness of a field's square: lighter on dark fields, darker on light ones."""
    return lightness + STEP if lightness < 50 else lightness - STEP


def faults(test: ScreenTest, answer: ScreenAnswer) -> list[Fault]:
    """Return what went wrong, in the order of the page."""
    least, most = PIXELS_PER_MM
    measured = answer.card_fits and least <= answer.pixels_per_mm <= most
    found = [
        (Fault.GREY, answer.squares == test.shown),
        (Fault.LINE, answer.line == test.line),
        (Fault.CARD, measured),
    ]
    return [fault for fault, good in found if not good]


def grey(lightness: float) -> str:
    """Return the grey of a lightness L* from 0 to 100 as "#RRGGBB".

    CIELAB lightness to relative luminance (CIE 15), and luminance to the sRGB signal
    (IEC 61966-2-1), for a neutral colour.
    """
    cubed = ((lightness + 16) / 116) ** 3
    luminance = cubed if lightness > 8 else lightness * 27 / 24389
    signal = 12.92 * luminance if luminance <= 0.0031308 else 1.055 * luminance ** (1 / 2.4) - 0.055
    level = round(255 * signal)
    return f"#{level:02x}{level:02x}{level:02x}"


def _chance(seed: str, purpose: str) -> bytes:
    return hashlib.sha256(f"{seed}|{purpose}".encode()).digest()


def _number(seed: str, purpose: str) -> int:
    return int.from_bytes(_chance(seed, purpose)[:8], "big")
