"""When bad parts are missed: by the crew of whoever judged and the hour of the answer; numbers only."""

import datetime as dt
import uuid
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final, Protocol

from training.quizzes.specimen_figures import BankFigures, Doubt
from training.statistics.conditions import Condition, compare_conditions

HOURS: Final = 2
# The plant's day begins with the day shift.
DAY_STARTS: Final = 6


class Judged(Protocol):
    """A first answer, as far as its conditions are asked for."""

    @property
    def specimen_id(self) -> uuid.UUID: ...
    @property
    def person_id(self) -> uuid.UUID: ...
    @property
    def at(self) -> dt.datetime: ...
    @property
    def bad(self) -> bool: ...
    @property
    def right(self) -> bool: ...
    @property
    def crew(self) -> str: ...


@dataclass(frozen=True, slots=True)
class HourRow:
    """What one crew missed within two hours of the clock; `start` is the first of them."""

    crew: str
    start: int
    people: int
    found: Condition

    @property
    def end(self) -> int:
        return (self.start + HOURS) % 24


def by_crew_and_hour(
    answers: Iterable[Judged], bank: BankFigures, zone: dt.tzinfo
) -> list[HourRow]:
    """Return the rows of crews and hours with an answer to a bad part, in the order of the day.

    Specimens whose key is in doubt are left out: an answer against a wrong key is no miss. What is
    expected is what everybody's answers to the same specimens give.
    """
    rates = _miss_rates(answers := list(answers), bank)
    cells: dict[tuple[str, int], list[Judged]] = defaultdict(list)
    for answer in answers:
        if answer.bad and answer.specimen_id in rates:
            hour = answer.at.astimezone(zone).hour
            cells[answer.crew, hour - hour % HOURS].append(answer)
    order = sorted(
        cells,
        key=lambda cell: (
            _since_start(_first_hour(cells, cell[0])),
            cell[0],
            _since_start(cell[1]),
        ),
    )
    found = compare_conditions(
        [sum(not answer.right for answer in cells[cell]) for cell in order],
        [len(cells[cell]) for cell in order],
        [sum(rates[answer.specimen_id] for answer in cells[cell]) for cell in order],
    )
    return [
        HourRow(crew, start, len({answer.person_id for answer in cells[crew, start]}), condition)
        for (crew, start), condition in zip(order, found, strict=True)
    ]


def _miss_rates(answers: Iterable[Judged], bank: BankFigures) -> Mapping[uuid.UUID, float]:
    """Return everybody's miss rate of each bad specimen with a sound key."""
    counts: dict[uuid.UUID, list[int]] = defaultdict(lambda: [0, 0])
    for answer in answers:
        if answer.bad and Doubt.CHECK_KEY not in bank.of(answer.specimen_id).doubts:
            counts[answer.specimen_id][0] += not answer.right
            counts[answer.specimen_id][1] += 1
    return {specimen: missed / shown for specimen, (missed, shown) in counts.items()}


def _first_hour(cells: Mapping[tuple[str, int], list[Judged]], crew: str) -> int:
    """Return the two hours in which most of a crew's answers were given: crews stand by them."""
    mine = {start: len(given) for (whose, start), given in cells.items() if whose == crew}
    return max(mine, key=lambda start: (mine[start], -_since_start(start)))


def _since_start(hour: int) -> int:
    return (hour - DAY_STARTS) % 24
