"""Days as people write them are read as meant, or not at all."""

import contextlib
import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.people.sheets.days import DayOrder, TwoWays, order_of, read_day

DAY = dt.date(2026, 11, 25)
SPANISH = ("ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sep", "oct", "nov", "dic")
ENGLISH = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@pytest.mark.parametrize(
    "text",
    [
        "2026-11-25", "2026/11/25", "2026.11.25", "2026-11-25T00:00:00", "2026-11-25 00:00",
        "25.11.2026", "25. 11. 2026", "25-nov-2026", "25-Nov-26", "25 nov. 2026",
        "25 de noviembre de 2026", "25 de Noviembre del 2026", "25 November 2026",
        "November 25, 2026", "Nov 25th 2026", " 25/noviembre/2026 ",
    ],
)  # fmt: skip
def test_a_day_that_reads_one_way(text: str) -> None:
    assert read_day(text) == DAY


@pytest.mark.parametrize(
    "text",
    [
        "", "today", "25/11", "25/11/26", "31/31/2026", "2026-02-30", "30.02.2026", "25-foo-2026",
        "2026-11-25 13:45", "20261125", "46351", "25/11/2026 14:00", "0/0/2026",
    ],
)  # fmt: skip
def test_what_is_no_day_is_refused(text: str) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - the reader of cells words it
        read_day(text)


def test_two_digit_years_follow_posix() -> None:
    """POSIX strptime %y: 69 to 99 are 1969 to 1999, 00 to 68 are 2000 to 2068 (from memory)."""
    assert read_day("1-ene-69") == dt.date(1969, 1, 1)
    assert read_day("1-ene-68") == dt.date(2068, 1, 1)


def test_the_column_tells_the_order() -> None:
    ways = [read_day("03/04/2026"), read_day("25/11/2026")]
    assert order_of(ways) is DayOrder.DAY_FIRST  # type: ignore[arg-type]
    ways = [read_day("03/04/2026"), read_day("11/25/2026")]
    assert order_of(ways) is DayOrder.MONTH_FIRST  # type: ignore[arg-type]


def test_a_column_that_does_not_tell_or_contradicts_itself_has_no_order() -> None:
    assert order_of([read_day("03/04/2026"), read_day("05/06/2026")]) is None  # type: ignore[list-item]
    assert order_of([read_day("25/11/2026"), read_day("11/25/2026")]) is None  # type: ignore[list-item]


def test_days_that_read_the_same_both_ways_need_no_order() -> None:
    assert order_of([read_day("04/04/2026")]) is DayOrder.DAY_FIRST  # type: ignore[list-item]


days = st.dates(dt.date(1950, 1, 1), dt.date(2099, 12, 31))


@given(days)
def test_every_way_of_writing_comes_back_as_the_same_day(day: dt.date) -> None:
    assert read_day(day.isoformat()) == day
    assert read_day(f"{day.day}.{day.month}.{day.year}") == day
    assert read_day(f"{day.day} {SPANISH[day.month - 1]} {day.year}") == day
    assert read_day(f"{day.day}-{ENGLISH[day.month - 1]}-{day.year}") == day


@given(days)
def test_slashes_keep_both_readings(day: dt.date) -> None:
    ways = read_day(f"{day.day:02}/{day.month:02}/{day.year}")
    assert isinstance(ways, TwoWays)
    assert ways.by(DayOrder.DAY_FIRST) == day
    swapped = read_day(f"{day.month:02}/{day.day:02}/{day.year}")
    assert isinstance(swapped, TwoWays)
    assert swapped.by(DayOrder.MONTH_FIRST) == day
    assert (order_of([ways]) is None) == (day.day <= 12 and day.day != day.month)


@given(st.text(max_size=30))
def test_no_text_breaks_the_reader(text: str) -> None:
    with contextlib.suppress(ValueError):
        read_day(text)
