"""The imports stand side by side on the page of each, for those who may use them."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from certification.site.context import IMPORT_NAMES
from training.people.models import Person

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("name", IMPORT_NAMES)
def test_each_import_leads_to_the_others(
    name: str, office: Callable[[Person], Client], administrator: Person
) -> None:
    response = office(administrator).get(reverse(name))
    rooms = response.context["imports"]
    assert [room.url for room in rooms] == [reverse(each) for each in IMPORT_NAMES]
    assert [room.url for room in rooms if room.current] == [reverse(name)]
    page = response.content.decode()
    assert all(f'href="{room.url}"' in page for room in rooms)


def test_other_pages_do_not_carry_them(
    office: Callable[[Person], Client], administrator: Person
) -> None:
    assert office(administrator).get(reverse("people:person_list")).context["imports"] == []


def test_quality_finds_the_certificates_import_where_certificates_are_decided(
    office: Callable[[Person], Client], quality: Person
) -> None:
    page = office(quality).get(reverse("certificates:waiting")).content.decode()
    assert reverse("certificates:import_certificates") in page
