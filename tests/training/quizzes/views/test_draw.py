"""The page that explains a draw: to whom and when, and what it says."""

import datetime as dt
from collections.abc import Callable

import pytest
from django.contrib.auth.models import Group
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON, TODAY
from training.people.models import Person
from training.quizzes.models import Sitting
from training.quizzes.services.ending import end_sitting
from training.specimens.models import Specimen

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]


def address(sitting: Sitting) -> str:
    return reverse("quizzes:draw", args=[sitting.pk])


@pytest.fixture
def ended(exam: Sitting) -> Sitting:
    end_sitting(sitting=exam, reason="abandoned", moment=NOON)
    return exam


def test_it_says_that_the_draw_is_the_same(office: Sign, auditor: Person, ended: Sitting) -> None:
    page = office(auditor).get(address(ended)).content.decode()
    assert "every part in the same place" in page
    assert "14 / 14" in page
    assert "of 28 candidates" in page
    assert ended.seed in page
    for presented in ended.presented.select_related("specimen"):
        assert presented.specimen.number in page


def test_it_says_what_became_of_what_is_gone(office: Sign, quality: Person, ended: Sitting) -> None:
    row = ended.presented.select_related("specimen").first()
    assert row is not None
    Specimen.objects.filter(pk=row.specimen_id).update(retired_day=TODAY - dt.timedelta(days=1))
    page = office(quality).get(address(ended)).content.decode()
    assert "can no longer be shown" in page
    assert f"{row.specimen.number}: retired since" in page
    assert "the same" not in page.split("</section>")[0]


def test_while_the_exam_runs_only_quality_sees_it_and_no_part(
    office: Sign, quality: Person, auditor: Person, trainer: Person, exam: Sitting
) -> None:
    assert office(auditor).get(address(exam)).status_code == 403
    assert office(trainer).get(address(exam)).status_code == 403
    page = office(quality).get(address(exam)).content.decode()
    assert "every part in the same place" in page
    for presented in exam.presented.select_related("specimen"):
        assert presented.specimen.number not in page


def test_nobody_sees_the_draw_of_their_own_running_exam(
    office: Sign, operator: Person, exam: Sitting
) -> None:
    operator.groups.add(Group.objects.get(name="quality"))
    assert office(operator).get(address(exam)).status_code == 403
    assert office(operator).get(reverse("quizzes:opened", args=[exam.pk])).status_code == 200
    opened = office(operator).get(reverse("quizzes:opened", args=[exam.pk])).content.decode()
    assert address(exam) not in opened


def test_who_may_not(office: Sign, trainer: Person, supervisor: Person, ended: Sitting) -> None:
    for person in (trainer, supervisor):
        assert office(person).get(address(ended)).status_code == 403
        page = office(person).get(reverse("quizzes:result", args=[ended.pk])).content.decode()
        assert address(ended) not in page


def test_it_is_found_from_the_result(office: Sign, quality: Person, ended: Sitting) -> None:
    page = office(quality).get(reverse("quizzes:result", args=[ended.pk])).content.decode()
    assert address(ended) in page


def test_practice_has_no_such_page(office: Sign, quality: Person, practice: Sitting) -> None:
    assert office(quality).get(address(practice)).status_code == 404


def test_wrong_method(office: Sign, quality: Person, ended: Sitting) -> None:
    assert office(quality).post(address(ended)).status_code == 405


def test_query_count(
    office: Sign, quality: Person, ended: Sitting, count_queries: Callable[..., int]
) -> None:
    client = office(quality)
    assert count_queries(lambda: client.get(address(ended))) <= 28
