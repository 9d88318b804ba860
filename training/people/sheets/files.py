"""Files as rows of cells: CSV in the encodings and separators of real offices, and XLSX."""

import csv
import datetime as dt
import io
import re
import unicodedata
import warnings
import zipfile
from collections.abc import Iterable, Iterator
from typing import Final
from xml.etree.ElementTree import ParseError

import openpyxl
from django.utils.translation import gettext_lazy as _

from training.people.sheets.problems import FileError, worded

Cell = str | int | float | bool | dt.date | dt.datetime | dt.time | None
Cells = tuple[Cell, ...]

MAX_BYTES: Final = 20 * 1024 * 1024
MAX_UNPACKED_BYTES: Final = 300 * 1024 * 1024
MAX_ROWS: Final = 100_000
SEPARATORS: Final = (";", ",", "\t")

_OLD_OFFICE = b"\xd0\xcf\x11\xe0"
_ZIP = b"PK\x03\x04"
_SAVE_AS = _("Save it again as .xlsx, or as CSV in UTF-8, and send that file.")
_BROKEN_BOOK = (zipfile.BadZipFile, KeyError, ValueError, OSError, EOFError, ParseError, TypeError)


def read_cells(data: bytes, name: str, sheets: Iterable[str] = ()) -> Iterator[tuple[int, Cells]]:
    """Yield the rows that are not blank, with their numbers as in the file (its first row is 1).

    Parameters
    ----------
    data
        The whole file, at most `MAX_BYTES`.
    name
        The file's name; only its ending is looked at, to say what is wrong.
    sheets
        Names of the sheet wanted from a workbook; without any, the first one. A workbook that has
        none of them yields nothing. A CSV file has one sheet.

    Raises
    ------
    FileError
        If the file, or its part from some row on, cannot be read.
    """
    check_size(data)
    if data.startswith(_OLD_OFFICE):
        raise FileError(_("The file is an old .xls or is locked with a password."), _SAVE_AS)
    if data.startswith(_ZIP):
        yield from _numbered(_workbook_rows(data, tuple(sheets)))
    elif name.lower().endswith((".xlsx", ".xlsm", ".xls", ".ods")):
        raise FileError(_("The file has the name of a spreadsheet but is none."), _SAVE_AS)
    else:
        yield from _numbered(_text_rows(_decoded(data)))


def is_workbook(data: bytes) -> bool:
    return data.startswith(_ZIP)


def check_size(data: bytes) -> None:
    if not data.strip(b"\xef\xbb\xbf\r\n \t"):
        raise FileError(
            _("The file is empty."), _("Send a file with a header row and at least one more row.")
        )
    if len(data) > MAX_BYTES:
        raise FileError(
            worded(
                _("The file has {size} MB; at most {most} MB are read."),
                size=len(data) // 1024 // 1024,
                most=MAX_BYTES // 1024 // 1024,
            ),
            _("Split it into several files, each with the header row."),
        )


def _numbered(rows: Iterable[Cells]) -> Iterator[tuple[int, Cells]]:
    filled = 0
    for number, row in enumerate(rows, start=1):
        cells = tuple(_tidy(cell) for cell in row)
        if all(cell is None for cell in cells):
            continue
        filled += 1
        if filled > MAX_ROWS:
            raise FileError(
                worded(_("The file has more than {most} rows."), most=MAX_ROWS),
                _("Split it into several files, each with the header row."),
                number,
            )
        yield number, cells


def _tidy(cell: Cell) -> Cell:
    if not isinstance(cell, str):
        return cell
    # No-break spaces come along when a cell was copied from a page or a letter.
    text = unicodedata.normalize("NFC", cell.replace("\N{NO-BREAK SPACE}", " ")).strip()
    return text or None


# ---------------------------------------------------------------- CSV


def _decoded(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings = ["utf-16"]
    else:
        encodings = ["utf-8-sig", "cp1252"]
    for encoding in encodings:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" in text:
            break
        return text
    raise FileError(
        _("The file is neither a spreadsheet nor text in UTF-8 or Windows-1252."), _SAVE_AS
    )


def _text_rows(text: str) -> Iterator[Cells]:
    first_line = next(line for line in text.splitlines() if line.strip())
    named = re.fullmatch(r'"?sep=(.)"?', first_line.strip(), re.IGNORECASE)
    separator = named[1] if named else _separator(first_line)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    number = 0
    try:
        for number, cells in enumerate(reader, start=1):
            is_note = named and number == 1
            yield () if is_note else tuple(cells)
    except csv.Error as error:
        raise FileError(
            _("From this row on the file cannot be read: a quotation mark is not closed."),
            _("Close it, or write a quotation mark inside a value twice."),
            number + 1,
        ) from error


def _separator(line: str) -> str:
    bare = re.sub(r'"[^"]*"', "", line)
    return max(SEPARATORS, key=bare.count) if any(map(bare.count, SEPARATORS)) else ","


# ---------------------------------------------------------------- XLSX


def _workbook_rows(data: bytes, sheets: tuple[str, ...]) -> Iterator[Cells]:
    rows = _sheet_rows(data, sheets)
    while True:
        try:
            with warnings.catch_warnings():
                # Drop-down lists and colours that openpyxl does not keep do not matter here.
                warnings.simplefilter("ignore", UserWarning)
                row = next(rows, None)
        except FileError:
            raise
        except _BROKEN_BOOK as error:
            raise FileError(
                _("The spreadsheet is damaged or is not an .xlsx file."), _SAVE_AS
            ) from error
        if row is None:
            return
        yield row


def _sheet_rows(data: bytes, sheets: tuple[str, ...]) -> Iterator[Cells]:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        if sum(item.file_size for item in packed.infolist()) > MAX_UNPACKED_BYTES:
            raise FileError(_("The spreadsheet unpacks to far more than it should."), _SAVE_AS)
    book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    try:
        wanted = {plain(name) for name in sheets}
        named = [sheet for sheet in book.worksheets if not wanted or plain(sheet.title) in wanted]
        if not named:
            return
        sheet = named[0]
        # The size a file claims for its sheet may be wrong; the rows themselves are not.
        sheet.reset_dimensions()
        for cells in sheet.iter_rows(values_only=True):
            yield tuple(_day_without_time(cell) for cell in cells)  # type: ignore[arg-type]
    finally:
        book.close()


def _day_without_time(cell: Cell) -> Cell:
    if isinstance(cell, dt.datetime) and cell.time() == dt.time(0):
        return cell.date()
    return cell


def plain(text: str) -> str:
    """Return the letters and digits of a header, without case, accents and what stands between."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(char for char in apart if char.isalnum())
