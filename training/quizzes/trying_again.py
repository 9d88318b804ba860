"""When somebody who did not pass a family may be examined in it again, and what is still missing.

One try, then coaching, a wait and other specimens: a second try about doubles the small risks of a
plan, so it must be somebody who has learned something, on another day. Common practice, no source.
"""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final
from uuid import UUID

WITHIN_DAYS: Final = 90


@dataclass(frozen=True, slots=True)
class Try:
    """A decided exam of one family: broken-off ones are none."""

    sitting: UUID
    number: str
    day: dt.date
    passed: bool


@dataclass(frozen=True, slots=True)
class Coached:
    """A family was gone through after an exam; `released` where quality signed it."""

    sitting: UUID
    family: str
    day: dt.date
    released: bool


@dataclass(frozen=True, slots=True)
class Hold:
    """What stands between a person and the next try of one family.

    Attributes
    ----------
    failed : int
        Exams of the family not passed within 90 days, since it was last passed.
    last : Try
        The newest exam, which was not passed.
    coaching : bool
        Coaching after it is still to be recorded.
    until : date or None
        The first day on which it may be tried again, where that is still to come.
    release : bool
        So many were not passed that quality has to sign the coaching.
    """

    family: str
    failed: int
    last: Try
    coaching: bool
    until: dt.date | None
    release: bool

    @property
    def stops(self) -> bool:
        return self.coaching or self.release or self.until is not None


def since_passed(tries: Iterable[Try]) -> list[Try]:
    """Return the exams not passed since the family was last passed; `tries` are oldest first."""
    failed: list[Try] = []
    for each in tries:
        failed = [] if each.passed else [*failed, each]
    return failed


def hold_of(
    family: str,
    tries: Iterable[Try],
    coached: Iterable[Coached],
    *,
    day: dt.date,
    wait_days: int,
    most_tries: int,
) -> Hold | None:
    """Return what the last exam of a family leaves to do before a try on the day.

    None where the family was never tried, or was passed last.
    """
    failed = since_passed(tries)
    if not failed:
        return None
    last = failed[-1]
    signed = [each for each in coached if (each.sitting, each.family) == (last.sitting, family)]
    recent = sum((day - each.day).days <= WITHIN_DAYS for each in failed)
    first_day = last.day + dt.timedelta(days=wait_days)
    return Hold(
        family=family,
        failed=recent,
        last=last,
        coaching=not signed,
        until=first_day if day < first_day else None,
        release=recent >= most_tries and not any(each.released for each in signed),
    )


def next_try(holds: Iterable[Hold]) -> int:
    """Return which try of its families the next exam is: 1 where none was failed in 90 days."""
    return 1 + max((hold.failed for hold in holds), default=0)


def holds_of(
    families: Sequence[str],
    tries: Mapping[str, Sequence[Try]],
    coached: Sequence[Coached],
    *,
    day: dt.date,
    wait_days: int,
    most_tries: int,
) -> list[Hold]:
    """Return the holds of these families, in their order."""
    found = (
        hold_of(
            name,
            tries.get(name, ()),
            coached,
            day=day,
            wait_days=wait_days,
            most_tries=most_tries,
        )
        for name in families
    )
    return [hold for hold in found if hold is not None]
