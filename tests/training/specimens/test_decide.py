"""The page that decides what a specimen is: by measurement or by people, always signed."""

import uuid
from collections.abc import Callable
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import PASSWORD
from training.floor.models import LimitLine
from training.people.models import Person, Signature
from training.people.record.verify import verify
from training.specimens.models import ReferenceDecision, Specimen

SignIn = Callable[[Person], Client]
Make = Callable[..., Specimen]
pytestmark = pytest.mark.usefixtures("clock")


def url(specimen: Specimen) -> str:
    return reverse("specimens:decide", args=[specimen.pk])


def form(**fields: Any) -> dict[str, Any]:
    return {
        "basis": "measured",
        "count": "1",
        "seen": "",
        "action": "segregate",
        "secret": PASSWORD,
    } | fields


def test_decides_by_the_measurement_and_signs(
    make_specimen: Make, office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    specimen = make_specimen()
    page = office(quality).get(url(specimen)).content.decode()
    assert "1.5 times the limit" in page
    assert "Clearly bad" in page
    response = office(quality).post(url(specimen), form(action="stop"), follow=True)
    assert "Signed: S-00001 is decided, reject." in response.content.decode()
    fact = ReferenceDecision.objects.get()
    assert (fact.decision, fact.action, fact.basis, fact.clear) == (
        "reject",
        "stop",
        "measured",
        True,
    )
    assert (fact.severity_ratio, fact.work_instruction) == (Decimal("1.5"), plant.sheet)
    assert fact.recorded_by == quality
    signature = Signature.objects.get()
    assert (signature.person, signature.subject_id) == (quality, fact.pk)
    assert verify().breaks == ()


def test_more_marks_than_the_measurement_alone_knows(
    make_specimen: Make, office: SignIn, quality: Person
) -> None:
    specimen = make_specimen(severity="0.2")
    office(quality).post(url(specimen), form(count="2"))
    fact = ReferenceDecision.objects.get()
    assert (fact.decision, fact.severity_ratio) == ("reject", Decimal(2))


def test_people_decide_with_a_reason(
    make_specimen: Make, office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    specimen = make_specimen()
    client = office(quality)
    sent = form(basis="quality", decision="accept", reason="A fibre, not a speck.", clear="on")
    client.post(url(specimen), sent)
    fact = ReferenceDecision.objects.get()
    assert (fact.decision, fact.action, fact.basis) == ("accept", "keep_running", "quality")
    assert (str(fact.reason), fact.clear) == ("A fibre, not a speck.", False)
    sent = form(basis="panel", decision="reject", family=plant.burn.pk, clear="on", reason="Burnt.")
    client.post(url(specimen), sent)
    newer = ReferenceDecision.objects.get(decision="reject")
    assert (newer.family, newer.corrects, newer.clear) == (plant.burn, fact, True)
    assert Signature.objects.count() == 2


def test_a_feature_of_the_limit_can_be_found(
    make_specimen: Make, office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    measure = {
        "measure": "none",
        "feature": {"en": "swarm of specks", "es": "enjambre de puntos"},
        "judged_by": "eye",
    }
    LimitLine.objects.create(
        work_instruction=plant.sheet, family=plant.specks, zone="A", measure=measure
    )
    specimen = make_specimen(severity="0.2")
    client = office(quality)
    assert "swarm of specks" in client.get(url(specimen)).content.decode()
    client.post(url(specimen), form(present=["swarm of specks"]))
    assert ReferenceDecision.objects.get().decision == "reject"


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"secret": "not it"}, "The password is not right. Nothing was signed."),
        ({"secret": ""}, "This field is required"),
        ({"basis": ""}, "This field is required"),
        ({"basis": "guess"}, "valid choice"),
        ({"basis": "quality", "decision": ""}, "Say accept or reject."),
        ({"basis": "quality", "decision": "accept"}, "Give the reason"),
        ({"basis": "panel", "decision": "reject"}, "Say which defect family"),
        ({"action": "keep_running"}, "valid choice"),
        ({"count": "-1"}, "greater than or equal to 0"),
        ({"present": ["anything"]}, ""),
    ],
)
def test_nothing_is_written_without_a_whole_and_signed_answer(
    make_specimen: Make, office: SignIn, quality: Person, fields: dict[str, Any], words: str
) -> None:
    specimen = make_specimen()
    response = office(quality).post(url(specimen), form(**fields))
    if not words:
        # A feature no line of the limit names is not asked for, so it is not read.
        assert response.status_code == 302
        return
    assert response.status_code == 400
    page = response.content.decode()
    assert words in page
    assert "not it" not in page
    assert not ReferenceDecision.objects.exists()
    assert not Signature.objects.exists()


def test_a_limit_that_a_measurement_does_not_answer(
    make_specimen: Make, office: SignIn, quality: Person
) -> None:
    specimen = make_specimen(zone="B")
    client = office(quality)
    assert "say anything about this family" in client.get(url(specimen)).content.decode()
    response = client.post(url(specimen), form())
    assert response.status_code == 400
    assert "Add a limit, or decide by hand" in response.content.decode()
    assert not ReferenceDecision.objects.exists()
    assert not Signature.objects.exists()


def test_who_may(
    make_specimen: Make,
    office: SignIn,
    floor: SignIn,
    operator: Person,
    trainer: Person,
    auditor: Person,
    quality: Person,
) -> None:
    specimen = make_specimen()
    clients = [office(person) for person in (operator, trainer, auditor)] + [floor(quality)]
    for client in clients:
        assert client.get(url(specimen)).status_code == 403
        assert client.post(url(specimen), form()).status_code == 403
    assert Client().post(url(specimen), form()).status_code == 302
    client = office(quality)
    unknown = reverse("specimens:decide", args=[uuid.uuid4()])
    assert client.get(unknown).status_code == 404
    assert client.put(url(specimen)).status_code == 405
    assert not ReferenceDecision.objects.exists()


def test_queries(
    make_specimen: Make, office: SignIn, quality: Person, django_assert_max_num_queries: Any
) -> None:
    specimen = make_specimen()
    client = office(quality)
    with django_assert_max_num_queries(18):
        client.get(url(specimen))
