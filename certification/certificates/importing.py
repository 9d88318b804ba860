"""Importing certificates from paper: what a sheet would carry over, and writing it whole or not."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext_lazy as _

from certification.certificates.carrying_over import (
    PaperCertificate,
    carried_over_of,
    carry_over_many,
    paper_errors,
    stays_of,
)
from certification.certificates.facts import published_rules, rules_of
from certification.certificates.import_columns import CERTIFICATE_COLUMNS
from certification.certificates.models import Certificate, CertificateEvent
from training.floor.import_known import known_families, unknown_family
from training.floor.models import Family
from training.people.models import Person
from training.people.record.chain import append
from training.people.sheets.days import DayOrder
from training.people.sheets.files import plain
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


@dataclass(frozen=True)
class CertificateItem:
    """One paper certificate, and the one on record that it corrects, if any."""

    paper: PaperCertificate
    corrects: Certificate | None


def check_certificates(
    files: Mapping[str, SheetFile], *, order: DayOrder, by: Person | None, today: dt.date
) -> Plan[CertificateItem]:
    """Read a sheet of paper certificates and say what it would carry over. Costs six queries."""
    file = files[MAIN]
    table = read_table(file.data, file_name=file.name, columns=CERTIFICATE_COLUMNS, order=order)
    plan: Plan[CertificateItem] = Plan([table])
    people = {person.personnel_no: person for person in Person.objects.all()}
    families = known_families()
    found = [
        (row, paper)
        for row in table.rows
        if (paper := _paper(table, row, people, families)) is not None
    ]
    keys = {paper.person.pk for _row, paper in found}
    stays, rules = stays_of(keys), rules_of(published_rules(today))
    known = {_same(each): each for each in carried_over_of(keys)}
    touched = _with_events(known)
    seen: dict[tuple[object, ...], int] = {}
    for row, paper in found:
        errors = paper_errors(paper, stays=stays[paper.person.pk], rules=rules, today=today)
        for key, error in errors.items():
            table.problem(row, key, " ".join(error.messages), _("Correct this cell."))
        _check_once(table, row, paper, seen)
        old = known.get(_same_paper(paper))
        change = _change(row, paper, old)
        plan.changes.append(change)
        if change.status == CHANGED and old is not None and old.pk in touched:
            table.problem(
                row,
                "expires_day",
                _("This certificate was suspended or restored since it was carried over."),
                _("Leave it as it is: a named person decides what becomes of it."),
            )
        if change.status != SAME:
            plan.items.append(CertificateItem(paper, old))
    return plan


def _paper(
    table: Table, row: Row, people: Mapping[str, Person], families: Mapping[str, Family]
) -> PaperCertificate | None:
    person = person_of(table, row, "person", people)
    voucher = person_of(table, row, "voucher", people)
    family = None
    if row.has("family"):
        family = families.get(plain(row.get("family")))
        if family is None:
            table.problem(row, "family", *unknown_family(row.get("family"), families))
    if person is None or family is None or not row.has("granted_day", "expires_day", "paper_ref"):
        return None
    default = "critical" if family.always_critical else "ordinary"
    return PaperCertificate(
        person=person,
        family=family,
        level=str(row.get("level", default)),
        granted_day=row.get("granted_day"),
        expires_day=row.get("expires_day"),
        paper_ref=row.get("paper_ref"),
        voucher=voucher,
    )


def person_of(table: Table, row: Row, key: str, people: Mapping[str, Person]) -> Person | None:
    """Return the person a cell names, and note one that is not known."""
    number = row.get(key)
    if number is None:
        return None
    person = people.get(number)
    if person is None:
        table.problem(
            row,
            key,
            worded(_("There is nobody with the personnel number {number}."), number=number),
            _("Correct the number, or import the person first."),
        )
    return person


def _same(certificate: Certificate) -> tuple[object, ...]:
    return (
        certificate.person_id,
        certificate.family_id,
        certificate.granted_day,
        certificate.paper_ref,
    )


def _same_paper(paper: PaperCertificate) -> tuple[object, ...]:
    return (paper.person.pk, paper.family.pk, paper.granted_day, paper.paper_ref)


def _with_events(known: Mapping[tuple[object, ...], Certificate]) -> set[object]:
    events = CertificateEvent.objects.filter(certificate__in=[each.pk for each in known.values()])
    return set(events.values_list("certificate_id", flat=True))


def _check_once(
    table: Table, row: Row, paper: PaperCertificate, seen: dict[tuple[object, ...], int]
) -> None:
    first = seen.setdefault(_same_paper(paper), row.number)
    if first != row.number:
        table.problem(
            row,
            "family",
            worded(_("The same certificate stands in row {row} already."), row=first),
            _("Keep one row for each person, family, day and paper."),
        )


def _change(row: Row, paper: PaperCertificate, old: Certificate | None) -> Change:
    details = [
        Detail(_("family"), "", paper.family.slug),
        Detail(_("level"), old.level if old else "", paper.level),
        Detail(
            _("last day"), old.expires_day.isoformat() if old else "", paper.expires_day.isoformat()
        ),
    ]
    status = NEW if old is None else CHANGED
    if old is not None and (old.level, old.expires_day) == (paper.level, paper.expires_day):
        status = SAME
    name = f"{paper.person.name}, {paper.family.slug}"
    return Change(row.number, paper.person.personnel_no, name, status, tuple(details))


def write_certificates(
    plan: Plan[CertificateItem], *, by: Person | None, moment: dt.datetime, today: dt.date
) -> Outcome:
    """Carry a plan without problems over in one transaction; a changed one is a correction.

    Raises
    ------
    NotCleanError
        If the plan has problems.
    django.core.exceptions.ValidationError
        If the register has changed since the plan was made so that it no longer fits.
    """
    if plan.problems:
        raise NotCleanError(plan)
    fresh = [item.paper for item in plan.items if item.corrects is None]
    changed = [item for item in plan.items if item.corrects is not None]
    with transaction.atomic():
        carry_over_many(papers=fresh, moment=moment, recorded_by=by)
        if changed:
            append(*(_correction(item, by) for item in changed), moment=moment)
    return Outcome(plan.summary())


def _correction(item: CertificateItem, by: Person | None) -> Certificate:
    paper, old = item.paper, item.corrects
    if old is None or Certificate.objects.filter(corrects=old).exists():
        raise ValidationError(_("A certificate was corrected by somebody else meanwhile."))
    return Certificate(
        person=paper.person,
        family=paper.family,
        level=paper.level,
        granted_day=paper.granted_day,
        expires_day=paper.expires_day,
        basis=Certificate.Basis.CARRIED_OVER,
        rules=old.rules,
        paper_ref=paper.paper_ref,
        voucher=paper.voucher,
        order_no=old.order_no,
        recorded_by=by,
        corrects=old,
    )


CERTIFICATES = Import(
    kind="certificates",
    title=_("Carry certificates over from paper"),
    lead=_(
        "One row for each person and family. They are always shown as carried over, never as passed."
    ),
    route="certificates:import_certificates",
    done_route="matrix:matrix",
    sheets={MAIN: CERTIFICATE_COLUMNS},
    further={},
    check=check_certificates,
    write=write_certificates,
)
