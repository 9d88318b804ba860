"""A part ahead, its pictures and its first piece's: only what has been handed out, only while it runs."""

from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON
from tests.training.quizzes.views.sending import judge_up_to, nth_of, save_pictures
from training.people.models import Person
from training.quizzes.models import Sitting
from training.quizzes.services.ending import end_sitting
from training.specimens.models import Frame

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]


def part(sitting: Sitting, ordinal: int) -> str:
    return reverse("quizzes:part", args=[sitting.pk, ordinal])


def frame(sitting: Sitting, ordinal: int, number: int = 0) -> str:
    return reverse("quizzes:frame", args=[sitting.pk, ordinal, number])


def first_piece(sitting: Sitting, ordinal: int, number: int = 0) -> str:
    return reverse("quizzes:first_piece_frame", args=[sitting.pk, ordinal, number])


def test_five_ahead_may_be_held_and_no_more(floor: Sign, operator: Person, exam: Sitting) -> None:
    client = floor(operator)
    assert [client.get(part(exam, n)).status_code for n in (1, 6, 7, 0, 25)] == [
        200,
        200,
        404,
        404,
        404,
    ]
    judge_up_to(client, exam, 1)
    assert client.get(part(exam, 7)).status_code == 200


def test_a_picture_is_handed_out_padded_and_without_a_name(
    floor: Sign, operator: Person, exam: Sitting
) -> None:
    save_pictures()
    response = floor(operator).get(frame(exam, 1))
    assert response.status_code == 200
    assert len(response.content) % (16 * 1024) == 0
    assert response.headers["Content-Disposition"] == "inline"
    assert response.headers["Cache-Control"] == "private, max-age=3600, no-transform"
    assert not {"ETag", "Last-Modified"} & set(response.headers)


def test_good_and_bad_parts_answer_with_the_same_headers(
    floor: Sign, operator: Person, exam: Sitting
) -> None:
    save_pictures()
    client = floor(operator)
    # Both kinds stand among the parts that may be held at once.
    answers = [
        client.get(frame(exam, nth_of(exam, kind).ordinal)).headers for kind in ("bad", "good")
    ]
    assert dict(answers[0]) == dict(answers[1])


@pytest.mark.parametrize("number", [1, 99])
def test_a_picture_that_is_not_there(
    floor: Sign, operator: Person, exam: Sitting, number: int
) -> None:
    save_pictures()
    assert floor(operator).get(frame(exam, 1, number)).status_code == 404


def test_a_picture_whose_file_is_lost_is_not_found(
    floor: Sign, operator: Person, exam: Sitting
) -> None:
    assert floor(operator).get(frame(exam, 1)).status_code == 404


def test_pictures_of_parts_not_handed_out_are_not_there(
    floor: Sign, operator: Person, exam: Sitting
) -> None:
    save_pictures()
    client = floor(operator)
    assert client.get(frame(exam, 7)).status_code == 404
    assert client.get(first_piece(exam, 7)).status_code == 404


def test_a_job_without_a_pictured_first_piece_has_none(
    floor: Sign, operator: Person, exam: Sitting
) -> None:
    assert floor(operator).get(first_piece(exam, 1)).status_code == 404


def test_nobody_elses(floor: Sign, new_hire: Person, exam: Sitting) -> None:
    save_pictures()
    client = floor(new_hire)
    for address in (part(exam, 1), frame(exam, 1), first_piece(exam, 1)):
        assert client.get(address).status_code == 404


def test_not_on_another_device(office: Sign, operator: Person, exam: Sitting) -> None:
    save_pictures()
    client = office(operator)
    for address in (part(exam, 1), frame(exam, 1), first_piece(exam, 1)):
        assert client.get(address).status_code == 403


def test_after_an_exam_nothing_is_shown_again(floor: Sign, operator: Person, exam: Sitting) -> None:
    save_pictures()
    end_sitting(sitting=exam, reason="abandoned", moment=NOON, ended_by=exam.invigilator)
    client = floor(operator)
    assert client.get(part(exam, 1)).status_code == 404
    assert client.get(frame(exam, 1)).status_code == 404


def test_wrong_method(floor: Sign, operator: Person, exam: Sitting) -> None:
    client = floor(operator)
    for address in (part(exam, 1), frame(exam, 1), first_piece(exam, 1)):
        assert client.post(address).status_code == 405


def test_the_tile_of_a_family_is_cut_from_teaching_only(
    floor: Sign, operator: Person, bank: SimpleNamespace
) -> None:
    save_pictures(Frame.objects.filter(view__specimen__pool="teaching"))
    client = floor(operator)
    response = client.get(reverse("quizzes:family_picture", args=[bank.specks.slug]))
    assert (response.status_code, response.headers["Content-Type"]) == (200, "image/jpeg")
    assert client.get(reverse("quizzes:family_picture", args=["burn"])).status_code == 404
    assert client.get(reverse("quizzes:family_picture", args=["nothing"])).status_code == 404


def test_queries_are_the_same_for_good_and_bad(
    floor: Sign, operator: Person, exam: Sitting, count_queries: Callable[..., int]
) -> None:
    client = floor(operator)
    numbers = [nth_of(exam, kind).ordinal for kind in ("bad", "good")]
    for address in (part, frame):
        bad, good = (count_queries(lambda a=address, n=n: client.get(a(exam, n))) for n in numbers)
        assert bad == good
