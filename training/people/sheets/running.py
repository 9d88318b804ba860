"""Running an import: checking files that were sent, confirming them, and listing what is wrong."""

import csv
import datetime as dt
import io
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from training.people.models import Person
from training.people.sheets.cells import harmless
from training.people.sheets.days import DayOrder
from training.people.sheets.plan import (
    CHANGED,
    NEW,
    Detail,
    Import,
    NotCleanError,
    Outcome,
    Plan,
    SheetFile,
)
from training.people.sheets.problems import Problem
from training.people.sheets.table import Column

# A byte-order mark makes spreadsheet programs open the list with its accents.
_MARK = "\N{ZERO WIDTH NO-BREAK SPACE}"


class ImportRefusedError(Exception):
    """An import that was not written, and why; nothing was changed."""


def write_checked(
    what: Import, plan: Plan[Any], *, by: Person | None, moment: dt.datetime, today: dt.date
) -> Outcome:
    """Write a plan, all of it or nothing; raise ImportRefusedError where it has problems or no longer fits."""
    try:
        return what.write(plan, by=by, moment=moment, today=today)
    except NotCleanError as error:
        raise ImportRefusedError(_("The files have problems; nothing was written.")) from error
    except ValidationError as error:
        raise ImportRefusedError(
            _("The register has changed since the check; nothing was written: %(why)s")
            % {"why": " ".join(error.messages)}
        ) from error
    except IntegrityError as error:
        raise ImportRefusedError(
            _("The register has changed since the check; nothing was written. Check again.")
        ) from error


def check_files(
    what: Import,
    files: Mapping[str, SheetFile],
    *,
    order: DayOrder,
    by: Person | None,
    today: dt.date,
) -> Plan[Any]:
    """Say what the files would change; reading only."""
    return what.check(files, order=order, by=by, today=today)


def to_write(plan: Plan[Any]) -> int:
    """How many rows would write anything."""
    return plan.count(NEW) + plan.count(CHANGED)


def problem_list(problems: list[Problem]) -> bytes:
    """Return every problem as a CSV list in the reader's language."""
    rows = [[_("file"), _("row"), _("column"), _("value"), _("what is wrong"), _("what to do")]]
    rows += [
        [
            problem.sheet,
            "" if problem.row is None else str(problem.row),
            problem.column,
            problem.value,
            str(problem.message),
            str(problem.remedy),
        ]
        for problem in problems
    ]
    return _csv_file(rows)


def empty_sheet(columns: tuple[Column, ...]) -> bytes:
    """Return a sheet with the recommended headers in the reader's language and no rows."""
    return _csv_file([[column.header for column in columns]])


def _csv_file(rows: list[list[str]]) -> bytes:
    # Spreadsheet programs set to Spanish expect semicolons, those set to English commas.
    separator = ";" if (get_language() or "en").startswith("es") else ","
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=separator)
    writer.writerows([harmless(cell) for cell in row] for row in rows)
    return (_MARK + text.getvalue()).encode()


def details_in_words(details: tuple[Detail, ...]) -> str:
    """Say what a row changes, in one line."""
    return "; ".join(
        f"{detail.label}: {detail.before} → {detail.after}"
        if str(detail.before)
        else f"{detail.label}: {detail.after}"
        for detail in details
    )
