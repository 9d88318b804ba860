"""Questions about turns: who ran a press then, who stands where now, gaps and overlaps."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from training.floor.models import Press, Turn
from training.people.models import Person


def turns() -> QuerySet[Turn]:
    """Every turn that was not corrected, with its people, press, job and end, as they began."""
    return (
        Turn.objects.filter(corrections=None)
        .select_related("press", "job", "person", "buddy", "crew", "work_instruction", "end")
        .order_by("started_at", "position")
    )


def turns_at(moment: dt.datetime) -> QuerySet[Turn]:
    """The turns that ran at a moment, on any press; a turn's last moment is the next one's."""
    return turns().filter(Q(end=None) | Q(end__ended_at__gt=moment), started_at__lte=moment)


def who_ran(press: Press, moment: dt.datetime) -> list[Turn]:
    """Return the turns at a press at a moment, learners included, in the order they began."""
    return list(turns_at(moment).filter(press=press))


def open_turns() -> QuerySet[Turn]:
    """The turns that have not ended."""
    return turns().filter(end=None)


def open_turns_at(press: Press) -> list[Turn]:
    return list(open_turns().filter(press=press))


def open_turns_of(person: Person) -> list[Turn]:
    return list(open_turns().filter(person=person))


def turns_on(day: dt.date) -> QuerySet[Turn]:
    """The turns of the shifts that began on a day."""
    return turns().filter(day=day)


def ended_at(turn: Turn) -> dt.datetime | None:
    """Return when a turn ended, or None while it runs; the end must be loaded with the turn."""
    end = getattr(turn, "end", None)
    return end.ended_at if end is not None else None


@dataclass(frozen=True, slots=True)
class Gap:
    """A time between two turns of one press in which nobody ran it."""

    press: Press
    before: Turn
    after: Turn
    from_at: dt.datetime
    to_at: dt.datetime


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two turns that cannot both be right: of one person, or more at a press than its job wants."""

    first: Turn
    second: Turn
    from_at: dt.datetime
    to_at: dt.datetime | None
    same_person: bool


def gaps(rows: Iterable[Turn], longer_than: dt.timedelta = dt.timedelta(0)) -> list[Gap]:
    """Return the times without anybody at a press, between its first turn and its last.

    Whether the press stood meanwhile is not known here; a break splits a turn and so shows.
    """
    found = []
    for press_turns in _by(rows, "press_id").values():
        working = [turn for turn in press_turns if turn.kind != Turn.Kind.LEARNING]
        running: Turn | None = None
        for turn in working:
            end = ended_at(running) if running is not None else None
            if running is not None and end is not None and turn.started_at - end > longer_than:
                found.append(Gap(turn.press, running, turn, end, turn.started_at))
            running = _later(running, turn)
    return sorted(found, key=lambda gap: gap.from_at)


def overlaps(rows: Iterable[Turn]) -> list[Overlap]:
    """Return the pairs of turns that ran at the same time and cannot both be right."""
    found = []
    kept = list(rows)
    for person_turns in _by(kept, "person_id").values():
        found += [
            _overlap(one, other, same_person=True)
            for one, other in _meeting(person_turns)
            if not _neighbours(one, other)
        ]
    for press_turns in _by(kept, "press_id").values():
        working = [turn for turn in press_turns if turn.kind != Turn.Kind.LEARNING]
        found += [
            _overlap(one, other, same_person=False)
            for one, other in _meeting(working)
            if one.person_id != other.person_id and one.job.persons < 2
        ]
    return sorted(found, key=lambda overlap: overlap.from_at)


def _by(rows: Iterable[Turn], name: str) -> dict[object, list[Turn]]:
    found: dict[object, list[Turn]] = defaultdict(list)
    for turn in sorted(rows, key=lambda turn: turn.started_at):
        found[getattr(turn, name)].append(turn)
    return found


def _later(running: Turn | None, turn: Turn) -> Turn:
    """Return which of two turns ends later; one that still runs ends last."""
    if running is None:
        return turn
    first, second = ended_at(running), ended_at(turn)
    if first is None or (second is not None and first >= second):
        return running
    return turn


def _meeting(rows: list[Turn]) -> list[tuple[Turn, Turn]]:
    found = []
    for place, turn in enumerate(rows):
        end = ended_at(turn)
        for other in rows[place + 1 :]:
            if end is not None and other.started_at >= end:
                break
            found.append((turn, other))
    return found


def _neighbours(one: Turn, other: Turn) -> bool:
    """Whether somebody may have tended both: two presses of one cell, side by side."""
    return one.press_id != other.press_id and one.press.next_press_id == other.press_id


def _overlap(one: Turn, other: Turn, *, same_person: bool) -> Overlap:
    ends = [end for end in (ended_at(one), ended_at(other)) if end is not None]
    return Overlap(one, other, other.started_at, min(ends, default=None), same_person)
