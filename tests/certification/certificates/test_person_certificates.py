"""One person's certificates and observed checks, for those who look after people."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.certification.certificates.ready import certify, observe
from tests.certification.certificates.sittings import TODAY, sat
from training.people.models import Person

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

Office = Callable[[Person], Client]


def url(person: Person) -> str:
    return reverse("certificates:person_certificates", args=[person.personnel_no])


def test_the_most_urgent_family_comes_first_with_its_history(
    office: Office, plant: SimpleNamespace, operator: Person, auditor: Person, trainer: Person
) -> None:
    certify(operator, [plant.specks])
    certify(operator, [plant.burn], ends=TODAY + dt.timedelta(days=9))
    (old,) = certify(operator, [plant.grease], ends=TODAY - dt.timedelta(days=30))
    (last,) = certify(operator, [plant.grease], ends=TODAY - dt.timedelta(days=1))
    observe(operator, plant, observer=trainer)
    sitting = sat(operator, [plant.grease])
    page = office(auditor).get(url(operator))
    assert page.status_code == 200
    assert [row.name for row in page.context["rows"]] == [
        "Grease or oil stain",
        "Burn mark",
        "Black specks",
    ]
    text = page.content.decode()
    for each in (old, last):
        assert reverse("certificates:certificate", args=[each.pk]) in text
    for said in ("Ended yesterday, 24 Nov.", "901", "Tessa Trainer", f"{sitting.number}, passed"):
        assert said in text, said


def test_somebody_without_any(office: Office, operator: Person, quality: Person) -> None:
    assert "No certificate yet." in office(quality).get(url(operator)).content.decode()


@pytest.mark.parametrize(
    ("who", "status"),
    [
        ("trainer", 200),
        ("supervisor", 200),
        ("quality", 200),
        ("auditor", 200),
        ("administrator", 200),
        ("new_hire", 403),
    ],
)
def test_who_may_look(
    office: Office, operator: Person, request: pytest.FixtureRequest, who: str, status: int
) -> None:
    page = office(request.getfixturevalue(who)).get(url(operator))
    assert page.status_code == status


def test_not_from_the_floor(floor: Office, operator: Person, trainer: Person) -> None:
    assert floor(trainer).get(url(operator)).status_code == 403


def test_nobody_of_that_number_and_wrong_method(office: Office, quality: Person) -> None:
    client = office(quality)
    unknown = reverse("certificates:person_certificates", args=["0000"])
    assert client.get(unknown).status_code == 404
    assert client.post(url(quality)).status_code == 405


def test_in_spanish(office: Office, operator: Person, quality: Person) -> None:
    client = office(quality)
    client.cookies["django_language"] = "es"
    assert "Certificados de Otto Operator" in client.get(url(operator)).content.decode()


def test_the_cost_does_not_grow(
    office: Office, plant: SimpleNamespace, operator: Person, quality: Person
) -> None:
    client, costs = office(quality), []
    for families in ([plant.burn], [plant.burn, plant.specks, plant.grease]):
        certify(operator, families)
        observe(operator, plant)
        with CaptureQueriesContext(connection) as caught:
            client.get(url(operator))
        costs.append(len(caught))
    assert costs[0] == costs[1]
