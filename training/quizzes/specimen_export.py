"""Specimen statistics as a sheet: every number behind the page, one specimen a row."""

import csv
import datetime as dt
import io
from collections.abc import Iterable
from typing import Final

from django.http import HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from openpyxl import Workbook
from openpyxl.styles import Alignment, Font

from training.people.sheets.cells import harmless
from training.quizzes.selectors.specimen_statistics import SpecimenLine
from training.quizzes.specimen_figures import BankFigures
from training.quizzes.specimen_words import LineRow, line_rows
from training.quizzes.words import here

XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
Cell = str | int | float | None


def as_csv(lines: Iterable[SpecimenLine], bank: BankFigures, moment: dt.datetime) -> HttpResponse:
    """Return the sheet as CSV with a byte-order mark, so that every program reads the accents."""
    buffer = io.StringIO()
    csv.writer(buffer).writerows(_sheet(lines, bank, moment))
    return _file("\ufeff" + buffer.getvalue(), "text/csv; charset=utf-8", "csv", moment)


def as_xlsx(lines: Iterable[SpecimenLine], bank: BankFigures, moment: dt.datetime) -> HttpResponse:
    book = Workbook()
    sheet = book.active
    if sheet is None:
        raise RuntimeError("A new workbook has an active sheet.")
    sheet.title = _("Specimens")
    for row in _sheet(lines, bank, moment):
        sheet.append(row)
    for cell in sheet[2]:
        cell.font = Font(bold=True)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
    sheet.freeze_panes = "B3"
    sheet.column_dimensions["B"].width = 22
    buffer = io.BytesIO()
    book.save(buffer)
    return _file(buffer.getvalue(), XLSX, "xlsx", moment)


def _sheet(
    lines: Iterable[SpecimenLine], bank: BankFigures, moment: dt.datetime
) -> list[list[Cell]]:
    as_of = f"{timezone.localtime(moment):%Y-%m-%d %H:%M}"
    title: list[Cell] = [_("Specimen statistics"), _("As of"), as_of, _("Answers"), bank.answers]
    rows = [_row(row) for row in line_rows(lines, bank)]
    return [
        [harmless(cell) if isinstance(cell, str) else cell for cell in row]
        for row in (title, _head(), *rows)
    ]


def _head() -> list[Cell]:
    return [
        _("Number"),
        _("Defect family"),
        _("Job"),
        _("Zone"),
        _("Pool"),
        _("Decision"),
        _("Severity ÷ limit"),
        _("First answers in exams"),
        _("Right"),
        _("Shown as"),
        _("Proportion right, drawn towards the bank's"),
        _("Low end (95 %)"),
        _("High end (95 %)"),
        _("Place, 1 = hardest"),
        _("Difficulty (logit)"),
        _("Standard error (logit)"),
        _("Doubts"),
        _("Why"),
        _("Probability of a wrong key"),
        _("Probability of being too close to call"),
        _("Right before"),
        _("Answers before"),
        _("Right since"),
        _("Answers since"),
        _("Drift (standard errors)"),
        _("Panel verdicts behind the key"),
        _("Panel verdicts"),
        _("People who have met it"),
        _("Met last"),
        _("Answers under another decision, left out"),
    ]


def _row(row: LineRow) -> list[Cell]:
    line, figures = row.line, row.line.figures
    windows = figures.windows
    met = "" if line.last is None else f"{timezone.localtime(line.last):%Y-%m-%d}"
    return [
        line.number,
        here(line.family),
        line.job,
        line.zone,
        row.pool,
        line.decided or "",
        None if line.ratio is None else float(line.ratio),
        figures.answered,
        figures.right,
        row.right,
        _rounded(figures.proportion),
        _rounded(figures.low),
        _rounded(figures.high),
        figures.rank,
        _rounded(figures.difficulty),
        _rounded(figures.difficulty_se),
        "; ".join(doubt.word for doubt in row.doubts),
        " ".join(doubt.why for doubt in row.doubts),
        _rounded(figures.p_wrong_key),
        _rounded(figures.p_too_close),
        windows.earlier_right if windows else None,
        windows.earlier if windows else None,
        windows.recent_right if windows else None,
        windows.recent if windows else None,
        _rounded(figures.drift_z),
        figures.panel[0] if figures.panel else None,
        figures.panel[1] if figures.panel else None,
        line.people,
        met,
        line.other_key,
    ]


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 4)


def _file(content: str | bytes, kind: str, ending: str, moment: dt.datetime) -> HttpResponse:
    name = f"specimens-{timezone.localtime(moment):%Y-%m-%d-%H%M}.{ending}"
    response = HttpResponse(content, content_type=kind)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
