"""Breaking off: an exam by an invigilator, a practice round by its own person."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from training.people.models import Person
from training.quizzes.models import Sitting, SittingEnd

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]


def address(sitting: Sitting) -> str:
    return reverse("quizzes:abandon", args=[sitting.pk])


def test_an_invigilator_breaks_an_exam_off_and_nothing_is_decided(
    floor: Sign, quality: Person, exam: Sitting
) -> None:
    response = floor(quality).post(address(exam))
    end = SittingEnd.objects.get()
    assert (end.reason, end.result, end.recorded_by) == ("abandoned", "undecided", quality)
    assert response.url == reverse("quizzes:result", args=[exam.pk])  # type: ignore[attr-defined]


def test_a_second_time_changes_nothing_and_says_so(
    floor: Sign, quality: Person, exam: Sitting
) -> None:
    client = floor(quality)
    client.post(address(exam))
    response = client.post(address(exam), follow=True)
    assert "has ended already" in response.content.decode()
    assert SittingEnd.objects.count() == 1


def test_operators_do_not_end_exams(
    floor: Sign, operator: Person, new_hire: Person, exam: Sitting
) -> None:
    for person in (operator, new_hire):
        assert floor(person).post(address(exam)).status_code == 403
    assert not SittingEnd.objects.exists()


def test_a_trainer_does_not_end_an_exam_of_their_own(
    floor: Sign, trainer: Person, quality: Person, open_exam: Callable[..., Sitting]
) -> None:
    sitting = open_exam(trainer, invigilator=quality)
    assert floor(trainer).post(address(sitting)).status_code == 403
    assert not SittingEnd.objects.exists()


def test_ones_own_practice_is_ended_by_oneself_only(
    floor: Sign, operator: Person, trainer: Person, practice: Sitting
) -> None:
    assert floor(trainer).post(address(practice)).status_code == 404
    assert not SittingEnd.objects.exists()
    floor(operator).post(address(practice))
    assert SittingEnd.objects.get().recorded_by == operator


def test_wrong_method(floor: Sign, quality: Person, exam: Sitting) -> None:
    assert floor(quality).get(address(exam)).status_code == 405
    assert not SittingEnd.objects.exists()
