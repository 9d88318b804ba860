"""The skills matrix as a sheet, for paper folders and other programs."""

import csv
import io

from django.http import HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from openpyxl import Workbook
from openpyxl.styles import Alignment, Font

from certification.matrix.selectors import Matrix
from training.people.sheets.cells import harmless

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def _lines(matrix: Matrix) -> list[list[str]]:
    moment = f"{timezone.localtime(matrix.moment):%Y-%m-%d %H:%M}"
    lines = [
        [_("Who may run which job"), _("As of"), moment, _("Rules"), matrix.rules.revision],
        [_("Number"), _("Name"), _("Crew"), *(column.job.number for column in matrix.columns)],
        ["", _("Alone"), "", *(str(column.alone) for column in matrix.columns)],
    ]
    for row in matrix.rows:
        crew = row.person.crew.code if row.person.crew else ""
        cells = [cell.sentence for cell in row.cells]
        lines.append([row.person.personnel_no, row.person.name, crew, *cells])
    return [[harmless(text) for text in line] for line in lines]


def as_csv(matrix: Matrix) -> HttpResponse:
    """Return the matrix as CSV with a byte-order mark, so that every program reads the accents."""
    buffer = io.StringIO()
    csv.writer(buffer).writerows(_lines(matrix))
    return _file("﻿" + buffer.getvalue(), "text/csv; charset=utf-8", "csv", matrix)


def as_xlsx(matrix: Matrix) -> HttpResponse:
    book = Workbook()
    sheet = book.active
    if sheet is None:
        raise RuntimeError("A new workbook has an active sheet.")
    sheet.title = _("Matrix")
    for line in _lines(matrix):
        sheet.append(line)
    for cell in sheet[2]:
        cell.font = Font(bold=True)
        cell.alignment = Alignment(horizontal="center")
    sheet.freeze_panes = "D4"
    sheet.column_dimensions["B"].width = 26
    buffer = io.BytesIO()
    book.save(buffer)
    return _file(buffer.getvalue(), XLSX, "xlsx", matrix)


def _file(content: str | bytes, kind: str, ending: str, matrix: Matrix) -> HttpResponse:
    name = f"matrix-{timezone.localtime(matrix.moment):%Y-%m-%d-%H%M}.{ending}"
    response = HttpResponse(content, content_type=kind)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
