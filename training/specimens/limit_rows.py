"""The limit of a family in a zone as rows for people, and as a drawing to scale."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from training.floor.limit_rulings import Ruling
from training.floor.limit_words import judged_by_text, number_text, ruling_text, source_text
from training.floor.limits import Measure, Unit
from training.specimens.models import Specimen

SCALED = (Measure.AT_MOST, Measure.COUNT_AT_MOST)
UNITS: Final[Mapping[str, str | Promise]] = {
    Unit.MM: "mm",
    Unit.MM2: "mm²",
    Unit.MM_PER_200MM: _("mm per 200 mm"),
    Unit.PERCENT_AREA: _("% of the area"),
    Unit.DELTA_E: "ΔE*ab",
    Unit.GLOSS_20: _("gloss units, 20°"),
    Unit.GLOSS_60: _("gloss units, 60°"),
    Unit.GLOSS_85: _("gloss units, 85°"),
    Unit.PIECES: _("pieces"),
}


def measured_text(severity: Decimal | None, unit: str) -> str:
    """Return a severity with its unit in words, or a dash where nothing was measured."""
    if severity is None:
        return "–"
    return f"{number_text(float(severity))} {UNITS.get(unit, unit)}"


def ratio_text(ratio: Decimal | None) -> str:
    """Return severity ÷ limit with two decimals, or nothing where none is or nothing is there."""
    return number_text(round(float(ratio), 2)) if ratio else ""


def _spoken(language: str) -> str:
    return "es" if language.startswith("es") else "en"


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One line of a limit in words: what it says, how it is judged, where it comes from."""

    text: str
    judged_by: str
    source: str


@dataclass(frozen=True, slots=True)
class Ruler:
    """A measured severity against the limit it is measured by."""

    limit: float
    value: float
    unit: str


def limit_rows(rulings: Iterable[Ruling], language: str) -> list[LimitRow]:
    """Return the lines in words of the language, or in English where there are none."""
    spoken = _spoken(language)
    return [
        LimitRow(
            text=ruling_text(ruling, spoken),
            judged_by=judged_by_text(ruling.line.judged_by, spoken),
            source=source_text(ruling.source, spoken),
        )
        for ruling in rulings
    ]


def features(rulings: Iterable[Ruling], language: str) -> list[tuple[str, str]]:
    """Return what some line accepts none of, by its English name: (name, words)."""
    return [
        (ruling.line.feature.en, getattr(ruling.line.feature, _spoken(language)))
        for ruling in rulings
        if ruling.line.measure is Measure.NONE and ruling.line.feature is not None
    ]


def ruler_of(specimen: Specimen, rulings: Iterable[Ruling]) -> Ruler | None:
    """Return the drawing of the severity against the tightest limit in its unit, if there is one."""
    if specimen.severity is None:
        return None
    limits = [
        ruling.line.value
        for ruling in rulings
        if ruling.line.measure in SCALED and ruling.line.value and ruling.line.unit == specimen.unit
    ]
    if not limits:
        return None
    return Ruler(min(limits), float(specimen.severity), str(UNITS.get(specimen.unit, "")))
