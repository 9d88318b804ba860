"""Who has what from which day to which day, answered for everybody at once in numpy."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from certification.certificates.standing_facts import (
    Block,
    Certificate,
    Requalification,
    Sight,
    Stop,
    StopKind,
    VisionCheck,
)

Bools = NDArray[np.bool_]

ALWAYS = date.max.toordinal()


class Row(NamedTuple):
    """One fact: row and column of the answer, first and last day as ordinals."""

    row: int
    column: int
    first: int
    last: int = ALWAYS


class Spans:
    """A table of dated facts; `on` gives the (rows, columns) grid of those that hold."""

    def __init__(self, shape: tuple[int, int], rows: Iterable[Row]) -> None:
        self._shape = shape
        flat = np.array(list(rows), dtype=np.int64).reshape(-1, 4)
        self._row, self._column, self._first, self._last = flat.T

    def on(self, day: int) -> Bools:
        """Which facts hold on ``day`` (ordinal), shape (rows, columns)."""
        grid = np.zeros(self._shape, dtype=np.bool_)
        holds = (self._first <= day) & (day <= self._last)
        grid[self._row[holds], self._column[holds]] = True
        return grid

    def newest(self, day: int) -> NDArray[np.int64]:
        """Latest first day not after ``day``, shape (rows, columns); 0 where there is none."""
        grid = np.zeros(self._shape, dtype=np.int64)
        begun = self._first <= day
        np.maximum.at(grid, (self._row[begun], self._column[begun]), self._first[begun])
        return grid


def worth(certificate: Certificate) -> Iterator[tuple[int, int]]:
    """The stretches of days on which a certificate counts, stops cut out."""
    first, last = _life(certificate)
    halts = sorted(_reach(stop) for stop in _halts(certificate.stops))
    for halted, free in halts:
        if first < halted:
            yield first, min(last, halted - 1)
        first = max(first, free + 1)
    if first <= last:
        yield first, last


def suspended(certificate: Certificate) -> Iterator[tuple[int, int]]:
    """The stretches of days on which a certificate in date is suspended."""
    first, last = _life(certificate)
    for stop in _halts(certificate.stops):
        if stop.kind is StopKind.SUSPENDED:
            begins, ends = _reach(stop)
            yield max(first, begins), min(last, ends)


def _life(certificate: Certificate) -> tuple[int, int]:
    """First and last day, a withdrawal taken into account."""
    withdrawn = [
        stop.first.toordinal() - 1 for stop in certificate.stops if stop.kind is StopKind.WITHDRAWN
    ]
    return certificate.granted.toordinal(), min([certificate.expires.toordinal(), *withdrawn])


def _halts(stops: Sequence[Stop]) -> Iterator[Stop]:
    return (stop for stop in stops if stop.kind is not StopKind.WITHDRAWN)


def _reach(stop: Stop) -> tuple[int, int]:
    # The day on which it was lifted counts again.
    return stop.first.toordinal(), last_day(stop.last) - (stop.ended is not None)


def good_sight(checks: Sequence[VisionCheck], sight: Sight) -> Iterator[tuple[int, int]]:
    """The stretches of days on which the newest check of one kind meets and is in date."""
    mine = sorted((check for check in checks if check.sight is sight), key=lambda c: c.day)
    replaced = ALWAYS
    for check in reversed(mine):
        if check.meets:
            yield check.day.toordinal(), min(last_day(check.due), replaced)
        replaced = check.day.toordinal() - 1


def blocked(line: Requalification) -> tuple[int, int]:
    """First and last day on which a line of a requalification order blocks."""
    first = line.raised if line.block is Block.AT_ONCE else line.due
    begins = first.toordinal() + (line.block is Block.AFTER_DUE_DAY)
    return begins, last_day(line.closed) - (line.closed is not None)


def last_day(day: date | None) -> int:
    """The ordinal of a last day; no day means for ever."""
    return ALWAYS if day is None else day.toordinal()
