"""Days as people write them: ISO, with the month's name, with points, or with slashes two ways."""

import datetime as dt
import enum
import re
import unicodedata
from dataclasses import dataclass


class DayOrder(enum.StrEnum):
    """How a day written only in numbers with slashes or hyphens is meant."""

    # The column itself tells, by a number above 12; where it does not, somebody must choose.
    BY_COLUMN = "column"
    DAY_FIRST = "day_first"
    MONTH_FIRST = "month_first"


@dataclass(frozen=True, slots=True)
class TwoWays:
    """A day that can be read with the day or with the month first; None where one does not exist."""

    day_first: dt.date | None
    month_first: dt.date | None

    def by(self, order: DayOrder) -> dt.date | None:
        return self.month_first if order is DayOrder.MONTH_FIRST else self.day_first

    @property
    def is_open(self) -> bool:
        """Whether both ways give a day, and not the same one."""
        both = self.day_first is not None and self.month_first is not None
        return both and self.day_first != self.month_first


MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "jan january ene enero",
            "feb february febrero",
            "mar march marzo",
            "apr april abr abril",
            "may mayo",
            "jun june junio",
            "jul july julio",
            "aug august ago agosto",
            "sep sept september septiembre set setiembre",
            "oct october octubre",
            "nov november noviembre",
            "dec december dic diciembre",
        ),
        start=1,
    )
    for name in names.split()
}

# A time of day of midnight is what spreadsheets leave behind a day; any other is not a day.
_MIDNIGHT = r"(?:[t ]0{1,2}:00(?::00(?:\.0+)?)?)?"
_YEAR_FIRST = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})" + _MIDNIGHT)
_POINTS = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})" + _MIDNIGHT)
_NUMBERS = re.compile(r"(\d{1,2})[-/](\d{1,2})[-/](\d{4})" + _MIDNIGHT)
_NAMED = re.compile(r"(\d{1,2})[-/. ]+(?:de )?([a-z]+)\.?[-/., ]+(?:de |del )?(\d{4}|\d{2})")
_NAME_FIRST = re.compile(r"([a-z]+)\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})")


def read_day(text: str) -> dt.date | TwoWays:
    """Read one day; raise ValueError where the text is none.

    Years stand with four digits, or with two after a month's name: 69 to 99 are 1969 to 1999 and
    0 to 68 are 2000 to 2068, as POSIX strptime reads %y. Points mean day first.
    """
    plain = _plain(text)
    if match := _YEAR_FIRST.fullmatch(plain):
        return dt.date(*(int(part) for part in match.groups()))
    if match := _POINTS.fullmatch(plain):
        day, month, year = (int(part) for part in match.groups())
        return dt.date(year, month, day)
    if match := _NUMBERS.fullmatch(plain):
        first, second, year = (int(part) for part in match.groups())
        return _two_ways(first, second, year)
    if match := _NAMED.fullmatch(plain):
        return dt.date(_year(match[3]), _month(match[2]), int(match[1]))
    if match := _NAME_FIRST.fullmatch(plain):
        return dt.date(int(match[3]), _month(match[1]), int(match[2]))
    raise ValueError(text)


def order_of(ways: list[TwoWays]) -> DayOrder | None:
    """Return the one order in which every day of a column exists, or None if none or both do.

    Days that read the same both ways tell nothing and hinder nothing.
    """
    fits = [
        order
        for order in (DayOrder.DAY_FIRST, DayOrder.MONTH_FIRST)
        if all(way.by(order) is not None for way in ways)
    ]
    if len(fits) == 2 and not any(way.is_open for way in ways):
        return DayOrder.DAY_FIRST
    return fits[0] if len(fits) == 1 else None


def _two_ways(first: int, second: int, year: int) -> TwoWays:
    ways = TwoWays(_day_or_none(year, second, first), _day_or_none(year, first, second))
    if ways.day_first is None and ways.month_first is None:
        raise ValueError(f"{first}/{second}/{year}")
    return ways


def _day_or_none(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None


def _month(name: str) -> int:
    if name not in MONTHS:
        raise ValueError(name)
    return MONTHS[name]


def _year(text: str) -> int:
    year = int(text)
    if len(text) == 4:
        return year
    return year + (1900 if year >= 69 else 2000)


def _plain(text: str) -> str:
    apart = unicodedata.normalize("NFKD", text.strip())
    letters = "".join(char for char in apart if not unicodedata.combining(char))
    return " ".join(letters.split()).lower()
