"""Suspended and lifted, as often as one likes and on one day too: it counts as the last word says."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

from hypothesis import given
from hypothesis import strategies as st

from certification.certificates.standing import Asked, Rules, Verdict, explain, table
from certification.certificates.standing_facts import Certificate, Level, Stop, StopKind
from certification.certificates.standing_family import stopped_by
from certification.certificates.standing_spans import suspended, worth
from certification.certificates.standing_table import ALONE, BUDDY, NO
from tests.certification.certificates.cases import JOB, PERSON

FIRST = date(2026, 3, 2)
DAYS = 5
# Moments of the plant's day, which begins at 06:00: minutes after that, all different.
Moments = Sequence[tuple[int, int]]
MOMENTS = st.lists(
    st.tuples(st.integers(0, DAYS - 1), st.integers(0, 17 * 60)), unique=True, max_size=8
).map(sorted)


def moment(at: tuple[int, int]) -> datetime:
    day, minute = at
    return datetime.combine(FIRST, time(6), UTC) + timedelta(days=day, minutes=minute)


def stops_of(events: Moments) -> tuple[Stop, ...]:
    """Read the events in turn as suspension and lifting."""
    found = []
    for number in range(0, len(events), 2):
        began, ended = events[number], (events[number + 1 : number + 2] or [None])[0]
        found.append(
            Stop(
                StopKind.SUSPENDED,
                FIRST + timedelta(days=began[0]),
                FIRST + timedelta(days=ended[0]) if ended else None,
                moment(began),
                moment(ended) if ended else None,
            )
        )
    return tuple(found)


def certificate(events: Moments) -> Certificate:
    return Certificate(
        "flash", Level.CRITICAL, FIRST - timedelta(9), FIRST + timedelta(99), stops_of(events)
    )


@given(MOMENTS, st.integers(0, DAYS), st.integers(0, 17 * 60))
def test_at_a_moment_the_last_word_before_it_holds(events: Moments, day: int, minute: int) -> None:
    before = [each for each in events if each <= (day, minute)]
    asked = Asked(FIRST + timedelta(days=day), moment((day, minute)))
    halted = stopped_by(certificate(events), asked) is StopKind.SUSPENDED
    assert halted == (len(before) % 2 == 1)


@given(MOMENTS, st.integers(0, DAYS))
def test_of_a_whole_day_its_last_word_holds(events: Moments, day: int) -> None:
    before = [each for each in events if each[0] <= day]
    asked = Asked(FIRST + timedelta(days=day))
    halted = stopped_by(certificate(events), asked) is StopKind.SUSPENDED
    assert halted == (len(before) % 2 == 1)


@given(MOMENTS)
def test_the_stretches_of_days_say_the_same(events: Moments) -> None:
    held = certificate(events)
    counts, halts = list(worth(held)), list(suspended(held))
    for offset in range(DAYS + 1):
        day = FIRST + timedelta(days=offset)
        halted = stopped_by(held, Asked(day)) is StopKind.SUSPENDED
        number = day.toordinal()
        assert any(first <= number <= last for first, last in halts) == halted
        assert any(first <= number <= last for first, last in counts) != halted


@given(MOMENTS, st.integers(0, DAYS))
def test_the_matrix_says_the_same(events: Moments, offset: int) -> None:
    other = replace(
        PERSON.certificates[1], granted=FIRST - timedelta(9), expires=FIRST + timedelta(9)
    )
    person = replace(PERSON, certificates=(certificate(events), other))
    day = FIRST + timedelta(days=offset)
    found = table([person], [JOB], Rules(), day)
    verdict = explain(person, JOB, Rules(), Asked(day)).verdict
    assert found[0, 0] == {Verdict.NO: NO, Verdict.BUDDY: BUDDY, Verdict.ALONE: ALONE}[verdict]
