"""The pace of a job: quality sets it on the job's page, the booth draws it."""

from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client

from training.people.models import Person

pytestmark = pytest.mark.django_db
Sign = Callable[[Person], Client]
ADDRESS = "/jobs/901/pace/"


def pace(plant: SimpleNamespace) -> int | None:
    plant.job.refresh_from_db()
    found: int | None = plant.job.pace_s
    return found


def test_quality_sets_and_takes_away_a_pace(
    office: Sign, quality: Person, plant: SimpleNamespace
) -> None:
    client = office(quality)
    assert "Set the pace" in client.get("/jobs/901/").content.decode()
    page = client.post(ADDRESS, {"pace_s": "12"}, follow=True).content.decode()
    assert "The pace of job 901 is set." in page
    assert "12 s a part" in page
    assert pace(plant) == 12
    client.post(ADDRESS, {"pace_s": ""})
    assert pace(plant) is None


@pytest.mark.parametrize("given", ["1", "601", "-3", "a while", "2.5"])
def test_bad_input_changes_nothing(
    office: Sign, quality: Person, plant: SimpleNamespace, given: str
) -> None:
    page = office(quality).post(ADDRESS, {"pace_s": given}, follow=True).content.decode()
    assert "Pace: give whole seconds from 2 to 600" in page
    assert pace(plant) is None


def test_who_may_not(
    office: Sign, trainer: Person, auditor: Person, plant: SimpleNamespace
) -> None:
    for person in (trainer, auditor):
        assert office(person).post(ADDRESS, {"pace_s": "12"}).status_code == 403
        assert "Set the pace" not in office(person).get("/jobs/901/").content.decode()
    assert pace(plant) is None


def test_an_unknown_job_and_a_wrong_method(
    office: Sign, quality: Person, plant: SimpleNamespace
) -> None:
    assert office(quality).post("/jobs/999/pace/", {"pace_s": "12"}).status_code == 404
    assert office(quality).get(ADDRESS).status_code == 405
