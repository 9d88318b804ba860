"""The page that raises an alert: signed by quality, on jobs, for a time; and what it does to them."""

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client

from tests.conftest import PASSWORD, TODAY
from training.floor.models import Alert
from training.people.models import Person
from training.people.signing import signatures_of

SignIn = Callable[[Person], Client]
URL = "/alerts/add/"

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


def fields(**changed: Any) -> dict[str, Any]:
    sent: dict[str, Any] = {
        "number": "A-31",
        "jobs": ["901"],
        "family": "burn",
        "zone": "A",
        "text_en": "Brown edge at the end of fill.",
        "text_es": "",
        "from_day": "2026-11-25",
        "to_day": "2026-12-09",
        "reason": "Complaint 88",
        "secret": PASSWORD,
        "lines-TOTAL_FORMS": "0",
        "lines-INITIAL_FORMS": "0",
    } | changed
    return {name: value for name, value in sent.items() if value is not None}


def test_it_is_raised_signed_and_stands_on_the_sheet(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    client = office(quality)
    response = client.post(URL, fields())
    assert (response.status_code, response.headers["Location"]) == (302, "/jobs/901/")
    alert = Alert.objects.get()
    assert list(alert.jobs.all()) == [plant.job]
    assert (alert.family, alert.written_by, alert.written_day) == (plant.burn, quality, TODAY)
    assert alert.text == {"en": "Brown edge at the end of fill."}
    assert signatures_of(alert).get().meaning == "raised an alert"
    page = client.get("/jobs/901/").content.decode()
    assert "A-31" in page
    assert "Brown edge at the end of fill." in page


def test_an_operator_has_it_to_read(
    office: SignIn, floor: SignIn, quality: Person, operator: Person, plant: SimpleNamespace
) -> None:
    office(quality).post(URL, fields())
    page = floor(operator).get("/jobs/901/").context["page"]
    assert [row.subject.number for row in page.alerts] == ["A-31"]
    assert page.unread >= 1


def test_the_job_it_came_from_is_chosen(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    page = office(quality).get(URL, {"job": "901"}).content.decode()
    assert 'value="901"' in page
    assert "checked" in page


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"number": ""}, "number"),
        ({"jobs": []}, "jobs"),
        ({"jobs": ["999"]}, "jobs"),
        ({"family": "nothing"}, "family"),
        ({"zone": "Z9"}, "zone"),
        ({"text_en": " "}, "text_en"),
        ({"from_day": "soon"}, "from_day"),
        ({"to_day": ""}, "to_day"),
        ({"to_day": "2026-11-24"}, "to_day"),
        ({"reason": ""}, "reason"),
        ({"secret": "wrong"}, "secret"),
    ],
)
def test_bad_input_names_the_field_and_keeps_nothing(
    office: SignIn, quality: Person, plant: SimpleNamespace, changed: dict[str, Any], field: str
) -> None:
    response = office(quality).post(URL, fields(**changed))
    assert response.status_code == 400
    assert field in response.context["form"].errors
    assert not Alert.objects.exists()


def test_a_number_is_used_once(office: SignIn, quality: Person, plant: SimpleNamespace) -> None:
    client = office(quality)
    client.post(URL, fields())
    response = client.post(URL, fields(reason="another"))
    assert response.status_code == 400
    assert "number" in response.context["form"].errors
    assert Alert.objects.count() == 1


def test_others_may_not(
    office: SignIn, supervisor: Person, trainer: Person, plant: SimpleNamespace
) -> None:
    for person in (supervisor, trainer):
        assert office(person).post(URL, fields()).status_code == 403
    assert not Alert.objects.exists()


def test_wrong_method(office: SignIn, quality: Person) -> None:
    assert office(quality).delete(URL).status_code == 405


def test_queries(
    office: SignIn,
    quality: Person,
    plant: SimpleNamespace,
    django_assert_max_num_queries: Callable[..., Any],
) -> None:
    client = office(quality)
    with django_assert_max_num_queries(10):
        client.get(URL)
