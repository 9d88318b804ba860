"""Turning a decision under the same limits: what rests on it is read first, and a reason given."""

from collections.abc import Callable, Iterator
from types import SimpleNamespace
from typing import Any
from uuid import UUID

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import PASSWORD
from training.people.models import Person
from training.specimens import resting
from training.specimens.models import ReferenceDecision, Specimen

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]


@pytest.fixture
def something_rests() -> Iterator[None]:
    """An app above that says of every specimen that one exam rests on it."""
    before = dict(resting._told)

    def asks(specimen: UUID) -> resting.Rests:
        row = resting.Rest("E-7", "Otto Operator", "done", "Passed", "/there/")
        return resting.Rests("Ended exams", (row,))

    resting.tell_what_rests("test", asks, place=1)
    yield
    resting._told.clear()
    resting._told.update(before)


@pytest.fixture
def decided(make_bank: Callable[..., list[Specimen]]) -> Specimen:
    return make_bank(1, severity=0.45)[0]


def sent(**fields: Any) -> dict[str, Any]:
    given = {"basis": "quality", "count": "1", "seen": "", "action": "segregate"}
    return given | {"decision": "accept", "secret": PASSWORD} | fields


@pytest.mark.usefixtures("something_rests")
def test_it_shows_what_rests_and_asks_for_reading_and_reason(
    decided: Specimen, quality: Person, office: Sign
) -> None:
    client, url = office(quality), reverse("specimens:decide", args=[decided.pk])
    page = client.get(url).text
    assert "Ended exams: 1" in page
    assert 'href="/there/"' in page
    response = client.post(url, sent(reason="A fibre."))
    assert response.status_code == 400
    assert "This turns the decision" in response.text
    response = client.post(url, sent(reason="", turned="on"))
    assert "Give the reason" in response.text
    assert ReferenceDecision.objects.count() == 1
    assert client.post(url, sent(reason="A fibre.", turned="on")).status_code == 302
    newest = ReferenceDecision.objects.latest("position")
    assert (newest.decision, newest.corrects is not None) == ("accept", True)


@pytest.mark.usefixtures("something_rests")
def test_the_same_decision_again_asks_for_neither(
    decided: Specimen, quality: Person, office: Sign
) -> None:
    url = reverse("specimens:decide", args=[decided.pk])
    assert office(quality).post(url, sent(basis="measured")).status_code == 302


def test_a_first_decision_has_nothing_to_turn(
    make_bank: Callable[..., list[Specimen]], quality: Person, office: Sign, plant: SimpleNamespace
) -> None:
    (specimen,) = make_bank(1, decision=None)
    client, url = office(quality), reverse("specimens:decide", args=[specimen.pk])
    assert 'name="turned"' not in client.get(url).text
    assert client.post(url, sent(reason="Clean.")).status_code == 302


def test_measured_anew_the_other_way_it_still_asks_why(
    decided: Specimen, quality: Person, office: Sign
) -> None:
    Specimen.objects.filter(pk=decided.pk).update(severity="0.1")
    url = reverse("specimens:decide", args=[decided.pk])
    response = office(quality).post(url, sent(basis="measured"))
    assert response.status_code == 400
    assert "say why that was wrong" in response.text
