"""Everything that makes a person run the bench plant's job alone, fact by fact."""

import datetime as dt
from collections.abc import Iterable
from types import SimpleNamespace

from certification.certificates.models import Certificate, ObservedCheck
from tests.conftest import NOON, TODAY
from training.floor.models import Acknowledgement, Family
from training.people.models import Authorisation, Person, VisionCheck
from training.people.record.chain import append, erasable

A_WHILE_AGO = TODAY - dt.timedelta(days=40)


def certify(
    person: Person,
    families: Iterable[Family],
    *,
    ends: dt.date = TODAY + dt.timedelta(days=300),
    level: str = "ordinary",
    granted: dt.date = A_WHILE_AGO,
    short_bank: bool = False,
) -> list[Certificate]:
    rows = [
        Certificate(
            person=person,
            family=family,
            level=level,
            granted_day=granted,
            expires_day=ends,
            basis=Certificate.Basis.CARRIED_OVER,
            paper_ref="binder 1 sheet 1",
            short_bank=short_bank,
        )
        for family in families
    ]
    append(*rows, moment=NOON - dt.timedelta(days=30))
    return rows


def check_eyes(person: Person, *, due: dt.date = TODAY + dt.timedelta(days=200)) -> None:
    check = VisionCheck(
        person=person, kind="near", day=A_WHILE_AGO, due_day=due, result=erasable("meets")
    )
    append(check, moment=NOON - dt.timedelta(days=30))


def observe(
    person: Person,
    plant: SimpleNamespace,
    *,
    level: str = "runs_alone",
    observer: Person | None = None,
    day: dt.date = A_WHILE_AGO,
) -> ObservedCheck:
    check = ObservedCheck(
        person=person,
        job_group=plant.job.group,
        job=plant.job,
        level=level,
        observed_day=day,
        observer=observer,
        trainee_signed=True,
    )
    append(check, moment=NOON - dt.timedelta(days=30))
    return check


def read_sheet(person: Person, plant: SimpleNamespace) -> None:
    reading = Acknowledgement(
        person=person, kind="wi", work_instruction=plant.sheet, day=A_WHILE_AGO
    )
    append(reading, moment=NOON - dt.timedelta(days=30))


def make_ready(person: Person, plant: SimpleNamespace, *, level: str = "runs_alone") -> None:
    """Let the person run the bench plant's job alone today."""
    certify(person, [plant.specks, plant.burn, plant.grease])
    check_eyes(person)
    observe(person, plant, level=level)
    read_sheet(person, plant)
    safety = Authorisation(person=person, kind="site_safety", day=A_WHILE_AGO)
    append(safety, moment=NOON - dt.timedelta(days=30))
