"""The booth: whose it is, on which tablet, what stands in it and what its address gives away."""

import re
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON
from tests.training.quizzes.views.sending import judge_up_to
from training.people.models import Person
from training.quizzes.models import Sitting
from training.quizzes.services.ending import end_sitting

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]


def address(sitting: Sitting) -> str:
    return reverse("quizzes:booth", args=[sitting.pk])


def test_it_shows_the_first_part_that_is_still_open(
    floor: Sign, operator: Person, exam: Sitting
) -> None:
    client = floor(operator)
    judge_up_to(client, exam, 3)
    response = client.get(address(exam))
    assert response.status_code == 200
    assert response.context["still_open"][0] == 4
    assert (response.context["judged"], response.context["handed_out"]) == (3, 9)
    assert "no-store" in response.headers["Cache-Control"]


def test_the_page_of_a_good_and_of_a_bad_part_differ_only_in_their_part(
    floor: Sign, operator: Person, exam: Sitting
) -> None:
    client = floor(operator)
    sizes = {}
    for presented in exam.presented.filter(ordinal__lte=6):
        page = client.get(reverse("quizzes:part", args=[exam.pk, presented.ordinal]))
        text = page.content.decode().replace(presented.specimen.number, "")
        sizes[presented.part, re.sub(r"\d", "0", text)] = len(text)
    shapes = {part: {text for kind, text in sizes if kind == part} for part, _ in sizes}
    assert set(shapes) == {"bad", "good"}
    assert shapes["bad"] == shapes["good"]


def test_somebody_elses_sitting_does_not_exist(
    floor: Sign, new_hire: Person, trainer: Person, exam: Sitting
) -> None:
    assert floor(new_hire).get(address(exam)).status_code == 404
    assert floor(trainer).get(address(exam)).status_code == 404


def test_an_exam_is_sat_on_the_tablet_it_was_opened_for(
    office: Sign, operator: Person, exam: Sitting
) -> None:
    response = office(operator).get(address(exam))
    assert response.status_code == 403
    assert "This exam was opened for Tablet 1" in response.content.decode()


def test_practice_may_be_done_on_any_tablet(
    office: Sign, operator: Person, practice: Sitting
) -> None:
    assert office(operator).get(address(practice)).status_code == 200


def test_an_ended_sitting_shows_its_result(floor: Sign, operator: Person, exam: Sitting) -> None:
    end_sitting(sitting=exam, reason="abandoned", moment=NOON, ended_by=exam.invigilator)
    response = floor(operator).get(address(exam))
    assert response.status_code == 302
    assert response.headers["Location"] == reverse("quizzes:result", args=[exam.pk])


def test_wrong_method(floor: Sign, operator: Person, exam: Sitting) -> None:
    assert floor(operator).post(address(exam)).status_code == 405


def test_a_sitting_that_is_not_there(floor: Sign, operator: Person) -> None:
    unknown = "/sittings/0190aaaa-0000-7000-8000-000000000000/"
    assert floor(operator).get(unknown).status_code == 404
    assert floor(operator).get("/sittings/nonsense/").status_code == 404


def test_queries_are_the_same_however_far_the_sitting_is(
    floor: Sign, operator: Person, exam: Sitting, count_queries: Callable[..., int]
) -> None:
    client = floor(operator)
    first = count_queries(lambda: client.get(address(exam)))
    judge_up_to(client, exam, 8)
    assert count_queries(lambda: client.get(address(exam))) == first
    assert first <= 30


def test_numbers_for_the_device_are_written_for_it_in_every_language(
    floor: Sign, operator: Person, exam: Sitting
) -> None:
    # Spanish writes 2,0, which no browser reads as a number: the look would be no look at all.
    response = floor(operator).get(address(exam), headers={"accept-language": "es"})
    assert 'data-look-seconds="2.0"' in response.content.decode()
