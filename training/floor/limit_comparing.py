"""Which of two limit lines lets more through, and whether they speak of the same thing; pure."""

from collections.abc import Iterable, Iterator
from math import inf

from training.floor.limits import Line, Measure

_NUMBERED = frozenset(
    {
        Measure.AT_MOST,
        Measure.COUNT_AT_MOST,
        Measure.BETWEEN,
        Measure.NONE,
        Measure.NOT_VISIBLE_AT,
    }
)


def same_subject(line: Line, other: Line) -> bool:
    """Whether two lines of a family and zone limit the same thing.

    With a feature: the same feature. Without: the same measure and unit, no feature either.
    """
    if line.feature is not None or other.feature is not None:
        return line.feature is not None and line.feature == other.feature
    same_kind = (line.measure, line.unit) == (other.measure, other.unit)
    return same_kind and line.compare_to == other.compare_to


def never_looser(line: Line, other: Line) -> bool:
    """Whether whatever passes ``line`` is known to pass ``other`` too, both of one place.

    Lines of different kinds are comparable only where one of them accepts nothing at all or sets
    no limit; elsewhere it is not known, and the answer is no.
    """
    if line == other or other.measure is Measure.ANY:
        return True
    if _accepts_nothing(line):
        # A dimension that has to be there is not nought.
        nought = other.measure is not Measure.BETWEEN or (
            (other.value or 0) <= 0 <= (other.value2 or 0)
        )
        return nought and (line.feature is None or line.feature == other.feature)
    if not comparable(line, other) or _accepts_nothing(other):
        return False
    # What else the other line asks for has to be asked for here as well.
    asked = other.sample in {"", line.sample} and (
        other.measure is Measure.NOT_VISIBLE_AT or _viewing(line) == _viewing(other)
    )
    return asked and not any(_looser_respects(line, other, ordinary=True))


def looser(line: Line, other: Line) -> bool:
    """Whether ``line`` is known to let through something that ``other`` refuses."""
    if line.measure is Measure.ANY:
        return other.measure is not Measure.ANY
    if _accepts_nothing(line):
        return False
    if _accepts_nothing(other):
        return other.feature is None or other.feature == line.feature
    return comparable(line, other) and any(_looser_respects(line, other, ordinary=False))


def comparable(line: Line, other: Line) -> bool:
    """Whether numbers of the two lines can be held against each other."""
    return (
        line.measure in _NUMBERED
        and line.measure is other.measure
        and (line.unit, line.compare_to, line.feature)
        == (other.unit, other.compare_to, other.feature)
    )


def _accepts_nothing(line: Line) -> bool:
    return line.measure is Measure.NONE and line.value is None


def _viewing(line: Line) -> tuple[float | None, float | None]:
    return line.distance_mm, line.time_s


def _looser_respects(line: Line, other: Line, *, ordinary: bool) -> Iterator[bool]:
    """Number by number, whether the line is looser; both are of one measure and unit.

    ``ordinary`` also looks at how marks may lie, which a mere count does not tell.
    """
    if line.measure is Measure.NOT_VISIBLE_AT:
        # What is not seen from near and for long is not seen from afar at a glance.
        yield (line.distance_mm or 0) > (other.distance_mm or 0)
        yield (line.time_s or 0) < (other.time_s or 0)
        return
    if line.measure is Measure.BETWEEN:
        yield (line.value or 0) < (other.value or 0)
        yield (line.value2 or 0) > (other.value2 or 0)
        return
    yield (line.value or 0) > (other.value or 0)
    if line.measure is Measure.NONE:
        return
    yield other.count is not None and (line.count is None or line.count > other.count)
    # So many in a larger area is stricter; without an area they are counted on the whole part.
    yield (line.per_area_cm2 or inf) < (other.per_area_cm2 or inf)
    if ordinary or line.spacing_mm is not None:
        yield (line.spacing_mm or 0) < (other.spacing_mm or 0)


def loosened_by(line: Line, lines: Iterable[Line]) -> tuple[Line, ...]:
    """The lines an alert's line would loosen: an alert may only tighten."""
    return tuple(
        other for other in lines if other.covers(line.family, line.zone) and looser(line, other)
    )


def replaced_by(line: Line, lines: Iterable[Line]) -> tuple[Line, ...]:
    """The lines a concession's line takes the place of; with none it concedes nothing."""
    return tuple(
        other
        for other in lines
        if other.covers(line.family, line.zone) and same_subject(line, other)
    )
