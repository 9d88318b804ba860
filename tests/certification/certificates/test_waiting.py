"""The list of passed exams that wait for a decision."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from certification.certificates.services import refuse_sitting
from tests.certification.certificates.ready import certify
from tests.certification.certificates.sittings import NOON, TODAY, sat
from training.people.models import Person
from training.quizzes.models import Kind

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

URL = reverse("certificates:waiting")
Office = Callable[[Person], Client]


def test_whoever_has_no_right_today_comes_first(
    office: Office,
    plant: SimpleNamespace,
    quality: Person,
    operator: Person,
    trainer: Person,
    new_hire: Person,
) -> None:
    certify(operator, [plant.burn], ends=TODAY + dt.timedelta(days=9))
    certify(trainer, [plant.burn], ends=TODAY - dt.timedelta(days=1))
    sat(operator, [plant.burn], missed={"burn": 1})
    sat(new_hire, [plant.burn], critical=[plant.burn], block=True)
    sat(trainer, [plant.burn])
    page = office(quality).get(URL)
    assert page.status_code == 200
    rows = page.context["rows"]
    assert [row.sitting.person.name for row in rows] == [
        trainer.name,
        new_hire.name,
        operator.name,
    ]
    text = page.content.decode()
    assert "1 of 40 missed, at most 13" in text
    assert "critical level: Burn mark" in text
    assert "Ended yesterday, 24 Nov." in text


def test_what_does_not_wait(
    office: Office, plant: SimpleNamespace, quality: Person, operator: Person
) -> None:
    sat(operator, [plant.burn], passed=[])
    sat(operator, [plant.burn], ended=False)
    sat(operator, [plant.burn], kind=Kind.PRACTICE)
    refuse_sitting(
        sitting=sat(operator, [plant.burn]), decided_by=quality, reason="not alone", moment=NOON
    )
    page = office(quality).get(URL)
    assert page.context["rows"] == []
    assert "Nothing waits." in page.content.decode()


@pytest.mark.parametrize("who", ["operator", "trainer", "supervisor", "auditor", "administrator"])
def test_only_quality_decides(office: Office, request: pytest.FixtureRequest, who: str) -> None:
    assert office(request.getfixturevalue(who)).get(URL).status_code == 403


def test_it_is_closed_on_the_floor(floor: Office, quality: Person) -> None:
    assert floor(quality).get(URL).status_code == 403


def test_it_only_shows(office: Office, quality: Person) -> None:
    assert office(quality).post(URL).status_code == 405


def test_in_spanish(
    office: Office, plant: SimpleNamespace, quality: Person, operator: Person
) -> None:
    sat(operator, [plant.burn])
    client = office(quality)
    client.cookies["django_language"] = "es"
    assert "En espera de una decisión" in client.get(URL).content.decode()


def test_the_cost_does_not_grow(
    office: Office, plant: SimpleNamespace, quality: Person, operator: Person, trainer: Person
) -> None:
    client, costs = office(quality), []
    for people in ([operator], [operator, trainer]):
        for person in people:
            sat(person, [plant.burn, plant.specks])
        with CaptureQueriesContext(connection) as caught:
            client.get(URL)
        costs.append(len(caught))
    assert costs[0] == costs[1]
