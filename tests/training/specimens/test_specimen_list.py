"""The page of the bank: counts, filters, pages, what trainers see, queries."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.conftest import TODAY
from training.people.models import Person
from training.specimens.models import Specimen
from training.specimens.services.pools import retire_specimen

Bank = Callable[..., list[Specimen]]
SignIn = Callable[[Person], Client]
URL = "/specimens/"

pytestmark = pytest.mark.usefixtures("clock")


def text(response: Any) -> str:
    page: str = response.content.decode()
    return page


def test_shows_the_bank_with_counts_and_thumbnails(
    make_bank: Bank, office: SignIn, quality: Person
) -> None:
    bad, good = make_bank(2)
    make_bank(1, decision=None)
    page = text(office(quality).get(URL))
    for specimen in (bad, good):
        assert reverse("specimens:small_frame", args=[specimen.pk, 0, 0]) in page
        assert reverse("specimens:specimen_detail", args=[specimen.pk]) in page
    assert "Undecided" in page
    assert "0.45 mm" in page
    assert "1.5" in page
    assert reverse("specimens:specimen_add") in page
    assert page.index("S-00003") < page.index("S-00001"), "the undecided one stands first"


def test_an_empty_bank_says_what_to_do_next(
    office: SignIn, quality: Person, trainer: Person, auditor: Person
) -> None:
    page = text(office(quality).get(URL))
    assert "No specimens yet." in page
    assert "both sides of a limit" in page
    for person in (trainer, auditor):
        page = text(office(person).get(URL))
        assert "No specimens yet." in page
        assert reverse("specimens:specimen_add") not in page


def test_filters_narrow_and_say_so_when_nothing_is_left(
    make_bank: Bank, office: SignIn, quality: Person
) -> None:
    make_bank(2)
    client = office(quality)
    page = text(client.get(URL, {"decision": "reject"}))
    assert "S-00001" in page
    assert "S-00002" not in page
    page = text(client.get(URL, {"number": "nothing"}))
    assert "No specimen is like that." in page
    for nonsense in ({"family": "x"}, {"page": "minus"}, {"decision": "<b>"}, {"job": "0" * 500}):
        assert client.get(URL, nonsense).status_code == 200


def test_pages_keep_the_filters(make_bank: Bank, office: SignIn, quality: Person) -> None:
    make_bank(30, decision=None)
    page = text(office(quality).get(URL, {"decision": "undecided"}))
    assert page.count('class="thumb"') == 24
    assert "decision=undecided&amp;page=2" in page
    page = text(office(quality).get(URL, {"decision": "undecided", "page": "2"}))
    assert page.count('class="thumb"') == 6


def test_retired_ones_are_counted_apart(make_bank: Bank, office: SignIn, quality: Person) -> None:
    one, _two = make_bank(2)
    retire_specimen(specimen=one, day=TODAY)
    client = office(quality)
    assert "S-00001" not in text(client.get(URL))
    page = text(client.get(URL, {"decision": "retired"}))
    assert "S-00001" in page
    assert "retired 25 Nov 2026" in page


def test_trainers_find_what_teaches_only(make_bank: Bank, office: SignIn, trainer: Person) -> None:
    make_bank(2)
    make_bank(1, pool="teaching")
    make_bank(1, pool="neither")
    page = text(office(trainer).get(URL))
    assert "S-00003" in page
    assert not any(number in page for number in ("S-00001", "S-00002", "S-00004"))
    for sought in ({"pool": "exam"}, {"decision": "reject", "pool": "exam"}, {"number": "S-00001"}):
        assert "No specimen is like that." in text(office(trainer).get(URL, sought))


def test_others_may_not(
    office: SignIn, floor: SignIn, operator: Person, supervisor: Person, quality: Person
) -> None:
    for client in (office(operator), office(supervisor), floor(quality)):
        assert client.get(URL).status_code == 403
    assert Client().get(URL).status_code == 302
    assert office(quality).post(URL).status_code == 405


def test_thirty_specimens_cost_as_many_queries_as_three(
    make_bank: Bank, office: SignIn, quality: Person
) -> None:
    client = office(quality)

    def count() -> int:
        with CaptureQueriesContext(connection) as caught:
            assert client.get(URL).status_code == 200
        return len(caught)

    make_bank(3)
    few = count()
    make_bank(27)
    assert count() == few <= 20


def test_speaks_spanish(make_bank: Bank, office: SignIn, quality: Person) -> None:
    make_bank(1)
    client = office(quality)
    page = text(client.get(URL, headers={"accept-language": "es"}))
    assert "Puntos negros" in page
    assert "Sin decidir" in page
    assert "Familia de defectos" in page
