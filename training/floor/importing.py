"""Importing jobs with their limits: what the sheets would change, and writing all of it or nothing."""

import datetime as dt
from collections.abc import Mapping

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from training.floor.import_columns import JOB_COLUMNS, LEVELS, LEVELS_KNOWN, LIMIT_COLUMNS
from training.floor.import_known import JobItem, Known, load_known
from training.floor.import_limits import limits_by_job
from training.floor.import_rows import plan_fields, plan_relations
from training.floor.import_sheets import NEED, plan_sheet, planned_needs
from training.floor.models import Caution, Job, Press
from training.floor.services import publish_work_instruction
from training.people.models import Person
from training.people.sheets.days import DayOrder
from training.people.sheets.files import is_workbook
from training.people.sheets.plan import (
    CHANGED,
    MAIN,
    NEW,
    SAME,
    Change,
    Import,
    NotCleanError,
    Outcome,
    Plan,
    SheetFile,
)
from training.people.sheets.problems import worded
from training.people.sheets.table import Column, Row, Table, read_table
from training.people.sheets.values import choice

LIMITS = "limits"
LIMIT_SHEETS = ("limits", "limit", "límites", "limites")


def check_jobs(
    files: Mapping[str, SheetFile], *, order: DayOrder, by: Person | None, today: dt.date
) -> Plan[JobItem]:
    """Read a jobs sheet and its limits and say what they would change. Costs eleven queries.

    The limits stand in a second file, or in a sheet of the same workbook called limits.
    """
    known = load_known()
    jobs_file = files[MAIN]
    table = read_table(
        jobs_file.data,
        file_name=jobs_file.name,
        columns=JOB_COLUMNS,
        order=order,
        dynamic=lambda header: _family_column(header, known),
    )
    limits = _limits_table(files, order)
    plan: Plan[JobItem] = Plan([table] if limits is None else [table, limits])
    in_file = _rows_by_number(table)
    items = [JobItem(row, known.jobs.get(str(row.get("number", "")))) for row in table.rows]
    needs: dict[str, dict[str, str]] = {}
    for item in items:
        plan_fields(table, item, known)
        needs[item.number] = planned_needs(table, item, known)
    lines = limits_by_job(limits, known, in_file, needs) if limits is not None else {}
    for item in items:
        plan_relations(table, item, known, in_file)
        plan_sheet(table, item, known, lines.get(item.number))
        if item.number:
            plan.items.append(item)
            plan.changes.append(_change(item))
    return plan


def _family_column(header: str, known: Known) -> Column | None:
    family = known.family(header)
    if family is None:
        return None
    return Column(
        f"{NEED}{family.slug}",
        (header,),
        (header,),
        choice(LEVELS, of=_("levels"), known=LEVELS_KNOWN),
    )


def _limits_table(files: Mapping[str, SheetFile], order: DayOrder) -> Table | None:
    """Read the limits, from their own file or from a sheet of the workbook; None without any."""
    file = files.get(LIMITS)
    if file is not None:
        return read_table(file.data, file_name=file.name, columns=LIMIT_COLUMNS, order=order)
    book = files[MAIN]
    if not is_workbook(book.data):
        return None
    table = read_table(
        book.data,
        file_name=f"{book.name} · limits",
        columns=LIMIT_COLUMNS,
        order=order,
        sheets=LIMIT_SHEETS,
    )
    return table if table.found else None


def _rows_by_number(table: Table) -> dict[str, Row]:
    found: dict[str, Row] = {}
    for row in table.rows:
        number = row.get("number")
        if number is None:
            continue
        first = found.setdefault(number, row)
        if first is not row:
            table.problem(
                row,
                "number",
                worded(_("The job stands in row {row} already."), row=first.number),
                _("Keep one row for each job."),
            )
    return found


def _change(item: JobItem) -> Change:
    part = item.fields.get("part") or (item.job.part if item.job else {})
    name = " / ".join(str(words) for words in part.values())
    status = NEW if item.job is None else CHANGED if item.details else SAME
    return Change(item.row.number, item.number, name, status, tuple(item.details))


def write_jobs(
    plan: Plan[JobItem], *, by: Person | None, moment: dt.datetime, today: dt.date
) -> Outcome:
    """Write a plan without problems in one transaction.

    Raises
    ------
    NotCleanError
        If the plan has problems.
    django.core.exceptions.ValidationError, django.db.IntegrityError
        If the register has changed since the plan was made so that it no longer fits.
    """
    if plan.problems:
        raise NotCleanError(plan)
    with transaction.atomic():
        for item in plan.items:
            _save_job(item)
        by_number = {job.number: job for job in Job.objects.all()}
        for item in plan.items:
            _save_relations(item, by_number)
            _save_sheet(item, by)
    return Outcome(plan.summary())


def _save_job(item: JobItem) -> None:
    for made in (item.new_press, item.new_group):
        if made is not None:
            made.full_clean()
            made.save()
    job = item.job or Job(number=item.number)
    for name, value in item.fields.items():
        setattr(job, name, value)
    if item.job is None or item.fields:
        job.full_clean()
        job.save()
    item.job = job


def _save_relations(item: JobItem, by_number: Mapping[str, Job]) -> None:
    job = by_number[item.number]
    if item.alternates is not None:
        job.alternates.set(Press.objects.filter(code__in=item.alternates))
    if item.cautions is not None:
        job.cautions.set(Caution.objects.filter(code__in=item.cautions))
    if item.tended_with is not None:
        job.tended_with.set(by_number[number] for number in item.tended_with)
    if item.twin is not None:
        other = by_number[item.twin]
        job.twin, other.twin = other, job
        job.save(update_fields=["twin"])
        other.save(update_fields=["twin"])


def _save_sheet(item: JobItem, by: Person | None) -> None:
    if item.sheet is None or item.job is None:
        return
    change = item.sheet
    publish_work_instruction(
        job=item.job,
        revision=change.revision,
        day=change.day,
        needs=change.needs,
        lines=change.lines,
        steps=change.steps,
        signed_by=by,
    )


JOBS = Import(
    kind="jobs",
    title=_("Import jobs"),
    lead=_(
        "One row for each job, its limits in a second sheet. A known job number changes that job; an "
        "empty cell leaves what is there."
    ),
    route="floor:import_jobs",
    done_route="floor:job_list",
    sheets={MAIN: JOB_COLUMNS, LIMITS: LIMIT_COLUMNS},
    further={
        LIMITS: (
            _("Limits"),
            _("A second file, or a sheet called “limits” in the first."),
        )
    },
    check=check_jobs,
    write=write_jobs,
)
