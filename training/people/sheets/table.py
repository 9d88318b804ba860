"""A sheet as a table: headers in either language, values of each column, and every problem."""

import datetime as dt
import difflib
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from training.people.sheets import values
from training.people.sheets.days import DayOrder, TwoWays, order_of
from training.people.sheets.files import Cells, plain, read_cells
from training.people.sheets.problems import CellError, FileError, Problem, Words, worded


@dataclass(frozen=True)
class Column:
    """One column that an import knows.

    `en` and `es` are the headers understood, the one to recommend first. `read` turns a cell into a
    value. A `needed` column must be there; a `filled` one must hold something in every row.
    """

    key: str
    en: tuple[str, ...]
    es: tuple[str, ...]
    read: values.Reader
    needed: bool = False
    filled: bool = False
    explains: Words = ""

    @property
    def header(self) -> str:
        """The header to recommend, in the reader's language."""
        return (self.es if (get_language() or "en").startswith("es") else self.en)[0]


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its number as in the file, its cells as written, its values by column key."""

    number: int
    cells: Cells
    values: dict[str, Any]

    def get(self, key: str, default: Any = None) -> Any:
        value = self.values.get(key)
        return default if value is None else value

    def has(self, *keys: str) -> bool:
        return all(self.values.get(key) is not None for key in keys)


@dataclass
class Table:
    """What was read from one sheet."""

    name: str
    rows: list[Row] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    headers: dict[str, str] = field(default_factory=dict)
    places: dict[str, int] = field(default_factory=dict)
    unused: list[str] = field(default_factory=list)
    width: int = 0
    found: bool = True

    def problem(self, row: Row | None, key: str, message: Words, remedy: Words) -> None:
        """Note something wrong with a value of a row, found by a check of more than the cell."""
        place = self.places.get(key)
        written = row is not None and place is not None and place < len(row.cells)
        value = values.as_text(row.cells[place]) if written else ""  # type: ignore[union-attr, index]
        number = row.number if row is not None else None
        self.problems.append(
            Problem(number, self.headers.get(key, ""), value, message, remedy, self.name)
        )


Dynamic = Callable[[str], Column | None]


def read_table(
    data: bytes,
    *,
    file_name: str,
    columns: Iterable[Column],
    order: DayOrder = DayOrder.BY_COLUMN,
    sheets: Iterable[str] = (),
    dynamic: Dynamic | None = None,
) -> Table:
    """Read one sheet and note every problem of its cells; a file that cannot be read is one problem.

    `dynamic` may make a column from a header that no column knows. Of a workbook the first of the
    named `sheets` is read; where it has none, the table is empty and not `found`.
    """
    table = Table(name=file_name)
    by_header = {plain(name): column for column in columns for name in (*column.en, *column.es)}
    placed: dict[int, Column] = {}
    number = 0
    try:
        for number, cells in read_cells(data, file_name, sheets):
            if not placed:
                placed = _place_headers(table, cells, number, by_header, dynamic)
                _check_needed(table, by_header.values(), placed)
                if table.problems:
                    return table
                continue
            table.rows.append(_read_row(table, number, cells, placed))
    except FileError as error:
        table.problems.append(Problem(error.row, "", "", error.message, error.remedy, table.name))
    table.found = number > 0
    if placed and not table.rows and not table.problems:
        table.problems.append(
            Problem(
                None,
                "",
                "",
                _("The file has a header and nothing below it."),
                _("Send a file with a header row and at least one more row."),
                table.name,
            )
        )
    _settle_days(table, placed, order)
    return table


def _place_headers(
    table: Table,
    cells: Cells,
    number: int,
    by_header: dict[str, Column],
    dynamic: Dynamic | None,
) -> dict[int, Column]:
    placed: dict[int, Column] = {}
    for place, cell in enumerate(cells):
        header = values.as_text(cell)
        if not header:
            continue
        table.width = place + 1
        column = by_header.get(plain(header)) or (dynamic(header) if dynamic else None)
        if column is None:
            table.unused.append(header)
        elif column.key in table.headers:
            table.problems.append(
                Problem(
                    number,
                    header,
                    "",
                    worded(
                        _("The column stands twice, as “{first}” and as “{second}”."),
                        first=table.headers[column.key],
                        second=header,
                    ),
                    _("Delete one of the two."),
                    table.name,
                )
            )
        else:
            placed[place] = column
            table.headers[column.key] = header
            table.places[column.key] = place
    return placed


def _check_needed(table: Table, columns: Iterable[Column], placed: dict[int, Column]) -> None:
    have = {column.key for column in placed.values()}
    missing = {column.key: column for column in columns if column.needed and column.key not in have}
    for column in missing.values():
        near = _nearest(column, table.unused)
        names = " / ".join((column.en[0], column.es[0]))
        table.problems.append(
            Problem(
                1,
                column.header,
                "",
                worded(_("The column “{name}” is missing."), name=names),
                worded(_("Is it the one headed “{near}”? Head it “{name}”."), near=near, name=names)
                if near
                else worded(_("Add it, headed “{name}”, in the header row."), name=names),
                table.name,
            )
        )


def _nearest(column: Column, headers: list[str]) -> str:
    names = [plain(name) for name in (*column.en, *column.es)]
    by_plain = {plain(header): header for header in headers}
    for name in names:
        close = difflib.get_close_matches(name, by_plain, n=1, cutoff=0.75)
        if close:
            return by_plain[close[0]]
    return ""


def _read_row(table: Table, number: int, cells: Cells, placed: dict[int, Column]) -> Row:
    row = Row(number, cells, {})
    for place, column in placed.items():
        cell = cells[place] if place < len(cells) else None
        if cell is None:
            if column.filled:
                table.problem(
                    row, column.key, _("The cell is empty."), _("Every row needs this value.")
                )
            continue
        try:
            row.values[column.key] = column.read(cell)
        except CellError as error:
            table.problem(row, column.key, error.message, error.remedy)
    _check_beyond(table, row)
    return row


def _check_beyond(table: Table, row: Row) -> None:
    """A row longer than the header has most likely slipped by a separator inside a value."""
    beyond = [cell for cell in row.cells[table.width :] if cell is not None]
    if beyond:
        table.problems.append(
            Problem(
                row.number,
                "",
                values.as_text(beyond[0]),
                _("The row has more values than the header has columns."),
                _("Put values that hold a comma or semicolon between quotation marks."),
                table.name,
            )
        )


# ---------------------------------------------------------------- days written two ways


def _settle_days(table: Table, placed: dict[int, Column], order: DayOrder) -> None:
    for column in placed.values():
        open_rows = [row for row in table.rows if isinstance(row.values.get(column.key), TwoWays)]
        if not open_rows:
            continue
        ways: list[TwoWays] = [row.values[column.key] for row in open_rows]
        chosen = order_of(ways) if order is DayOrder.BY_COLUMN else order
        if chosen is None:
            _open_order(table, column, open_rows, ways)
        for row, way in zip(open_rows, ways, strict=True):
            found = way.by(chosen) if chosen is not None else None
            row.values[column.key] = _checked_day(table, row, column.key, found, chosen)


def _open_order(table: Table, column: Column, open_rows: list[Row], ways: list[TwoWays]) -> None:
    both = any(way.day_first is None for way in ways) and any(
        way.month_first is None for way in ways
    )
    row = next(row for row, way in zip(open_rows, ways, strict=True) if way.is_open or both)
    table.problem(
        row,
        column.key,
        _("Some days of this column have the day first, others the month.")
        if both
        else _("Nothing in this column tells whether the day or the month stands first."),
        _("Write the days as 2026-11-25, or choose the order beside the file.")
        if not both
        else _("Write the days as 2026-11-25."),
    )


def _checked_day(
    table: Table, row: Row, key: str, found: dt.date | None, chosen: DayOrder | None
) -> dt.date | None:
    if found is None:
        if chosen is not None:
            table.problem(
                row,
                key,
                _("This is not a day in the order that was chosen."),
                _("Write it as 2026-11-25, without a time."),
            )
        return None
    try:
        return values.day(found)  # type: ignore[return-value]
    except CellError as error:
        table.problem(row, key, error.message, error.remedy)
        return None
