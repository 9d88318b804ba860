"""A person's answers as a table for the office: counts of each sitting and family, no single answer."""

import csv
import io
from collections.abc import Iterable

from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from training.people.models import Person
from training.people.sheets.cells import harmless
from training.quizzes.reports.by_family import FamilyInRound, families_in_rounds
from training.quizzes.reports.meetings import Meeting

# Tells every spreadsheet program that accents are in UTF-8.
MARK = "\N{BYTE ORDER MARK}"


def report_csv(person: Person, found: Iterable[Meeting], names: dict[str, str]) -> str:
    """Return the table, one line a sitting and family, oldest first; `names` are by family."""
    buffer = io.StringIO()
    writer = csv.writer(buffer)
    writer.writerow(_head())
    for row in families_in_rounds(found):
        writer.writerow(harmless(str(cell)) for cell in _line(person, row, names))
    return MARK + buffer.getvalue()


def _head() -> list[str]:
    return [
        _("Personnel number"),
        _("Name"),
        _("Sitting"),
        _("Kind"),
        _("Opened"),
        _("Plan"),
        _("Revision"),
        _("Family"),
        _("Family code"),
        _("Bad parts"),
        _("Missed"),
        _("Accepted"),
        _("Wrong place"),
        _("Kept running"),
        _("Found under another name"),
        _("Clear parts"),
        _("Clear parts missed"),
        _("Good parts"),
        _("False rejects"),
        _("Met before"),
        _("Median seconds"),
        _("How it ended"),
        _("Family passed"),
    ]


def _line(person: Person, row: FamilyInRound, names: dict[str, str]) -> list[object]:
    at = row.round
    return [
        person.personnel_no,
        person.name,
        at.number,
        at.kind,
        localtime(at.opened_at).isoformat(timespec="minutes"),
        at.plan_code,
        at.plan_revision,
        names.get(row.family, row.family),
        row.family,
        row.bad,
        row.missed,
        row.accepted,
        row.wrong_place,
        row.kept_running,
        row.named_otherwise,
        row.clear,
        row.clear_missed,
        row.good,
        row.false_rejects,
        row.met_before,
        f"{row.median_s:.1f}",
        at.reason,
        ("yes" if row.passed else "no") if at.counts else "",
    ]
