"""Cells as values: what each kind of column accepts, and what it says about anything else."""

import datetime as dt
import re
from collections.abc import Callable, Mapping
from decimal import Decimal, InvalidOperation

from django.utils.translation import gettext_lazy as _

from training.people.sheets.days import TwoWays, read_day
from training.people.sheets.files import Cell, plain
from training.people.sheets.problems import CellError, Words, worded

Reader = Callable[[Cell], object]

# Letters that were read in the wrong encoding once show as "Ã" with a sign after it, or as U+FFFD.
_MANGLED = re.compile("[\u00c2\u00c3][\u0080-\u00bf]|\ufffd")
_FORMULA_ERROR = re.compile(r"#(N/A|REF!|VALUE!|NAME\?|DIV/0!|NUM!|NULL!)")
_YES = frozenset({"yes", "y", "true", "1", "x", "si", "s", "verdadero"})
_NO = frozenset({"no", "n", "false", "0", "falso"})
_LEAST_DAY, _MOST_DAY = dt.date(1940, 1, 1), dt.date(2100, 1, 1)


def as_text(cell: Cell) -> str:
    """Write a cell as a person sees it in the sheet."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    if isinstance(cell, dt.datetime):
        return cell.isoformat(" ")
    return cell.isoformat() if isinstance(cell, (dt.date, dt.time)) else str(cell)


def text(most: int, *, lines: bool = False) -> Reader:
    """Words of at most so many characters; line breaks become spaces unless they are meant."""

    def read(cell: Cell) -> str:
        words = as_text(cell)
        words = words if lines else " ".join(words.split())
        if _FORMULA_ERROR.fullmatch(words):
            raise CellError(
                _("The cell holds the error of a formula."), _("Put the value in its place.")
            )
        if _MANGLED.search(words):
            raise CellError(
                _("Letters were lost: the file was once saved in the wrong encoding."),
                _("Correct the letters and save the file as .xlsx or as CSV in UTF-8."),
            )
        if len(words) > most:
            raise CellError(
                worded(_("The text has {length} characters."), length=len(words)),
                worded(_("Shorten it to {most}."), most=most),
            )
        return words

    return read


def number_text(most: int) -> Reader:
    """A number that names something (a badge, a job): kept as text, never counted with."""
    read_text = text(most)

    def read(cell: Cell) -> str:
        if isinstance(cell, (dt.date, dt.datetime, dt.time)):
            raise CellError(
                _("The spreadsheet has turned this number into a day."),
                _("Format the column as text and write the number again."),
            )
        words = str(read_text(cell))
        if re.search(r"\s", words) or re.fullmatch(r"[\d.,]+[eE]\+?\d+", words):
            raise CellError(
                _("This is not a number or code in one word."),
                _("Format the column as text and write it without spaces."),
            )
        return words

    return read


def day(cell: Cell) -> dt.date | TwoWays:
    """A day; where it was written only in numbers, both ways to read it."""
    if isinstance(cell, dt.datetime):
        raise _not_a_day()
    if isinstance(cell, dt.date):
        return _in_range(cell)
    try:
        found = read_day(as_text(cell))
    except ValueError:
        raise _not_a_day() from None
    return found if isinstance(found, TwoWays) else _in_range(found)


def _not_a_day() -> CellError:
    return CellError(_("This is not a day."), _("Write it as 2026-11-25, without a time."))


def _in_range(found: dt.date) -> dt.date:
    if not _LEAST_DAY <= found <= _MOST_DAY:
        raise CellError(
            worded(_("The year {year} cannot be meant."), year=found.year),
            _("Write it as 2026-11-25, without a time."),
        )
    return found


def whole(least: int, most: int) -> Reader:
    """A whole number within bounds."""

    def read(cell: Cell) -> int:
        number = _decimal(cell)
        if number != number.to_integral_value() or not least <= number <= most:
            raise CellError(
                worded(_("Not a whole number from {least} to {most}."), least=least, most=most),
                _("Write the number alone, in digits."),
            )
        return int(number)

    return read


def measured(cell: Cell) -> str:
    """A measured number as plain decimal text, from a point or a comma; it may lie below nought."""
    return format(_decimal(cell).normalize(), "f")


def _decimal(cell: Cell) -> Decimal:
    words = as_text(cell).replace(" ", "").replace("\N{MINUS SIGN}", "-")
    if isinstance(cell, bool) or not re.fullmatch(r"-?\d+([.,]\d+)?", words):
        raise CellError(
            _("This is not a number."),
            _("Write digits with one point or comma, without the unit: 0.4 or 0,4."),
        )
    try:
        return Decimal(words.replace(",", "."))
    except InvalidOperation:
        raise CellError(_("This is not a number."), _("Write it in digits.")) from None


def yes_no(cell: Cell) -> bool:
    """Yes or no in either language, or a cross for yes."""
    words = plain(as_text(cell))
    if words not in _YES | _NO:
        raise CellError(_("This is neither yes nor no."), _("Write yes or no."))
    return words in _YES


def time_of_day(cell: Cell) -> dt.time:
    """A time of day, from 00:00 to 23:59."""
    if isinstance(cell, dt.time):
        return cell
    match = re.fullmatch(r"([01]?\d|2[0-3])[:.h]([0-5]\d)(?::00)?", as_text(cell))
    if match is None:
        raise CellError(_("This is not a time of day."), _("Write it as 22:00."))
    return dt.time(int(match[1]), int(match[2]))


def choice(options: Mapping[str, str], *, of: Words, known: Words) -> Reader:
    """One of several codes, written as code or as one of its names.

    `options` maps each way of writing to its code; `of` says what is chosen, in the plural, and
    `known` lists what to write in the reader's language.
    """
    codes = {plain(written): code for written, code in options.items()}

    def read(cell: Cell) -> str:
        words = as_text(cell)
        if plain(words) not in codes:
            raise CellError(
                worded(_("This is not among the {of}."), of=of),
                worded(_("Write one of: {known}."), known=known),
            )
        return codes[plain(words)]

    return read


def several(read_one: Reader) -> Reader:
    """Several values in one cell, apart by commas, semicolons, slashes, bars or line breaks."""

    def read(cell: Cell) -> tuple[object, ...]:
        parts = [part.strip() for part in re.split(r"[,;/|\n]+", as_text(cell))]
        return tuple(dict.fromkeys(read_one(part) for part in parts if part))

    return read
