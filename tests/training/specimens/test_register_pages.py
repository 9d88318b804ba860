"""The pages of the register: list, export, registering, one part, one sample, withdrawing."""

import csv
import io
from collections.abc import Callable
from contextlib import AbstractContextManager
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client

from tests.conftest import NOON, PASSWORD, TODAY
from tests.training.specimens.test_real_parts import register
from training.floor.models import JobGroup, LimitSample
from training.people.models import Person
from training.people.signing import signatures_of
from training.specimens.models import Handling, PartCopy, Specimen

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
LIST, ADD, SAMPLE = "/real-parts/", "/real-parts/add/", "/limit-samples/add/"


def part_fields(plant: SimpleNamespace, **changes: Any) -> dict[str, Any]:
    return {
        "number": "N-0042",
        "job": str(plant.job.pk),
        "zone": "A",
        "family": str(plant.specks.pk),
        "severity": "0.4",
        "unit": "mm",
        "pool": "exam",
        "place_a": "cabinet 1",
        "place_b": "archive",
        "expires_day": "2027-11-25",
        "most_handlings": "60",
    } | changes


def sample_fields(plant: SimpleNamespace, **changes: Any) -> dict[str, Any]:
    return {
        "code": "9-SP",
        "job_group": str(JobGroup.objects.get().pk),
        "family": str(plant.specks.pk),
        "zone": "A",
        "kind": "worst accepted",
        "text_en": "the worst that passes",
        "place_a": "press drawer",
        "expires_day": "2027-11-25",
        "second_signature": "the customer",
        "secret": PASSWORD,
    } | changes


def test_an_empty_register_says_what_it_is_for(office: Sign, quality: Person) -> None:
    page = office(quality).get(LIST).content.decode()
    assert "No real part is registered." in page
    assert ADD in page


