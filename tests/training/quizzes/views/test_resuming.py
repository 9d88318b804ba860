"""An exam that is left and taken up again: the same draw, after a reload, a sign-out, another tablet."""

import datetime as dt
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON, PIN
from tests.training.quizzes.views.sending import judge_up_to, nth, right_fields, send
from training.people.devices import COOKIE, token_hash
from training.people.models import Device, Person
from training.people.record.verify import verify
from training.people.signing import signatures_of
from training.quizzes.models import Presented, Sitting
from training.quizzes.services.ending import end_sitting
from training.quizzes.services.moving import MOVED

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
OTHER = "token-of-another-tablet"


def draw(sitting: Sitting) -> list[object]:
    rows = Presented.objects.filter(sitting=sitting).order_by("ordinal")
    return list(rows.values_list("specimen", "decision", "part"))


def booth(client: Client, sitting: Sitting) -> object:
    return client.get(reverse("quizzes:booth", args=[sitting.pk]))


def moved(client: Client, sitting: Sitting, secret: str = PIN) -> str:
    address = reverse("quizzes:move", args=[sitting.pk])
    return client.post(address, {"secret": secret}, follow=True).content.decode()


@pytest.fixture
def other_tablet(administrator: Person) -> Device:
    return Device.objects.create(
        name="Tablet 2",
        place="Training room",
        token_hash=token_hash(OTHER),
        enrolled_at=NOON - dt.timedelta(days=30),
        enrolled_by=administrator,
    )


@pytest.fixture
def there(floor: Sign, other_tablet: Device) -> Sign:
    """Sign a person in on the other tablet."""

    def sign_in(person: Person) -> Client:
        client = floor(person)
        client.cookies[COOKIE] = OTHER
        return client

    return sign_in


def test_a_reload_and_a_new_sign_in_go_on_with_the_same_draw(
    floor: Sign, operator: Person, exam: Sitting
) -> None:
    before, client = draw(exam), floor(operator)
    judge_up_to(client, exam, 4)
    for again in (client, floor(operator)):
        response = booth(again, exam)
        assert response.context["part"].ordinal == 5  # type: ignore[attr-defined]
        assert response.context["judged"] == 4  # type: ignore[attr-defined]
    assert draw(exam) == before


def test_an_answer_sent_again_after_a_lost_connection_is_counted_once(
    floor: Sign, operator: Person, exam: Sitting
) -> None:
    client, fields = floor(operator), right_fields(nth(exam, 1))
    first = send(client, exam, fields)
    again = send(floor(operator), exam, fields)
    assert (first.status_code, again.status_code) == (200, 200)
    assert first.content == again.content
    assert exam.judgements.count() == 1


def test_another_tablet_is_refused_until_the_exam_is_moved_to_it(
    floor: Sign, there: Sign, operator: Person, trainer: Person, exam: Sitting, other_tablet: Device
) -> None:
    before = draw(exam)
    judge_up_to(floor(operator), exam, 3)
    assert booth(there(operator), exam).status_code == 403  # type: ignore[attr-defined]
    page = there(trainer).get(reverse("quizzes:opened", args=[exam.pk])).content.decode()
    assert "Go on on Tablet 2" in page
    assert "The exam goes on on Tablet 2." in moved(there(trainer), exam)
    signature = signatures_of(exam).get(meaning=MOVED)
    assert (signature.person, signature.device) == (trainer, other_tablet)
    response = booth(there(operator), exam)
    assert response.context["part"].ordinal == 4  # type: ignore[attr-defined]
    assert response.context["device_px_per_mm"] is None  # type: ignore[attr-defined]
    assert draw(exam) == before
    assert verify().breaks == ()


def test_what_waited_on_the_tablet_before_is_still_taken(
    floor: Sign, there: Sign, operator: Person, trainer: Person, exam: Sitting
) -> None:
    moved(there(trainer), exam)
    assert send(there(operator), exam, right_fields(nth(exam, 2))).status_code == 200
    assert send(floor(operator), exam, right_fields(nth(exam, 1))).status_code == 200
    assert exam.judgements.filter(scored=True).count() == 2


def test_moving_takes_a_right_secret_and_somebody_else(
    there: Sign, operator: Person, trainer: Person, exam: Sitting
) -> None:
    assert "Nothing was signed." in moved(there(trainer), exam, "000000")
    assert "Sign with your password or PIN." in moved(there(trainer), exam, "")
    address = reverse("quizzes:move", args=[exam.pk])
    assert there(operator).post(address, {"secret": PIN}).status_code == 403
    assert not signatures_of(exam).filter(meaning=MOVED).exists()


def test_what_is_over_or_here_already_is_not_moved(
    floor: Sign, there: Sign, trainer: Person, exam: Sitting
) -> None:
    assert "may be sat on this tablet already" in moved(floor(trainer), exam)
    end_sitting(sitting=exam, reason="abandoned", moment=NOON)
    assert "Only an exam that is running is moved." in moved(there(trainer), exam)


def test_from_the_office_nothing_is_moved(office: Sign, trainer: Person, exam: Sitting) -> None:
    address = reverse("quizzes:move", args=[exam.pk])
    assert office(trainer).post(address, {"secret": PIN}).status_code == 403
    assert office(trainer).get(address).status_code == 405
