"""Devices of the floor: enrolling, inviting, joining, withdrawing."""

import datetime as dt
from collections.abc import Callable

import pytest
import time_machine
from django.test import Client

from tests.conftest import NOON
from training.people.devices import COOKIE, device_by_token
from training.people.models import Device, Person

pytestmark = pytest.mark.django_db
Office = Callable[[Person], Client]
TABLET = {"name": "Tablet 7", "place": "P07"}


def invitation_of(client: Client) -> str:
    response = client.post("/devices/invite/", TABLET)
    return "/" + response.context["address"].split("/", 3)[3]


def test_the_device_in_hand_is_enrolled(office: Office, administrator: Person) -> None:
    client = office(administrator)
    response = client.post("/devices/enrol/", TABLET)
    assert response.status_code == 302
    cookie = response.cookies[COOKIE]
    assert cookie["httponly"]
    assert device_by_token(cookie.value) == Device.objects.get(name="Tablet 7")


def test_the_token_is_kept_only_as_a_hash(office: Office, administrator: Person) -> None:
    token = office(administrator).post("/devices/enrol/", TABLET).cookies[COOKIE].value
    assert token not in str(Device.objects.values())


def test_an_invitation_lets_one_device_in_once(office: Office, administrator: Person) -> None:
    address = invitation_of(office(administrator))
    tablet = Client()
    assert "Tablet 7" in tablet.get(address).content.decode()
    assert tablet.post(address).url == "/sign-in/"
    assert device_by_token(tablet.cookies[COOKIE].value) == Device.objects.get(name="Tablet 7")
    second = Client().post(address)
    assert second.status_code == 410
    assert "has been used" in second.content.decode()


def test_an_invitation_ends_after_an_hour(office: Office, administrator: Person) -> None:
    with time_machine.travel(NOON, tick=False) as clock:
        address = invitation_of(office(administrator))
        clock.shift(dt.timedelta(minutes=61))
        assert Client().get(address).status_code == 410


def test_a_made_up_invitation_is_refused(client: Client) -> None:
    assert client.get("/devices/join/made-up/").status_code == 410


def test_withdrawing(office: Office, administrator: Person, device: Device) -> None:
    client = office(administrator)
    assert client.post(f"/devices/{device.pk}/withdraw/").status_code == 302
    device.refresh_from_db()
    assert device.withdrawn_at is not None
    assert client.post(f"/devices/{device.pk}/withdraw/").status_code == 404


def test_bad_input_is_told(office: Office, administrator: Person) -> None:
    for url in ("/devices/enrol/", "/devices/invite/"):
        response = office(administrator).post(url, {"name": "", "place": "x" * 99})
        assert response.status_code == 400
        assert set(response.context["form"].errors) == {"name", "place"}
    assert not Device.objects.exists()


@pytest.mark.parametrize("url", ["/devices/", "/devices/enrol/"])
def test_trainers_may_not(office: Office, trainer: Person, url: str) -> None:
    assert office(trainer).get(url).status_code == 403


def test_withdrawing_needs_a_post(office: Office, administrator: Person, device: Device) -> None:
    assert office(administrator).get(f"/devices/{device.pk}/withdraw/").status_code == 405


def test_an_empty_list_says_what_to_do(office: Office, administrator: Person) -> None:
    assert "No device is enrolled yet." in office(administrator).get("/devices/").content.decode()
