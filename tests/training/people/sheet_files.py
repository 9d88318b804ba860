"""Makes files as offices send them, for the tests of imports."""

import datetime as dt
import io
from collections.abc import Iterable, Mapping

import openpyxl

Rows = Iterable[Iterable[object]]


def excel_day(year: int, month: int, day: int) -> dt.datetime:
    """Return a day as a spreadsheet keeps it: midnight, without a time zone."""
    return dt.datetime.combine(dt.date(year, month, day), dt.time())


def csv_bytes(text: str, encoding: str = "utf-8") -> bytes:
    """Return lines of a CSV file, without the indentation of the test."""
    lines = [line.strip() for line in text.strip().splitlines()]
    return ("\r\n".join(lines) + "\r\n").encode(encoding)


def workbook(sheets: Mapping[str, Rows]) -> bytes:
    """Return an .xlsx file with these sheets."""
    book = openpyxl.Workbook(write_only=True)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()
