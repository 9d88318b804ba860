"""What the published rule grants by itself: ordinary level, at once, and nothing else."""

import datetime as dt
from collections.abc import Callable
from io import StringIO
from types import SimpleNamespace

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from certification.certificates.models import Certificate, ValidityRules
from certification.certificates.services import grant_by_rule
from tests.certification.certificates.sittings import NOON, TODAY, sat
from training.people.models import Person

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

URL = reverse("certificates:grant_by_rule")
WAITING = reverse("certificates:waiting")
Office = Callable[[Person], Client]


@pytest.fixture
def rules(quality: Person) -> ValidityRules:
    return ValidityRules.objects.create(
        revision=7, day=TODAY, parameters={}, reason="first", published_by=quality
    )


@pytest.fixture
def waiting(plant: SimpleNamespace, operator: Person, trainer: Person, new_hire: Person) -> None:
    """One ordinary exam, one with a critical family, one that the rule cannot grant."""
    sat(operator, [plant.burn])
    sat(trainer, [plant.burn, plant.specks], critical=[plant.burn], block=True)
    sat(new_hire, [plant.burn], ended_at=NOON - dt.timedelta(days=5))


def given() -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for each in Certificate.objects.select_related("person", "family").order_by("family__slug"):
        found.setdefault(each.person.name, []).append(f"{each.family.slug} {each.level}")
    return found


def test_it_grants_what_needs_nobody(waiting: None, rules: ValidityRules) -> None:
    granted = grant_by_rule(moment=NOON)
    assert given() == {
        "Otto Operator": ["burn ordinary"],
        "Tessa Trainer": ["black-specks ordinary"],
    }
    assert {each.by_rule for each in granted} == {True}
    assert grant_by_rule(moment=NOON) == []


def test_without_a_rule_nothing_happens(waiting: None) -> None:
    assert grant_by_rule(moment=NOON) == []
    assert given() == {}


def test_the_button_and_what_goes_on_waiting(
    office: Office, waiting: None, rules: ValidityRules, quality: Person
) -> None:
    client = office(quality)
    assert "Let the rule grant ordinary level: 3 exams" in client.get(WAITING).content.decode()
    page = client.post(URL, follow=True)
    assert "2 certificates granted by the published rule." in page.content.decode()
    names = [row.sitting.person.name for row in page.context["rows"]]
    assert sorted(names) == ["Nadia Newhire", "Tessa Trainer"]


def test_the_button_is_there_only_with_a_rule(
    office: Office, waiting: None, quality: Person
) -> None:
    assert "Let the rule grant" not in office(quality).get(WAITING).content.decode()


def test_the_command_says_whom(waiting: None, rules: ValidityRules) -> None:
    out = StringIO()
    call_command("grant_by_rule", stdout=out)
    assert "Otto Operator: burn until 2027-11-25" in out.getvalue()


@pytest.mark.parametrize("who", ["operator", "trainer", "supervisor", "auditor", "administrator"])
def test_only_quality_lets_it(office: Office, request: pytest.FixtureRequest, who: str) -> None:
    assert office(request.getfixturevalue(who)).post(URL).status_code == 403


def test_it_is_posted(office: Office, quality: Person) -> None:
    assert office(quality).get(URL).status_code == 405
