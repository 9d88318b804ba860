"""Signing asks the secret again and writes who, when and what it means."""

from collections.abc import Callable

import pytest
from django.core.exceptions import ValidationError
from django.test import Client, RequestFactory

from tests.conftest import NOON, PASSWORD, PIN
from training.people.models import Device, Person, Signature
from training.people.signing import confirm_secret, sign, signatures_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(rf: RequestFactory) -> Callable[..., object]:
    def make(person: Person, room: str) -> object:
        request = rf.post("/")
        request.user, request.session = person, {"signed_in_at": room}
        return request

    return make


def test_at_the_office_the_password_is_asked(asked: Callable[..., object], quality: Person) -> None:
    assert confirm_secret(asked(quality, "office"), PASSWORD, moment=NOON) == "password"
    with pytest.raises(ValidationError, match="password is not right"):
        confirm_secret(asked(quality, "office"), PIN, moment=NOON)


def test_on_the_floor_the_pin_is_asked(asked: Callable[..., object], trainer: Person) -> None:
    assert confirm_secret(asked(trainer, "floor"), PIN, moment=NOON) == "pin"
    with pytest.raises(ValidationError, match="PIN is not right"):
        confirm_secret(asked(trainer, "floor"), "135792", moment=NOON)


def test_a_signature_names_person_moment_meaning_and_subject(
    quality: Person, device: Device
) -> None:
    sign(person=quality, meaning="enrolled", subject=device, method="password", moment=NOON)
    (signature,) = signatures_of(device)
    assert (signature.person, signature.recorded_at) == (quality, NOON)
    assert (signature.meaning, signature.subject_kind) == ("enrolled", "people.device")
    assert signature.chain == "plant"
    assert Signature.objects.count() == 1


def test_the_unsigned_cannot_sign(asked: Callable[..., object], client: Client) -> None:
    with pytest.raises(ValidationError, match="Sign in first"):
        confirm_secret(asked(None, "office"), PASSWORD, moment=NOON)
