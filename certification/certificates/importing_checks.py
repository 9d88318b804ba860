"""Importing observed checks from paper: the sign-offs at the press, whole or not at all."""

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from certification.certificates.carrying_over import stays_of
from certification.certificates.import_columns import CHECK_COLUMNS
from certification.certificates.importing import person_of
from certification.certificates.models import ObservedCheck
from training.floor.models import Job, JobGroup
from training.people.models import Employment, Person
from training.people.record.chain import append
from training.people.sheets.days import DayOrder
from training.people.sheets.plan import (
    CHANGED,
    MAIN,
    NEW,
    SAME,
    Change,
    Detail,
    Import,
    NotCleanError,
    Outcome,
    Plan,
    SheetFile,
)
from training.people.sheets.problems import worded
from training.people.sheets.table import Row, Table, read_table

CARRIED_OVER = "carried_over"
COMPARED = (
    "level",
    "observer_id",
    "second_signer_id",
    "trainee_signed",
    "planted_shown",
    "planted_found",
    "good_shown",
    "good_refused",
    "paper_ref",
    "last_worked_before",
)


@dataclass(frozen=True)
class Known:
    """People, jobs and job groups by the codes that sheets use."""

    people: dict[str, Person]
    jobs: dict[str, Job]
    groups: dict[str, JobGroup]


def check_observed_checks(
    files: Mapping[str, SheetFile], *, order: DayOrder, by: Person | None, today: dt.date
) -> Plan[ObservedCheck]:
    """Read a sheet of sign-offs and say what it would carry over. Costs five queries."""
    file = files[MAIN]
    table = read_table(file.data, file_name=file.name, columns=CHECK_COLUMNS, order=order)
    plan: Plan[ObservedCheck] = Plan([table])
    known = Known(
        {person.personnel_no: person for person in Person.objects.all()},
        {job.number: job for job in Job.objects.select_related("group")},
        {group.code: group for group in JobGroup.objects.all()},
    )
    found = [(row, check) for row in table.rows if (check := _check(table, row, known)) is not None]
    people = {check.person_id for _row, check in found}
    stays = stays_of(people)
    on_record = {
        _same(each): each
        for each in ObservedCheck.objects.filter(
            person__in=people, basis=CARRIED_OVER, corrections=None
        )
    }
    seen: dict[tuple[object, ...], int] = {}
    for row, check in found:
        _check_days(table, row, check, stays[check.person_id], today)
        _check_signers(table, row, check)
        _check_once(table, row, check, seen)
        old = on_record.get(_same(check))
        change = _change(row, check, old)
        plan.changes.append(change)
        if change.status != SAME:
            check.corrects = old
            plan.items.append(check)
    return plan


def _check(table: Table, row: Row, known: Known) -> ObservedCheck | None:
    person = person_of(table, row, "person", known.people)
    observer = person_of(table, row, "observer", known.people)
    second = person_of(table, row, "second_signer", known.people)
    job, group = _job_and_group(table, row, known)
    planted, good = _share(table, row, "planted"), _share(table, row, "good")
    if person is None or group is None or not row.has("level", "observed_day", "paper_ref"):
        return None
    return ObservedCheck(
        person=person,
        job_group=group,
        job=job,
        level=str(row.get("level")),
        observed_day=row.get("observed_day"),
        observer=observer,
        second_signer=second,
        trainee_signed=bool(row.get("trainee_signed", False)),
        planted_found=planted[0],
        planted_shown=planted[1],
        good_refused=good[0],
        good_shown=good[1],
        basis=CARRIED_OVER,
        paper_ref=row.get("paper_ref"),
        last_worked_before=row.get("last_worked", row.get("observed_day")),
    )


def _job_and_group(table: Table, row: Row, known: Known) -> tuple[Job | None, JobGroup | None]:
    number, code = row.get("job"), row.get("job_group")
    job = known.jobs.get(number) if number else None
    group = known.groups.get(code) if code else None
    unknown: list[tuple[str, Any]] = []
    if number and job is None:
        unknown.append(("job", number))
    if code and group is None:
        unknown.append(("job_group", code))
    for key, value in unknown:
        table.problem(
            row,
            key,
            worded(_("There is no “{code}”."), code=value),
            _("Correct it, or import the job first."),
        )
    if not number and not code:
        table.problem(
            row,
            "job" if "job" in table.headers else "job_group",
            _("Neither a job nor a job group is named."),
            _("Fill in one of the columns “Job” and “Job group”."),
        )
    if job is not None and group is not None and job.group_id != group.pk:
        table.problem(
            row,
            "job_group",
            worded(_("Job {job} belongs to the group {group}."), job=number, group=job.group.code),
            _("Correct one of the two."),
        )
    if unknown:
        return None, None
    return job, group or (job.group if job else None)


