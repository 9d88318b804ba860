"""By which tests two families are told apart, as their lessons say it."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import TODAY
from training.floor.models import Family
from training.lessons.services import publish_lesson
from training.people.models import Person

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]


def publish(family: Family, by: Person, confuse: dict[str, str]) -> None:
    publish_lesson(
        family=family,
        title=family.name,
        one_liner={"en": "Look.", "es": "Mire."},
        sections={"confuse": confuse},
        day=TODAY - dt.timedelta(days=1),
        published_by=by,
    )


def address(one: str, other: str) -> str:
    return reverse("lessons:tell_apart", args=[one, other])


def test_each_lesson_says_how_the_other_is_told(
    floor: Sign, operator: Person, quality: Person, plant: SimpleNamespace
) -> None:
    publish(
        plant.specks,
        quality,
        {"en": "Burn: at the last place to fill. Dust: wipes off.", "es": "Quemadura: al final."},
    )
    publish(plant.burn, quality, {"en": "Black specks: anywhere."})
    client = floor(operator)
    page = client.get(address("black-specks", "burn")).content.decode()
    assert page.count("<li>") == 2
    assert "at the last place to fill" in page
    assert "anywhere" in page
    assert "wipes off" not in page


def test_a_lesson_that_does_not_name_the_other_says_nothing(
    floor: Sign, operator: Person, quality: Person, plant: SimpleNamespace
) -> None:
    publish(plant.specks, quality, {"en": "Dust: wipes off."})
    assert "<li>" not in floor(operator).get(address("black-specks", "burn")).content.decode()


def test_a_family_that_is_not_there(floor: Sign, operator: Person, plant: SimpleNamespace) -> None:
    assert floor(operator).get(address("black-specks", "none")).status_code == 404
    assert floor(operator).post(address("black-specks", "burn")).status_code == 405
