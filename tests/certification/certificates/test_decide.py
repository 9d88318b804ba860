"""Deciding about a passed exam: what is shown, what is signed, and what is refused."""

import datetime as dt
import uuid
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from certification.certificates.models import (
    Certificate,
    RequalificationClosure,
    RequalificationNeed,
    RequalificationOrder,
    SittingDecision,
)
from certification.certificates.services import grant_from_sitting
from tests.certification.certificates.sittings import NOON, TODAY, sat
from tests.conftest import PASSWORD
from training.people.models import Person, Signature
from training.people.record.chain import append, erasable
from training.quizzes.models import Kind, Sitting

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

Office = Callable[[Person], Client]


def url(sitting: Sitting) -> str:
    return reverse("certificates:decide", args=[sitting.pk])


@pytest.fixture
def sitting(plant: SimpleNamespace, operator: Person, trainer: Person) -> Sitting:
    return sat(
        operator,
        [plant.specks, plant.burn, plant.grease],
        passed=[plant.specks, plant.burn],
        missed={"black-specks": 1, "grease-oil": 2},
        critical=[plant.burn],
        block=True,
        invigilator=trainer,
    )


def test_it_shows_what_the_plan_showed(office: Office, sitting: Sitting, quality: Person) -> None:
    page = office(quality).get(url(sitting))
    assert page.status_code == 200
    text = page.content.decode()
    assert "group: missed 3 of 42" in text
    assert "Group: separates 5" in text
    assert "0 of 29 missed of the critical block" in text
    assert "Critical block: someone who misses 10" in text
    rows = {row.name: (row.level, row.ends) for row in page.context["rows"]}
    year = TODAY + dt.timedelta(days=365)
    assert rows == {
        "Black specks": ("ordinary", year),
        "Burn mark": ("critical", year),
        "Grease or oil stain": ("", None),
    }


def test_it_says_why_less_is_given_than_was_asked_for(
    office: Office, plant: SimpleNamespace, operator: Person, quality: Person, trainer: Person
) -> None:
    sitting = sat(
        operator,
        [plant.specks, plant.burn],
        critical=[plant.burn],
        block=False,
        invigilator=trainer,
    )
    page = office(quality).get(url(sitting))
    rows = {row.name: (row.level, bool(row.held_back)) for row in page.context["rows"]}
    assert rows == {"Black specks": ("ordinary", False), "Burn mark": ("ordinary", True)}
    assert "critical level was asked for" in page.content.decode()


def test_granting_signs_and_certifies(
    office: Office, sitting: Sitting, quality: Person, operator: Person
) -> None:
    client = office(quality)
    page = client.post(url(sitting), {"outcome": "granted", "secret": PASSWORD}, follow=True)
    assert page.redirect_chain == [(reverse("certificates:waiting"), 302)]
    assert "Otto Operator is certified." in page.content.decode()
    levels = dict(Certificate.objects.values_list("family__slug", "level"))
    assert levels == {"black-specks": "ordinary", "burn": "critical"}
    decision = SittingDecision.objects.get()
    signature = Signature.objects.get()
    assert (signature.person, signature.subject_id) == (quality, decision.pk)
    assert (signature.meaning, signature.method) == ("granted a sitting", "password")


@pytest.mark.parametrize(
    ("outcome", "levels"),
    [("ordinary_only", {"black-specks": "ordinary", "burn": "ordinary"}), ("not_granted", {})],
)
def test_less_than_was_passed_wants_a_reason(
    office: Office, sitting: Sitting, quality: Person, outcome: str, levels: dict[str, str]
) -> None:
    client = office(quality)
    page = client.post(url(sitting), {"outcome": outcome, "secret": PASSWORD})
    assert page.status_code == 400
    assert "Say why: the person will read it." in page.content.decode()
    assert not SittingDecision.objects.exists()
    client.post(url(sitting), {"outcome": outcome, "reason": "in a hurry", "secret": PASSWORD})
    assert dict(Certificate.objects.values_list("family__slug", "level")) == levels
    decision = SittingDecision.objects.get()
    assert decision.reason is not None
    assert (decision.outcome, decision.reason.text) == (outcome, "in a hurry")


def test_a_wrong_secret_signs_nothing(office: Office, sitting: Sitting, quality: Person) -> None:
    page = office(quality).post(url(sitting), {"outcome": "granted", "secret": "wrong"})
    assert page.status_code == 400
    assert "The password is not right. Nothing was signed." in page.content.decode()
    assert not Certificate.objects.exists()
    assert not Signature.objects.exists()