def _share(table: Table, row: Row, key: str) -> tuple[int | None, int | None]:
    """Read 5/5: how many of how many."""
    written = row.get(key)
    if written is None:
        return None, None
    match = re.fullmatch(r"(\d{1,3})/(\d{1,3})", written)
    if match is None or int(match[1]) > int(match[2]):
        table.problem(
            row,
            key,
            _("This is not a number out of a number."),
            _("Write it as 5/5: found out of shown, or refused out of shown."),
        )
        return None, None
    return int(match[1]), int(match[2])


def _check_days(
    table: Table, row: Row, check: ObservedCheck, stays: list[Employment], today: dt.date
) -> None:
    day, last = check.observed_day, check.last_worked_before
    if day > today:
        table.problem(row, "observed_day", _("The day lies in the future."), _("Correct the day."))
    elif not any(stay.from_day <= day <= (stay.to_day or day) for stay in stays):
        hired = min((stay.from_day for stay in stays), default=None)
        table.problem(
            row,
            "observed_day",
            worded(_("The person was not employed on this day; hired {day}."), day=hired or "–"),
            _("Check the day and the person."),
        )
    if last is not None and last < day:
        table.problem(
            row,
            "last_worked",
            _("The last day worked lies before the day observed."),
            _("Leave it empty where nothing later is known."),
        )
    elif last is not None and day <= today < last:
        table.problem(row, "last_worked", _("The day lies in the future."), _("Correct the day."))


def _check_signers(table: Table, row: Row, check: ObservedCheck) -> None:
    for key in ("observer", "second_signer"):
        if getattr(check, f"{key}_id") == check.person_id:
            table.problem(
                row,
                key,
                _("Nobody signs their own observed check."),
                _("Give the number of the person who did."),
            )
    if check.observer_id is not None and check.observer_id == check.second_signer_id:
        table.problem(
            row,
            "second_signer",
            _("Observer and second signer are the same person."),
            _("Two people sign: give the number of the other."),
        )


def _same(check: ObservedCheck) -> tuple[object, ...]:
    return (check.person_id, check.job_group_id, check.job_id, check.observed_day)


def _check_once(
    table: Table, row: Row, check: ObservedCheck, seen: dict[tuple[object, ...], int]
) -> None:
    first = seen.setdefault(_same(check), row.number)
    if first != row.number:
        table.problem(
            row,
            "observed_day",
            worded(_("The same observed check stands in row {row} already."), row=first),
            _("Keep one row for each person, job and day."),
        )


def _change(row: Row, check: ObservedCheck, old: ObservedCheck | None) -> Change:
    details = [
        Detail(_("job group"), "", check.job_group.code),
        Detail(_("level"), old.level if old else "", check.level),
        Detail(_("observed"), "", check.observed_day.isoformat()),
    ]
    status = NEW if old is None else CHANGED
    if old is not None and all(getattr(old, key) == getattr(check, key) for key in COMPARED):
        status = SAME
    name = f"{check.person.name}, {check.job_group.code}"
    return Change(row.number, check.person.personnel_no, name, status, tuple(details))


def write_observed_checks(
    plan: Plan[ObservedCheck], *, by: Person | None, moment: dt.datetime, today: dt.date
) -> Outcome:
    """Carry a plan without problems over in one transaction; a changed one is a correction."""
    if plan.problems:
        raise NotCleanError(plan)
    with transaction.atomic():
        for check in plan.items:
            check.recorded_by = by
        if plan.items:
            append(*plan.items, moment=moment)
    return Outcome(plan.summary())


OBSERVED_CHECKS = Import(
    kind="observed-checks",
    title=_("Carry observed checks over from paper"),
    lead=_("One row for each person and job group that was signed off at the press."),
    route="certificates:import_observed_checks",
    done_route="matrix:matrix",
    sheets={MAIN: CHECK_COLUMNS},
    further={},
    check=check_observed_checks,
    write=write_observed_checks,
)
