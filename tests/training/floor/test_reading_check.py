"""The check of five parts after a changed sheet: whose is open, who records it, what it frees."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client

from tests.conftest import NOON, PASSWORD, PIN, TODAY
from training.floor.models import WorkInstruction
from training.floor.records import Acknowledgement
from training.floor.selectors import lines_of_sheet
from training.floor.services import acknowledge, publish_work_instruction, record_reading_check
from training.people.models import Person
from training.people.record.verify import verify
from training.people.signing import signatures_of

SignIn = Callable[[Person], Client]
URL = "/jobs/901/check/"
OPEN = "The check of five parts is still to pass"

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


@pytest.fixture
def sheet(plant: SimpleNamespace) -> WorkInstruction:
    """Revision B, which replaces A."""
    return publish_work_instruction(
        job=plant.job,
        revision="B",
        day=TODAY,
        needs=plant.sheet.needs,
        lines=lines_of_sheet(plant.sheet),
        steps=plant.sheet.steps,
    )


@pytest.fixture
def reader(operator: Person, sheet: WorkInstruction) -> Person:
    """Somebody who has read revision B."""
    acknowledge(person=operator, subject=sheet, moment=NOON - dt.timedelta(hours=1), day=TODAY)
    return operator


def fields(who: Person, **changed: Any) -> dict[str, Any]:
    return {"person": who.personnel_no, "right": "5", "secret": PASSWORD} | changed


def test_all_five_right_pass_it(
    office: SignIn, floor: SignIn, trainer: Person, reader: Person, sheet: WorkInstruction
) -> None:
    assert OPEN in floor(reader).get("/jobs/901/").content.decode()
    client = office(trainer)
    assert client.get(URL).context["waiting"] == [reader]
    response = client.post(URL, fields(reader), follow=True)
    assert response.context["waiting"] == []
    check = Acknowledgement.objects.get(check_shown=5)
    assert (check.person, check.check_right, check.recorded_by) == (reader, 5, trainer)
    assert signatures_of(check).get().meaning == "showed the check of five parts"
    assert OPEN not in floor(reader).get("/jobs/901/").content.decode()
    assert verify().breaks == ()


def test_four_right_are_kept_and_do_not_pass(
    floor: SignIn, trainer: Person, reader: Person
) -> None:
    client = floor(trainer)
    response = client.post(URL, fields(reader, right="4", secret=PIN), follow=True)
    assert "has not passed" in response.content.decode()
    assert response.context["waiting"] == [reader]
    client.post(URL, fields(reader, secret=PIN))
    assert client.get(URL).context["waiting"] == []
    assert list(
        Acknowledgement.objects.filter(check_shown=5)
        .order_by("position")
        .values_list("check_right", flat=True)
    ) == [4, 5]


def test_who_has_not_read_does_not_stand_there(
    office: SignIn, trainer: Person, new_hire: Person, reader: Person
) -> None:
    client = office(trainer)
    assert new_hire not in client.get(URL).context["waiting"]
    response = client.post(URL, fields(new_hire))
    assert response.status_code == 400
    assert "person" in response.context["form"].errors


def test_a_first_sheet_asks_no_check(
    office: SignIn, trainer: Person, operator: Person, plant: SimpleNamespace
) -> None:
    acknowledge(person=operator, subject=plant.sheet, moment=NOON, day=TODAY)
    assert "Nobody waits for this check." in office(trainer).get(URL).content.decode()


def test_nobody_shows_it_to_themselves(
    office: SignIn, trainer: Person, sheet: WorkInstruction
) -> None:
    acknowledge(person=trainer, subject=sheet, moment=NOON, day=TODAY)
    assert office(trainer).get(URL).context["waiting"] == []
    with pytest.raises(ValidationError, match="to themselves"):
        record_reading_check(
            person=trainer, sheet=sheet, right=5, by=trainer, moment=NOON, day=TODAY
        )


@pytest.mark.parametrize("right", [-1, 6])
def test_the_service_takes_0_to_5(
    right: int, reader: Person, trainer: Person, sheet: WorkInstruction
) -> None:
    with pytest.raises(ValidationError, match="0 to 5"):
        record_reading_check(
            person=reader, sheet=sheet, right=right, by=trainer, moment=NOON, day=TODAY
        )


def test_the_service_asks_for_the_reading(
    new_hire: Person, trainer: Person, sheet: WorkInstruction
) -> None:
    with pytest.raises(ValidationError, match="has not read revision B"):
        record_reading_check(
            person=new_hire, sheet=sheet, right=5, by=trainer, moment=NOON, day=TODAY
        )


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"person": ""}, "person"),
        ({"right": ""}, "right"),
        ({"right": "6"}, "right"),
        ({"secret": "wrong"}, "secret"),
        ({"secret": ""}, "secret"),
    ],
)
def test_bad_input_names_the_field_and_keeps_nothing(
    office: SignIn, trainer: Person, reader: Person, changed: dict[str, Any], field: str
) -> None:
    response = office(trainer).post(URL, fields(reader, **changed))
    assert response.status_code == 400
    assert field in response.context["form"].errors
    assert not Acknowledgement.objects.filter(check_shown=5).exists()


def test_others_may_not(floor: SignIn, office: SignIn, supervisor: Person, reader: Person) -> None:
    assert floor(reader).post(URL, fields(reader)).status_code == 403
    assert office(supervisor).post(URL, fields(reader)).status_code == 403


def test_an_unknown_job(office: SignIn, trainer: Person) -> None:
    assert office(trainer).get("/jobs/999/check/").status_code == 404


def test_wrong_method(office: SignIn, trainer: Person, reader: Person) -> None:
    assert office(trainer).delete(URL).status_code == 405


def test_queries_do_not_grow_with_readers(
    office: SignIn,
    trainer: Person,
    reader: Person,
    new_hire: Person,
    sheet: WorkInstruction,
    django_assert_max_num_queries: Callable[..., Any],
) -> None:
    client = office(trainer)
    with django_assert_max_num_queries(12) as few:
        client.get(URL)
    acknowledge(person=new_hire, subject=sheet, moment=NOON, day=TODAY)
    with django_assert_max_num_queries(12) as more:
        client.get(URL)
    assert len(few) == len(more)