def test_whoever_invigilated_may_not_grant_the_critical_level(
    office: Office, plant: SimpleNamespace, quality: Person, operator: Person
) -> None:
    sitting = sat(operator, [plant.burn], critical=[plant.burn], block=True, invigilator=quality)
    client = office(quality)
    page = client.get(url(sitting))
    assert "Quentin Quality invigilated this sitting" in page.content.decode()
    assert [value for value, _label in page.context["form"].fields["outcome"].choices] == [
        "ordinary_only",
        "not_granted",
    ]
    page = client.post(url(sitting), {"outcome": "granted", "secret": PASSWORD})
    assert page.status_code == 400
    assert not Certificate.objects.exists()


def test_nobody_decides_about_themselves(
    office: Office, plant: SimpleNamespace, quality: Person
) -> None:
    sitting = sat(quality, [plant.burn])
    client = office(quality)
    page = client.get(url(sitting))
    assert "Nobody decides about themselves" in page.content.decode()
    assert '<form method="post" class="sheet' not in page.content.decode()
    page = client.post(url(sitting), {"outcome": "granted", "secret": PASSWORD})
    assert page.status_code == 400
    assert not Certificate.objects.exists()


def test_an_order_is_closed_only_when_asked(
    office: Office, plant: SimpleNamespace, quality: Person, operator: Person
) -> None:
    order = RequalificationOrder(
        number="RQ-09",
        raised_day=TODAY - dt.timedelta(days=2),
        raised_by=quality,
        cause=erasable("wrong parts in two boxes"),
        families=["burn"],
        what="sitting",
        due_day=TODAY,
    )
    need = RequalificationNeed(order=order, person=operator, block="at_once", due_day=TODAY)
    append(order, need, moment=NOON - dt.timedelta(days=2))
    sitting = sat(operator, [plant.burn], kind=Kind.REQUALIFICATION)
    client = office(quality)
    assert "RQ-09" in client.get(url(sitting)).content.decode()
    closes = [str(need.pk)]
    refused = {"outcome": "not_granted", "reason": "no", "closes": closes, "secret": PASSWORD}
    assert client.post(url(sitting), refused).status_code == 400
    client.post(url(sitting), {"outcome": "granted", "closes": closes, "secret": PASSWORD})
    closure = RequalificationClosure.objects.get()
    assert (closure.need, closure.sitting, closure.closed_day) == (need, sitting, TODAY)


def test_a_sitting_that_does_not_wait(
    office: Office, sitting: Sitting, quality: Person, plant: SimpleNamespace, operator: Person
) -> None:
    grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON)
    running = sat(operator, [plant.burn], ended=False)
    client = office(quality)
    for each in (sitting, running):
        page = client.post(url(each), {"outcome": "granted", "secret": PASSWORD}, follow=True)
        assert "Nothing waits for a decision about this sitting." in page.content.decode()
    assert SittingDecision.objects.count() == 1
    assert client.get(reverse("certificates:decide", args=[uuid.uuid4()])).status_code == 404


@pytest.mark.parametrize("data", [{}, {"outcome": "granted"}, {"outcome": "x", "secret": "y"}])
def test_bad_input(office: Office, sitting: Sitting, quality: Person, data: dict[str, str]) -> None:
    assert office(quality).post(url(sitting), data).status_code == 400
    assert not SittingDecision.objects.exists()


@pytest.mark.parametrize("who", ["operator", "trainer", "supervisor", "auditor", "administrator"])
def test_only_quality_decides(
    office: Office, sitting: Sitting, request: pytest.FixtureRequest, who: str
) -> None:
    client = office(request.getfixturevalue(who))
    assert client.get(url(sitting)).status_code == 403
    data = {"outcome": "granted", "secret": PASSWORD}
    assert client.post(url(sitting), data).status_code == 403


def test_wrong_method(office: Office, sitting: Sitting, quality: Person) -> None:
    assert office(quality).delete(url(sitting)).status_code == 405


def test_the_cost_does_not_grow_with_families(
    office: Office, plant: SimpleNamespace, quality: Person, operator: Person
) -> None:
    client, costs = office(quality), []
    for families in ([plant.burn], [plant.burn, plant.specks, plant.grease]):
        sitting = sat(operator, families)
        with CaptureQueriesContext(connection) as caught:
            client.get(url(sitting))
        costs.append(len(caught))
    assert costs[0] == costs[1]
