"""The page of a concession can be told apart by its landmarks."""

from collections.abc import Callable

import pytest
from django.test import Client

from tests.landmarks import landmarks, of_one_name
from tests.training.floor.test_concession_pages import paper, second, signed, url
from training.floor.models import Concession
from training.people.models import Person

__all__ = ["paper", "second", "signed"]
SignIn = Callable[[Person], Client]
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


def test_its_landmarks_have_names_of_their_own(
    office: SignIn, supervisor: Person, signed: Concession
) -> None:
    client = office(supervisor)
    client.post(url(signed, "parts/"), {"parts": "30"})
    page = client.get(url(signed)).content.decode()
    assert ("region", "Parts made under it") in landmarks(page)
    assert of_one_name(page) == set()
