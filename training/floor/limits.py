"""What a job accepts: structured limit lines, "the limit here today, and why"; pure.

A line says what is accepted of one defect family in one zone. Several lines may stand for a
family and zone; all of them must hold. Lines come from JSON and go back to it unchanged; a
key that is not known is an error, so no free text hides in a limit.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from enum import StrEnum
from math import isfinite
from typing import Any, TypeVar

Choice = TypeVar("Choice", bound=StrEnum)

WHOLE_PART = "*"
ZONES = ("A", "B", "C", "F", WHOLE_PART)


class Measure(StrEnum):
    """The ways a limit is set."""

    AT_MOST = "at_most"
    BETWEEN = "between"
    COUNT_AT_MOST = "count_at_most"
    NONE = "none"
    NOT_VISIBLE_AT = "not_visible_at"
    GAUGE = "gauge"
    SAMPLE = "sample"
    ANY = "any"


class Unit(StrEnum):
    """What a value is counted in."""

    MM = "mm"
    MM2 = "mm2"
    MM_PER_200MM = "mm_per_200mm"
    PERCENT_AREA = "percent_area"
    DELTA_E = "dE"
    GLOSS_20 = "GU20"
    GLOSS_60 = "GU60"
    GLOSS_85 = "GU85"
    PIECES = "pieces"


class JudgedBy(StrEnum):
    """How a limit is examined on the floor."""

    EYE = "eye"
    COUNT = "count"
    TOUCH = "touch"
    GAUGE = "gauge"
    LIGHT_BOOTH = "light_booth"


class Level(StrEnum):
    """How strictly the family of the line must be certified."""

    ORDINARY = "ordinary"
    CRITICAL = "critical"


class CompareTo(StrEnum):
    """What a difference is measured against."""

    MASTER = "master"
    OTHER_HAND = "other_hand"


class LimitError(ValueError):
    """A limit line that cannot stand: which field, what is wrong, what to do."""

    def __init__(self, field: str, problem: str, remedy: str) -> None:
        self.field, self.problem, self.remedy = field, problem, remedy
        super().__init__(f"{field}: {problem}. {remedy}")


@dataclass(frozen=True, slots=True)
class Feature:
    """What exactly is meant, in both languages: "behind the display window"."""

    en: str
    es: str


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a limit; which fields belong to which measure is checked.

    ``value`` and ``value2`` are in ``unit``; ``distance_mm`` and ``time_s`` are the viewing
    condition; ``count`` is the most that may occur, per ``per_area_cm2`` and at least
    ``spacing_mm`` apart where given. ``gauge`` and ``sample`` are numbers on the thing.
    """

    zone: str
    measure: Measure
    judged_by: JudgedBy
    level: Level = Level.ORDINARY
    family: str = ""
    feature: Feature | None = None
    value: float | None = None
    value2: float | None = None
    unit: Unit | None = None
    count: int | None = None
    per_area_cm2: float | None = None
    spacing_mm: float | None = None
    distance_mm: float | None = None
    time_s: float | None = None
    gauge: str = ""
    sample: str = ""
    compare_to: CompareTo | None = None

    def __post_init__(self) -> None:
        if self.zone not in ZONES:
            raise LimitError("zone", f"{self.zone!r} is no zone", f"Give one of {', '.join(ZONES)}")
        _check_fields(self)
        _check_numbers(self)

    @property
    def whole_part(self) -> bool:
        """Whether the line covers every zone."""
        return self.zone == WHOLE_PART

    def covers(self, family: str, zone: str) -> bool:
        """Whether the line speaks about a family in a zone."""
        return self.family == family and (self.whole_part or zone in {self.zone, WHOLE_PART})


_COMMON = frozenset({"zone", "measure", "judged_by", "level", "family", "feature"})
# Measure: fields it needs, fields it may have.
_FORMS: dict[Measure, tuple[frozenset[str], frozenset[str]]] = {
    Measure.AT_MOST: (
        frozenset({"value", "unit"}),
        frozenset({"count", "distance_mm", "time_s", "gauge", "sample", "compare_to"}),
    ),
    Measure.BETWEEN: (frozenset({"value", "value2", "unit"}), frozenset({"gauge"})),
    Measure.COUNT_AT_MOST: (
        frozenset({"count", "value", "unit"}),
        frozenset({"per_area_cm2", "spacing_mm", "gauge", "sample"}),
    ),
    Measure.NONE: (frozenset(), frozenset({"value", "unit"})),
    Measure.NOT_VISIBLE_AT: (frozenset({"distance_mm", "time_s"}), frozenset()),
    Measure.GAUGE: (frozenset({"gauge"}), frozenset()),
    Measure.SAMPLE: (frozenset({"sample"}), frozenset()),
    Measure.ANY: (frozenset(), frozenset()),
}
_TOGETHER = (("value", "unit"), ("distance_mm", "time_s"))
_SAID = {
    "value": "a value",
    "value2": "an upper value",
    "unit": "a unit",
    "count": "a number of marks",
    "distance_mm": "a viewing distance in mm",
    "time_s": "a viewing time in seconds",
    "gauge": "the gauge's number",
    "sample": "the limit sample's number",
}


def _given(line: Line) -> set[str]:
    return {f.name for f in fields(line) if getattr(line, f.name) not in {None, ""}} - _COMMON


