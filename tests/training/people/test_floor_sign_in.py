"""Signing in on the floor: badge and PIN, on an enrolled device, with locks and equal answers."""

import datetime as dt
from collections.abc import Callable

import pytest
import time_machine
from django.conf import settings
from django.test import Client
from django.urls import reverse

from tests.conftest import DEVICE_TOKEN, NOON, PIN
from training.people import pins
from training.people.devices import COOKIE, token_hash
from training.people.models import Badge, Device, Employment, Person

pytestmark = [pytest.mark.django_db]
URL = "/sign-in/"


@pytest.fixture
def tablet(device: Device) -> Client:
    client = Client()
    client.cookies[COOKIE] = DEVICE_TOKEN
    return client


def badge_of(person: Person) -> str:
    return person.badges.get().number


def enter(client: Client, badge: str, pin: str = PIN) -> object:
    return client.post(URL, {"badge": badge, "pin": pin})


def test_it_works_and_leads_to_the_start(tablet: Client, operator: Person) -> None:
    response = enter(tablet, badge_of(operator))
    assert response.status_code == 302
    assert response.url == reverse("site:start")
    assert tablet.session["signed_in_at"] == "floor"
    assert response.cookies[settings.LANGUAGE_COOKIE_NAME].value == "en"


def test_a_device_that_is_not_enrolled_is_refused(client: Client, operator: Person) -> None:
    response = enter(client, badge_of(operator))
    assert response.status_code == 403
    assert "_auth_user_id" not in client.session


def test_a_wrong_device_token_is_refused(client: Client, operator: Person, device: Device) -> None:
    client.cookies[COOKIE] = "not-the-token"
    assert enter(client, badge_of(operator)).status_code == 403


def test_a_withdrawn_device_is_refused_and_throws_out(
    floor: Callable[[Person], Client], operator: Person, device: Device
) -> None:
    client = floor(operator)
    Device.objects.update(withdrawn_at=NOON)
    response = client.get("/my-pin/")
    assert response.url == reverse("people:floor_sign_in")
    assert "_auth_user_id" not in client.session


def test_unknown_badge_and_wrong_pin_get_the_same_answer(tablet: Client, operator: Person) -> None:
    wrong = enter(tablet, badge_of(operator), "135792")
    unknown = enter(tablet, "00001", "135792")
    assert wrong.status_code == unknown.status_code == 400
    assert wrong.context["form"].errors == unknown.context["form"].errors


def test_unknown_badge_costs_as_many_hashes_as_a_known_one(
    tablet: Client, operator: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    hashed: list[str] = []
    keyed = pins._keyed
    monkeypatch.setattr(pins, "_keyed", lambda pin: hashed.append(pin) or keyed(pin))
    enter(tablet, badge_of(operator), "135792")
    known = len(hashed)
    enter(tablet, "00001", "135792")
    assert len(hashed) == 2 * known == 2


def test_somebody_who_has_left_is_refused(tablet: Client, operator: Person) -> None:
    Employment.objects.update(to_day=dt.date(2021, 1, 1))
    assert enter(tablet, badge_of(operator)).status_code == 400


def test_a_badge_that_was_handed_on_signs_in_its_present_holder(
    tablet: Client, operator: Person, trainer: Person
) -> None:
    number = badge_of(operator)
    Badge.objects.filter(number=number).update(to_day=dt.date(2021, 1, 1))
    Badge.objects.create(number=number, person=trainer, from_day=dt.date(2022, 1, 1))
    enter(tablet, number)
    assert tablet.session["_auth_user_id"] == str(trainer.pk)


def test_ten_wrong_pins_lock_the_badge_on_this_device_only(
    tablet: Client, operator: Person, administrator: Person
) -> None:
    badge = badge_of(operator)
    with time_machine.travel(NOON, tick=False) as clock:
        codes = []
        for _ in range(10):
            codes.append(enter(tablet, badge, "135792").status_code)
            clock.shift(61)
        assert codes[-1] == 403
        assert enter(tablet, badge).status_code == 403
        other = Client()
        Device.objects.create(
            name="Tablet 2", place="P07", token_hash=token_hash("two"), enrolled_at=NOON
        )
        other.cookies[COOKIE] = "two"
        assert enter(other, badge).status_code == 302


def test_the_lock_ends(tablet: Client, operator: Person) -> None:
    badge = badge_of(operator)
    with time_machine.travel(NOON, tick=False) as clock:
        for _ in range(10):
            enter(tablet, badge, "135792")
            clock.shift(61)
        clock.shift(settings.AXES_COOLOFF_TIME + dt.timedelta(seconds=61))
        assert enter(tablet, badge).status_code == 302


def test_a_device_slows_down_over_all_badges(
    tablet: Client, operator: Person, trainer: Person
) -> None:
    with time_machine.travel(NOON, tick=False):
        for number in range(4):
            enter(tablet, f"0000{number}", "135792")
        response = enter(tablet, badge_of(trainer))
    assert response.status_code == 429
    assert "Wait 2 s" in str(response.context["form"].errors)


def test_bad_input_is_told(tablet: Client) -> None:
    response = enter(tablet, "", "12")
    assert response.status_code == 400
    assert set(response.context["form"].errors) == {"badge", "pin"}


def test_other_methods_are_refused(tablet: Client) -> None:
    assert tablet.put(URL).status_code == 405


def test_a_floor_session_has_floor_rights_only(
    floor: Callable[[Person], Client], quality: Person
) -> None:
    assert floor(quality).get(reverse("people:person_list")).status_code == 403


def test_an_initial_pin_must_be_changed_first(
    floor: Callable[[Person], Client], operator: Person
) -> None:
    operator.pin_is_initial = True
    operator.save()
    response = floor(operator).get(reverse("people:change_password"))
    assert response.status_code in (302, 403)
    assert floor(operator).get(reverse("people:change_pin")).status_code == 200
