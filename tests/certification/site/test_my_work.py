"""Everybody's own page: the jobs with their answer, what is due, the way to the next press."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from certification.certificates.models import (
    Arrangement,
    ObservedCheck,
    RequalificationNeed,
    RequalificationOrder,
)
from certification.certificates.stopping import suspend_certificate
from certification.staffing.models import Assignment
from tests.certification.certificates.ready import (
    certify,
    check_eyes,
    make_ready,
    observe,
    read_sheet,
)
from tests.certification.certificates.sittings import NOON, TODAY, sat
from training.floor.models import Alert, Family, Job, JobGroup, Turn, WorkInstruction
from training.people.models import Crew, Person
from training.people.record.chain import append, erasable
from training.quizzes.models import Kind

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

URL = reverse("site:my_work")
SignIn = Callable[[Person], Client]


@pytest.fixture
def ready(plant: SimpleNamespace, operator: Person) -> Person:
    make_ready(operator, plant)
    return operator


def page(client: Client) -> Any:
    found = client.get(URL)
    assert found.status_code == 200
    return found


def due(client: Client) -> list[tuple[str, str]]:
    context = page(client).context
    return [(row.status, row.title) for row in [*context["due"], *context["more_due"]]]


def jobs(client: Client) -> dict[str, tuple[str, str, str]]:
    """Status, reason and button of each job by number."""
    return {
        row.number: (row.status, row.why, row.action.label) for row in page(client).context["jobs"]
    }


def alert(plant: SimpleNamespace) -> Alert:
    made = Alert.objects.create(
        number="A-08",
        family=plant.burn,
        written_day=TODAY,
        from_day=TODAY,
        to_day=TODAY + dt.timedelta(days=9),
        text={"en": "Look at the gate.", "es": "Mire el punto de inyección."},
    )
    made.jobs.add(plant.job)
    return made


def test_a_job_run_alone_and_nothing_due(floor: SignIn, ready: Person) -> None:
    client = floor(ready)
    text = page(client).content.decode()
    for said in ("Good afternoon, Otto", "Days, Wednesday 25 November, 06:00 to 14:00"):
        assert said in text, said
    assert "Nothing is due" in text
    assert jobs(client) == {"901": ("yes", "All 3 families in date", "Job sheet")}
    assert reverse("floor:job_sheet", args=["901"]) in text
    assert page(client).context["counts"] == [("yes", 1), ("buddy", 0), ("not_yet", 0)]


def test_an_unread_alert_stands_before_what_ends_soon(
    floor: SignIn, plant: SimpleNamespace, operator: Person
) -> None:
    alert(plant)
    certify(operator, [plant.specks, plant.grease])
    certify(operator, [plant.burn], ends=TODAY + dt.timedelta(days=5))
    check_eyes(operator)
    observe(operator, plant)
    read_sheet(operator, plant)
    client = floor(operator)
    assert due(client) == [
        ("not_yet", "Alert A-08 not read"),
        ("due_soon", "Burn mark: 5 days left"),
    ]
    assert jobs(client) == {"901": ("not_yet", "Alert A-08 not read.", "Read alert A-08")}
    text = page(client).content.decode()
    assert "Before the first box on 901. Look at the gate." in text
    assert "Ends Monday 30 November. Practise, then sit again with other parts." in text
    assert f'href="{reverse("floor:job_sheet", args=["901"])}#alerts"' in text
    assert '<input type="hidden" name="family" value="burn">' in text
    assert text.count("btn-primary") == 2


def test_lapsed_and_suspended_come_first_and_say_which_jobs_wait(
    floor: SignIn, plant: SimpleNamespace, ready: Person, quality: Person
) -> None:
    client = floor(ready)
    (certificate,) = certify(ready, [plant.burn], ends=TODAY + dt.timedelta(days=301))
    suspend_certificate(
        certificate=certificate,
        reason="two escapes",
        decided_by=quality,
        method="password",
        moment=NOON - dt.timedelta(hours=1),
    )
    # The older certificate of the family still carries it.
    assert due(client) == []
    for own in ready.certificates.filter(family__in=[plant.burn, plant.specks], events=None):
        suspend_certificate(
            certificate=own,
            reason="again",
            decided_by=quality,
            method="password",
            moment=NOON - dt.timedelta(minutes=30),
        )
    assert [status for status, _title in due(client)] == ["suspended", "suspended"]
    assert jobs(client)["901"][0] == "not_yet"


def test_a_lapsed_family_names_the_last_exam_that_was_not_passed(
    floor: SignIn, plant: SimpleNamespace, operator: Person
) -> None:
    certify(operator, [plant.burn], ends=TODAY - dt.timedelta(days=1))
    certify(operator, [plant.specks, plant.grease])
    check_eyes(operator)
    observe(operator, plant)
    read_sheet(operator, plant)
    sat(
        operator,
        [plant.burn, plant.specks],
        passed=[plant.specks],
        missed={"burn": 2},
        ended_at=NOON - dt.timedelta(days=3),
    )
    client = floor(operator)
    assert due(client)[0] == ("lapsed", "Burn mark: ended yesterday, 24 Nov")
    text = page(client).content.decode()
    assert "Keeps you from 901. 22 Nov: missed 2 of 20, at most 1 allowed." in text
    assert jobs(client)["901"] == (
        "not_yet",
        "Burn mark certificate ended yesterday, 24 Nov.",
        "Practise",
    )


def test_an_exam_that_is_open_leads_to_the_booth(
    floor: SignIn, plant: SimpleNamespace, ready: Person
) -> None:
    sitting = sat(ready, [plant.burn], ended=False)
    client = floor(ready)
    assert due(client)[0] == ("in_date", "Exam open for you: Spots")
    assert reverse("quizzes:booth", args=[sitting.pk]) in page(client).content.decode()


def test_what_was_passed_waits_for_its_decision(
    floor: SignIn, plant: SimpleNamespace, ready: Person
) -> None:
    sitting = sat(ready, [plant.burn])
    client = floor(ready)
    assert due(client) == [("waiting", "Burn mark: passed, waiting for a decision")]
    assert reverse("quizzes:result", args=[sitting.pk]) in page(client).content.decode()


def test_eyes_and_orders(
    floor: SignIn, plant: SimpleNamespace, ready: Person, quality: Person
) -> None:
    check_eyes(ready, due=TODAY + dt.timedelta(days=2))
    order = RequalificationOrder(
        number="RQ-09",
        raised_day=TODAY,
        raised_by=quality,
        cause=erasable("wrong parts"),
        families=["burn"],
        what="sitting",
        due_day=TODAY + dt.timedelta(days=1),
    )
    need = RequalificationNeed(
        order=order, person=ready, block="after_due_day", due_day=order.due_day
    )
    append(order, need, moment=NOON - dt.timedelta(hours=2))
    assert due(floor(ready)) == [
        ("due_soon", "Requalification RQ-09 by tomorrow, 26 Nov"),
        ("due_soon", "Near-vision check: 2 days left"),
    ]


def test_a_new_hire_sees_the_way_to_the_first_job(
    floor: SignIn, plant: SimpleNamespace, new_hire: Person, trainer: Person
) -> None:
    client = floor(new_hire)
    text = page(client).content.decode()
    assert "No job is yours yet." in text
    assert "No certificate yet." in text
    arrangement = Arrangement(
        person=new_hire,
        job=plant.job,
        kind="under_supervision",
        buddy=trainer,
        from_day=TODAY,
        to_day=TODAY,
    )
    append(arrangement, moment=NOON - dt.timedelta(hours=3))
    rows = page(client).context["way"]
    assert [row.is_next for row in rows].index(True) == 0
    assert "My way to job 901" in page(client).content.decode()
    assert "Run 901 beside Tessa Trainer" in page(client).content.decode()


def test_the_place_in_the_shift_plan_comes_first_and_can_be_taken(
    floor: SignIn, plant: SimpleNamespace, ready: Person, crew: Crew, trainer: Person
) -> None:
    other = Job.objects.create(number="900", part={"en": "Lid"}, group=plant.job.group)
    assignments = [
        Assignment(day=TODAY, crew=crew, press=plant.press, job=plant.job, person=person)
        for person in (trainer, ready)
    ]
    append(*assignments, moment=NOON - dt.timedelta(hours=9))
    client = floor(ready)
    found = jobs(client)
    assert found["901"] == ("yes", "P01 this shift. All 3 families in date", "Take P01 over")
    assert found["900"][0] == "not_yet"
    assert reverse("staffing:take_press", args=["P01"]) in page(client).content.decode()
    # Somebody else was put there since.
    append(
        Assignment(day=TODAY, crew=crew, press=plant.press, job=plant.job, person=trainer),
        moment=NOON - dt.timedelta(hours=1),
    )
    assert jobs(client)["901"][2] == "Job sheet"
    assert other.number in jobs(client)


def test_whoever_stands_at_a_press_can_leave_it(
    floor: SignIn, plant: SimpleNamespace, ready: Person
) -> None:
    turn = Turn(
        press=plant.press,
        job=plant.job,
        person=ready,
        day=TODAY,
        started_at=NOON - dt.timedelta(hours=2),
    )
    append(turn, moment=turn.started_at)
    text = page(floor(ready)).content.decode()
    assert "You are at P01, job 901, since 10:00" in text
    assert reverse("staffing:leave_press") in text


@pytest.mark.parametrize(
    ("hour", "said"),
    [(5, "morning"), (11, "morning"), (12, "afternoon"), (19, "evening"), (2, "evening")],
)
def test_the_greeting_follows_the_clock(
    floor: SignIn, operator: Person, hour: int, said: str
) -> None:
    client = floor(operator)
    with time_machine.travel(NOON.replace(hour=hour), tick=False):
        assert f"Good {said}, Otto" in page(client).content.decode()


def test_a_night_crew_at_noon_sees_tonight(floor: SignIn, ready: Person) -> None:
    ready.crew = Crew.objects.create(
        code="N", name={"en": "Nights", "es": "Noche"}, starts=dt.time(22), ends=dt.time(6)
    )
    ready.save()
    assert "Nights, Wednesday 25 November, 22:00 to 06:00" in page(floor(ready)).content.decode()


def test_in_spanish(floor: SignIn, plant: SimpleNamespace, ready: Person) -> None:
    alert(plant)
    client = floor(ready)
    client.cookies["django_language"] = "es"
    text = page(client).content.decode()
    for said in (
        "Buenas tardes, Otto",
        "Mañana, miércoles 25 de noviembre, 06:00 a 14:00",
        "Alerta A-08 sin leer",
        "Mire el punto de inyección.",
        "Leer alerta A-08",
        "Mis certificados",
        "3 familias",
        "trabajos por su cuenta",
    ):
        assert said in text, said


@pytest.mark.parametrize(
    ("who", "status"),
    [
        ("operator", 200),
        ("trainer", 200),
        ("supervisor", 200),
        ("quality", 200),
        ("auditor", 403),
        ("administrator", 403),
    ],
)
def test_who_has_such_a_page(
    office: SignIn, request: pytest.FixtureRequest, who: str, status: int
) -> None:
    assert office(request.getfixturevalue(who)).get(URL).status_code == status


def test_it_only_shows_and_only_to_whoever_signed_in(floor: SignIn, operator: Person) -> None:
    assert floor(operator).post(URL).status_code == 405
    assert Client().get(URL).status_code == 302


def _many(plant: SimpleNamespace, person: Person, number: int) -> None:
    """Give the person so many more families, jobs, checks and sittings."""
    for place in range(number):
        count = Job.objects.count()
        family = Family.objects.create(
            slug=f"family-{count}", name={"en": f"Family {count}"}, group=plant.spots
        )
        group = JobGroup.objects.create(code=f"H{count}")
        job = Job.objects.create(number=f"8{count:02d}", part={"en": "Part"}, group=group)
        WorkInstruction.objects.create(
            job=job, revision="A", day=TODAY, needs={family.slug: "ordinary"}
        )
        certify(person, [family], ends=TODAY + dt.timedelta(days=place))
        check = ObservedCheck(
            person=person, job_group=group, job=job, level="runs_alone", observed_day=TODAY
        )
        append(check, moment=NOON - dt.timedelta(hours=2))
        sat(person, [family], kind=Kind.QUALIFICATION)


def test_the_cost_is_the_same_for_three_and_for_thirty(
    floor: SignIn, plant: SimpleNamespace, operator: Person
) -> None:
    client, costs = floor(operator), []
    for number in (3, 27):
        _many(plant, operator, number)
        with CaptureQueriesContext(connection) as caught:
            shown = page(client)
        costs.append(len(caught))
    assert shown.context["job_count"] == 30
    assert len(shown.context["jobs"]) == 9
    assert costs[0] == costs[1]
