"""Choosing one's own PIN: six digits, not the present one, not an obvious one."""

from collections.abc import Callable

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import PIN
from training.people import pins
from training.people.models import Person

URL = "/my-pin/"


@pytest.mark.django_db
class TestChangePin:
    def post(self, client: Client, old: str = PIN, new: str = "730518", again: str = "") -> object:
        return client.post(URL, {"old_pin": old, "new_pin": new, "again": again or new})

    def test_it_works(self, floor: Callable[[Person], Client], operator: Person) -> None:
        assert self.post(floor(operator)).status_code == 302
        operator.refresh_from_db()
        assert pins.matches("730518", operator.pin)
        assert not operator.pin_is_initial

    def test_the_unsigned_are_sent_to_sign_in(self, client: Client) -> None:
        assert client.get(URL).status_code == 302

    @pytest.mark.parametrize(
        ("old", "new", "again", "message"),
        [
            ("999999", "730518", "", "present PIN is not right"),
            (PIN, PIN, "", "differs from the present"),
            (PIN, "123456", "", "easy to guess"),
            (PIN, "730518", "730519", "differ"),
            (PIN, "73a518", "", "six digits"),
            (PIN, "7305", "", "6"),
        ],
    )
    def test_bad_input_is_told(
        self,
        floor: Callable[[Person], Client],
        operator: Person,
        old: str,
        new: str,
        again: str,
        message: str,
    ) -> None:
        response = self.post(floor(operator), old, new, again)
        assert response.status_code == 400
        assert message in str(response.context["form"].errors)
        operator.refresh_from_db()
        assert pins.matches(PIN, operator.pin)


@pytest.mark.parametrize(
    "pin",
    [
        "123456",
        "654321",
        "111111",
        "112233",
        "121212",
        "123123",
        "123321",
        "246802",
        "890123",
        "199507",
        "200412",
        "000000",
        "100001",
    ],
)
def test_obvious_pins(pin: str) -> None:
    assert pins.is_obvious(pin)


def test_own_numbers_are_obvious() -> None:
    assert pins.is_obvious("721846", ("21846",))
    assert not pins.is_obvious("721846", ("1003",))


@given(st.integers(0, 999_999))
def test_few_pins_are_obvious_and_reversal_keeps_runs_obvious(number: int) -> None:
    pin = f"{number:06d}"
    if pins.is_obvious(pin) and not pin.startswith(("19", "20")):
        assert pins.is_obvious(pin[::-1]) or pin[::-1].startswith(("19", "20"))


def test_most_pins_are_allowed() -> None:
    assert sum(pins.is_obvious(f"{n:06d}") for n in range(0, 1_000_000, 7)) / (1e6 / 7) < 0.05


def test_random_pins_are_never_obvious() -> None:
    assert not any(pins.is_obvious(pins.random_pin()) for _ in range(500))
