"""Taking a press over, relieving, leaving: checked, signed and recorded."""

from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client

from certification.staffing.models import PressCheck, ProductionOrder
from tests.conftest import NOON, PIN
from training.floor.models import Turn
from training.people.models import Person, Signature

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
URL = "/presses/P01/turn/"
Floor = Callable[[Person], Client]


def taking(**changes: object) -> dict[str, object]:
    return {"secret": PIN, "first_piece_seen": "on", **changes}


def test_it_records_the_turn_and_the_signature(
    floor: Floor, operator: Person, qualify: Callable[..., None], order: ProductionOrder
) -> None:
    qualify(operator)
    response = floor(operator).post(URL, taking())
    assert response.status_code == 302
    turn = Turn.objects.get()
    assert (turn.person, turn.press.code, turn.job.number) == (operator, "P01", "901")
    assert turn.started_at == NOON
    assert turn.work_instruction.revision == "A"
    assert Signature.objects.get().subject_id == turn.pk
    assert PressCheck.objects.get().verdict == "alone"


def test_who_may_not_run_it_is_refused_with_every_reason(
    floor: Floor, new_hire: Person, order: ProductionOrder
) -> None:
    response = floor(new_hire).post(URL, taking())
    assert response.status_code == 400
    assert len(response.context["form"].non_field_errors()) >= 5
    assert not Turn.objects.exists()


def test_a_wrong_pin_signs_nothing(
    floor: Floor, operator: Person, qualify: Callable[..., None], order: ProductionOrder
) -> None:
    qualify(operator)
    response = floor(operator).post(URL, taking(secret="135792"))
    assert response.status_code == 400
    assert "PIN is not right" in str(response.context["form"].errors)
    assert not Turn.objects.exists()


def test_the_first_piece_comes_first(
    floor: Floor, operator: Person, qualify: Callable[..., None], order: ProductionOrder
) -> None:
    qualify(operator)
    response = floor(operator).post(URL, {"secret": PIN})
    assert response.status_code == 400
    assert "approved first piece" in str(response.context["form"].errors)


def test_taking_over_ends_the_other_turn_at_the_same_moment(
    floor: Floor,
    operator: Person,
    trainer: Person,
    qualify: Callable[..., None],
    order: ProductionOrder,
) -> None:
    for person in (operator, trainer):
        qualify(person)
    floor(operator).post(URL, taking())
    refused = floor(trainer).post(URL, taking())
    assert "Press P01 is taken: Otto Operator" in str(refused.context["form"].errors)
    floor(trainer).post(URL, taking(takes_over_from=str(operator.pk)))
    first, second = Turn.objects.order_by("position")
    assert first.end.ended_at == second.started_at == NOON
    assert second.person == trainer


def test_nobody_stands_at_two_presses(
    floor: Floor, operator: Person, qualify: Callable[..., None], order: ProductionOrder
) -> None:
    qualify(operator)
    floor(operator).post(URL, taking())
    response = floor(operator).post(URL, taking())
    assert "stands at press P01 already" in str(response.context["form"].errors)


def test_leaving_ends_the_turn_once(
    floor: Floor, operator: Person, qualify: Callable[..., None], order: ProductionOrder
) -> None:
    qualify(operator)
    client = floor(operator)
    client.post(URL, taking())
    client.post("/presses/leave/")
    assert Turn.objects.get().end.ended_at == NOON
    client.post("/presses/leave/")
    assert Turn.objects.get().end.ended_at == NOON


def test_leaving_needs_a_post(floor: Floor, operator: Person) -> None:
    assert floor(operator).get("/presses/leave/").status_code == 405


def test_a_press_without_an_order_says_so(
    floor: Floor, operator: Person, plant: SimpleNamespace
) -> None:
    response = floor(operator).get(URL)
    assert response.status_code == 404
    assert "runs no job now" in response.content.decode()


def test_an_unknown_press_is_not_found(floor: Floor, operator: Person) -> None:
    assert floor(operator).get("/presses/P99/turn/").status_code == 404


def test_the_page_shows_the_papers(
    floor: Floor, operator: Person, qualify: Callable[..., None], order: ProductionOrder
) -> None:
    qualify(operator)
    text = floor(operator).get(URL).content.decode()
    assert "revision A of" in text
    assert "not authorised to operate" in text


def test_auditors_may_not(office: Callable[[Person], Client], auditor: Person) -> None:
    assert office(auditor).get(URL).status_code == 403