def test_a_part_is_registered_and_then_decided(
    office: Sign, quality: Person, plant: SimpleNamespace
) -> None:
    client = office(quality)
    response = client.post(ADD, part_fields(plant))
    part = Specimen.objects.get(number="N-0042")
    assert response.status_code == 302
    assert response.url == f"/specimens/{part.pk}/decide/"  # type: ignore[attr-defined]
    assert [copy.most_handlings for copy in part.copies.all()] == [60, 60]
    assert client.get(response.url).status_code == 200  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"number": ""}, "required"),
        ({"place_a": ""}, "required"),
        ({"expires_day": "2026-11-25"}, "Give a day after today."),
        ({"unit": ""}, "Give severity and unit together"),
        ({"most_handlings": "0"}, "greater than or equal to 1"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_kept(
    office: Sign, quality: Person, plant: SimpleNamespace, changes: dict[str, str], said: str
) -> None:
    response = office(quality).post(ADD, part_fields(plant, **changes))
    assert response.status_code == 400
    assert said in response.content.decode()
    assert not Specimen.objects.exists()


def test_a_limit_sample_is_signed(office: Sign, quality: Person, plant: SimpleNamespace) -> None:
    client = office(quality)
    response = client.post(SAMPLE, sample_fields(plant), follow=True)
    sample = LimitSample.objects.get(code="9-SP")
    assert (sample.signed_by, sample.signed_day, sample.copies) == (quality, TODAY, 1)
    assert signatures_of(sample).get().person == quality
    assert "Limit sample 9-SP" in response.content.decode()


def test_a_wrong_secret_signs_nothing(
    office: Sign, quality: Person, plant: SimpleNamespace
) -> None:
    response = office(quality).post(SAMPLE, sample_fields(plant, secret="wrong"))
    assert response.status_code == 400
    assert not LimitSample.objects.exists()


def test_a_handling_is_written_down_and_listed(
    office: Sign, quality: Person, plant: SimpleNamespace
) -> None:
    part = register(plant, quality)
    copy, client = part.copies.get(letter="A"), office(quality)
    address = f"/real-parts/{part.pk}/"
    given = {"copy": str(copy.pk), "what": "checked", "condition": "worn", "times": "1"}
    page = client.post(address, given | {"words": "dull at the rim"}, follow=True)
    text = page.content.decode()
    assert Handling.objects.get().recorded_by == quality
    assert "dull at the rim" in text
    assert "worn, still used" in text


def test_a_move_without_a_place_is_explained(
    office: Sign, quality: Person, plant: SimpleNamespace
) -> None:
    part = register(plant, quality)
    copy = part.copies.get(letter="A")
    response = office(quality).post(
        f"/real-parts/{part.pk}/",
        {"copy": str(copy.pk), "what": "moved", "condition": "sound", "times": "1"},
    )
    assert response.status_code == 400
    assert "Say where it is kept from now on." in response.content.decode()
    assert not Handling.objects.exists()


def test_a_copy_of_another_part_is_not_taken(
    office: Sign, quality: Person, plant: SimpleNamespace
) -> None:
    part, other = register(plant, quality), register(plant, quality, number="N-0002")
    foreign = other.copies.get(letter="A")
    response = office(quality).post(
        f"/real-parts/{part.pk}/",
        {"copy": str(foreign.pk), "what": "checked", "condition": "lost", "times": "1"},
    )
    assert response.status_code == 400
    assert not Handling.objects.exists()


def test_a_copy_is_withdrawn(office: Sign, quality: Person, plant: SimpleNamespace) -> None:
    part = register(plant, quality)
    copy, client = part.copies.get(letter="A"), office(quality)
    address = f"/real-parts/copies/{copy.pk}/withdraw/"
    assert client.get(address).status_code == 405
    page = client.post(address, follow=True).content.decode()
    assert PartCopy.objects.get(pk=copy.pk).withdrawn_day == TODAY
    assert "Copy A is used no more." in page


def test_trainers_find_limit_samples_and_teaching_parts_only(
    office: Sign, quality: Person, trainer: Person, plant: SimpleNamespace
) -> None:
    examines = register(plant, quality, number="N-0001")
    teaches = register(plant, quality, number="N-0002", pool="teaching")
    client = office(trainer)
    page = client.get(LIST).content.decode()
    assert "N-0002" in page
    assert "N-0001" not in page
    assert "N-0001" not in client.get("/real-parts/export/").content.decode()
    assert client.get(f"/real-parts/{examines.pk}/").status_code == 404
    assert client.get(f"/real-parts/{teaches.pk}/").status_code == 200
    copy = teaches.copies.get(letter="A")
    given = {"copy": str(copy.pk), "what": "checked", "condition": "lost", "times": "1"}
    client.post(f"/real-parts/{teaches.pk}/", given)
    assert not Handling.objects.exists()


def test_the_list_is_narrowed_and_exported_alike(
    office: Sign, quality: Person, plant: SimpleNamespace
) -> None:
    register(plant, quality, number="N-0001")
    register(plant, quality, number="=N-2", family=plant.burn)
    client = office(quality)
    page = client.get(f"{LIST}?family=burn").content.decode()
    assert "=N-2" in page
    assert "N-0001" not in page
    sheet = client.get("/real-parts/export/?family=burn").content.decode().removeprefix("\ufeff")
    lines = list(csv.reader(io.StringIO(sheet)))
    assert [line[0] for line in lines] == ["Number", "'=N-2", "'=N-2"]
    assert lines[1][5:7] == ["A", "cabinet 1, drawer 2"]


def test_nonsense_in_the_filters_narrows_nothing(
    office: Sign, quality: Person, plant: SimpleNamespace
) -> None:
    register(plant, quality)
    page = office(quality).get(f"{LIST}?family=nonsense&kind=3&page=99").content.decode()
    assert "N-0001" in page


def test_the_list_costs_the_same_for_many_parts(
    office: Sign,
    quality: Person,
    plant: SimpleNamespace,
    django_assert_max_num_queries: Callable[[int], AbstractContextManager[object]],
) -> None:
    for number in range(12):
        register(plant, quality, number=f"N-1{number:03d}")
    client = office(quality)
    with django_assert_max_num_queries(10):
        assert client.get(LIST).status_code == 200


@pytest.mark.parametrize("address", [LIST, "/real-parts/export/"])
def test_lists_are_only_read(office: Sign, quality: Person, address: str) -> None:
    assert office(quality).post(address).status_code == 405


def test_a_sample_that_lost_its_copies_says_so_in_the_list(
    office: Sign, quality: Person, plant: SimpleNamespace
) -> None:
    office(quality).post(SAMPLE, sample_fields(plant))
    copy = PartCopy.objects.get()
    office(quality).post(f"/real-parts/copies/{copy.pk}/withdraw/")
    page = office(quality).get(LIST).content.decode()
    assert "no valid sample: ask quality" in page
    assert LimitSample.objects.get().expires_day < NOON.date()