def _check_fields(line: Line) -> None:
    """Every field the measure needs, none it does not know, pairs together."""
    needed, allowed = _FORMS[line.measure]
    given = _given(line)
    for name in sorted(needed - given):
        raise LimitError(
            name, f"a limit of kind {line.measure} needs {_SAID[name]}", f"Give {_SAID[name]}"
        )
    for name in sorted(given - needed - allowed):
        raise LimitError(
            name, f"a limit of kind {line.measure} has no use for it", "Leave it empty"
        )
    for first, second in _TOGETHER:
        if (first in given) != (second in given):
            lost = second if first in given else first
            raise LimitError(lost, f"{first} and {second} belong together", f"Give {_SAID[lost]}")


def _check_numbers(line: Line) -> None:
    """Finite, in order, and above nought where nothing else makes sense."""
    for name in ("value", "value2", "per_area_cm2", "spacing_mm", "distance_mm", "time_s"):
        number = getattr(line, name)
        if number is not None and not isfinite(number):
            raise LimitError(name, "not a number", "Give a plain decimal number")
    for name in ("per_area_cm2", "spacing_mm", "distance_mm", "time_s"):
        number = getattr(line, name)
        if number is not None and number <= 0:
            raise LimitError(name, f"{number:g} is not above 0", "Give a number above 0")
    if line.count is not None and line.count < 1:
        raise LimitError("count", f"{line.count} marks", 'Give 1 or more, or the kind "none"')
    if line.value is None:
        return
    if line.measure is Measure.BETWEEN:
        if line.value2 is not None and line.value2 < line.value:
            raise LimitError(
                "value2", f"{line.value2:g} lies below {line.value:g}", "Give the larger one second"
            )
    elif line.value <= 0:
        raise LimitError(
            "value", f"{line.value:g} is not above 0", 'Give a number above 0, or the kind "none"'
        )


def parse_line(data: Mapping[str, Any], family: str = "") -> Line:
    """The line of a JSON object; ``family`` where the object stands under its family.

    Raises `LimitError` for an unknown key, a missing or senseless value.
    """
    known = {f.name for f in fields(Line)}
    for key in sorted(set(data) - known):
        raise LimitError(str(key), "not a field of a limit", f"Use only {', '.join(sorted(known))}")
    for key in ("zone", "measure", "judged_by"):
        if not data.get(key):
            raise LimitError(key, "missing", f"Give the {key.replace('_', ' ')}")
    return Line(
        zone=_text(data, "zone"),
        measure=_choice(data, "measure", Measure),
        judged_by=_choice(data, "judged_by", JudgedBy),
        level=_choice(data, "level", Level) if data.get("level") else Level.ORDINARY,
        family=_text(data, "family") or family,
        feature=_feature(data.get("feature")),
        value=_number(data, "value"),
        value2=_number(data, "value2"),
        unit=_choice(data, "unit", Unit) if data.get("unit") else None,
        count=_count(data),
        per_area_cm2=_number(data, "per_area_cm2"),
        spacing_mm=_number(data, "spacing_mm"),
        distance_mm=_number(data, "distance_mm"),
        time_s=_number(data, "time_s"),
        gauge=_text(data, "gauge"),
        sample=_text(data, "sample"),
        compare_to=_choice(data, "compare_to", CompareTo) if data.get("compare_to") else None,
    )


def line_data(line: Line) -> dict[str, Any]:
    """The JSON object of a line; `parse_line` reads it back as the same line."""
    data: dict[str, Any] = {}
    for each in fields(line):
        value = getattr(line, each.name)
        if isinstance(value, Feature):
            value = {"en": value.en, "es": value.es}
        elif isinstance(value, StrEnum):
            value = value.value
        if value not in (None, ""):
            data[each.name] = value
    return data


def _text(data: Mapping[str, Any], key: str) -> str:
    value = data.get(key) or ""
    if not isinstance(value, str):
        raise LimitError(key, f"{value!r} is not a text", "Give it as text")
    return value.strip()


def _number(data: Mapping[str, Any], key: str) -> float | None:
    value = data.get(key)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise LimitError(key, f"{value!r} is not a number", "Give a plain decimal number")
    return value


def _count(data: Mapping[str, Any]) -> int | None:
    value = _number(data, "count")
    if value is None:
        return None
    if value != int(value):
        raise LimitError("count", f"{value:g} is not a whole number", "Give a whole number")
    return int(value)


def _choice(data: Mapping[str, Any], key: str, kind: type[Choice]) -> Choice:
    try:
        return kind(data[key])
    except ValueError:
        raise LimitError(
            key, f"{data[key]!r} is not known", f"Give one of {', '.join(kind)}"
        ) from None


def _feature(value: object) -> Feature | None:
    if value is None:
        return None
    if not isinstance(value, Mapping) or set(value) != {"en", "es"}:
        raise LimitError("feature", "needs English and Spanish", 'Give {"en": ..., "es": ...}')
    texts = {language: value[language] for language in ("en", "es")}
    for language, text in texts.items():
        if not isinstance(text, str) or not text.strip():
            raise LimitError("feature", f"the text in {language!r} is empty", "Give both languages")
    return Feature(**texts)
