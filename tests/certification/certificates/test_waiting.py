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
from training.floor.concessions import Conceded, sign_concession, write_concession
from training.floor.limits import JudgedBy, Line, Measure, Unit
from training.people.models import Person
from training.quizzes.models import ExamPlan, Kind
from training.quizzes.services.plans import write_plan

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

URL = reverse("certificates:waiting")
NOTHING = Line("A", Measure.NONE, JudgedBy.EYE, family="burn")
LOOSER = Line("A", Measure.AT_MOST, JudgedBy.EYE, family="burn", value=0.5, unit=Unit.MM)
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


def test_papers_wait_for_another_hand_than_the_first(
    office: Office, plant: SimpleNamespace, quality: Person, make_person: Callable[..., Person]
) -> None:
    second = make_person("Sigrid Second", "quality")
    concession = write_concession(
        number="CN-01",
        job=plant.job,
        lines=[Conceded(LOOSER, NOTHING)],
        from_day=TODAY,
        to_day=TODAY + dt.timedelta(days=5),
        max_quantity=None,
        reason="Customer K, letter of 20 Nov",
        written_by=quality,
        today=TODAY,
    )
    write_plan(
        code="group",
        form=ExamPlan.Form.GROUP,
        name={"en": "Group plan"},
        parameters={},
        reason="More bad parts",
        day=TODAY,
        written_by=quality,
        signature_method="password",
        moment=NOON,
    )
    page = office(second).get(URL)
    assert [(row.name, row.first) for row in page.context["papers"]] == [
        ("Concession CN-01, job 901", quality.name),
        ("Exam plan Group plan, revision 1", quality.name),
    ]
    assert f"/concessions/{concession.pk}/" in page.text
    for row in page.context["papers"]:
        assert office(second).get(row.url).status_code == 200
    assert office(quality).get(URL).context["papers"] == []
    sign_concession(concession=concession, person=second, today=TODAY)
    assert [row.name for row in office(second).get(URL).context["papers"]] == [
        "Exam plan Group plan, revision 1"
    ]


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
