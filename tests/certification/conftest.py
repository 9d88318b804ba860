"""A person who may run job 901 alone, and the facts that make it so."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest

from certification.certificates.models import Certificate, ObservedCheck
from certification.staffing.models import ProductionOrder
from tests.conftest import NOON, TODAY
from training.floor.models import Acknowledgement
from training.people.models import Person
from training.people.record.chain import append
from training.people.services import record_authorisation, record_vision_check


@pytest.fixture
def qualify(plant: SimpleNamespace, quality: Person) -> Callable[..., None]:
    """Give a person everything that running job 901 alone asks for."""

    def give(person: Person, *, expires: dt.date = TODAY + dt.timedelta(days=200)) -> None:
        record_vision_check(
            person=person,
            kind="near",
            day=TODAY - dt.timedelta(days=30),
            due_day=TODAY + dt.timedelta(days=335),
            result="meets",
            recorded_by=quality,
            moment=NOON,
        )
        record_authorisation(
            person=person,
            kind="site_safety",
            day=TODAY - dt.timedelta(days=300),
            given_by=quality,
            moment=NOON,
        )
        facts = [
            Certificate(
                person=person,
                family=family,
                level="ordinary",
                granted_day=TODAY - dt.timedelta(days=100),
                expires_day=expires,
                basis=Certificate.Basis.CARRIED_OVER,
            )
            for family in (plant.specks, plant.burn, plant.grease)
        ]
        check = ObservedCheck(
            person=person,
            job_group=plant.job.group,
            job=plant.job,
            level="runs_alone",
            observed_day=TODAY - dt.timedelta(days=40),
            last_worked_before=TODAY - dt.timedelta(days=5),
        )
        reading = Acknowledgement(
            person=person,
            kind="wi",
            work_instruction=plant.sheet,
            day=TODAY - dt.timedelta(days=40),
        )
        append(*facts, check, reading, moment=NOON)

    return give


@pytest.fixture
def order(plant: SimpleNamespace) -> ProductionOrder:
    return ProductionOrder.objects.create(
        number="R-1", press=plant.press, job=plant.job, starts_at=NOON - dt.timedelta(days=1)
    )
