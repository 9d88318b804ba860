"""The answers that come back: kept once, in order, by their own person, and nothing told of them."""

import uuid
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON
from tests.training.quizzes.bank import ELSEWHERE
from tests.training.quizzes.views.sending import nth, nth_of, right_fields, send
from training.people.models import Person
from training.quizzes.models import Judgement, Sitting
from training.quizzes.services.ending import end_sitting

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]


def test_an_answer_is_kept_and_nothing_is_said_of_it(
    floor: Sign, operator: Person, exam: Sitting
) -> None:
    reply = send(floor(operator), exam, right_fields(nth(exam, 1)))
    assert reply.status_code == 200
    assert reply.json() == {  # type: ignore[attr-defined]
        "kept": True,
        "judged": 1,
        "total": 24,
        "handed_out": 7,
        "ended": False,
        "result": reverse("quizzes:result", args=[exam.pk]),
    }
    assert "no-store" in reply.headers["Cache-Control"]
    row = Judgement.objects.get()
    assert (row.judging_ms, row.answer) == (6250, nth(exam, 1).decision.decision)


def test_right_and_wrong_answers_get_the_same_reply(
    floor: Sign,
    operator: Person,
    new_hire: Person,
    exam: Sitting,
    open_exam: Callable[..., Sitting],
) -> None:
    other = open_exam(new_hire)
    right = send(floor(operator), exam, right_fields(nth(exam, 1)))
    presented = nth(other, 1)
    if presented.decision.decision == "reject":
        wrong = right_fields(presented, x=ELSEWHERE[0], y=ELSEWHERE[1])
    else:
        slug = presented.specimen.family.slug
        wrong = right_fields(presented, verdict="reject", x=5, y=5, family=slug, action="tag")
    wrong_reply = send(floor(new_hire), other, wrong)
    ours, theirs = right.json(), wrong_reply.json()  # type: ignore[attr-defined]
    assert ours | {"result": ""} == theirs | {"result": ""}
    assert len(right.content) == len(wrong_reply.content)
    assert dict(right.headers) == dict(wrong_reply.headers)


def test_a_form_is_taken_as_well_as_json(floor: Sign, operator: Person, exam: Sitting) -> None:
    address = reverse("quizzes:judge", args=[exam.pk])
    reply = floor(operator).post(address, right_fields(nth(exam, 1)))
    assert (reply.status_code, reply.json()["judged"]) == (200, 1)


def test_the_same_answer_may_come_again(floor: Sign, operator: Person, exam: Sitting) -> None:
    client, fields = floor(operator), right_fields(nth(exam, 1))
    first, again = send(client, exam, fields), send(client, exam, fields)
    assert first.json() == again.json()  # type: ignore[attr-defined]
    assert Judgement.objects.count() == 1


def test_a_second_judgement_of_a_part_is_a_conflict(
    floor: Sign, operator: Person, exam: Sitting
) -> None:
    client, fields = floor(operator), right_fields(nth(exam, 1))
    send(client, exam, fields)
    reply = send(client, exam, fields | {"answer_id": str(uuid.uuid4())})
    assert (reply.status_code, reply.json()["code"]) == (409, "conflict")  # type: ignore[attr-defined]
    assert Judgement.objects.count() == 1


def test_somebody_elses_sitting_does_not_exist(
    floor: Sign, new_hire: Person, trainer: Person, exam: Sitting
) -> None:
    for person in (new_hire, trainer):
        assert send(floor(person), exam, right_fields(nth(exam, 1))).status_code == 404
    assert not Judgement.objects.exists()


def test_not_from_another_device(office: Sign, operator: Person, exam: Sitting) -> None:
    assert send(office(operator), exam, right_fields(nth(exam, 1))).status_code == 403
    assert not Judgement.objects.exists()


def test_a_part_not_handed_out_is_refused(floor: Sign, operator: Person, exam: Sitting) -> None:
    for ordinal in (0, 7, 99):
        reply = send(floor(operator), exam, right_fields(nth(exam, 1), ordinal=ordinal))
        assert (reply.status_code, reply.json()["code"]) == (400, "ordinal")  # type: ignore[attr-defined]


def test_after_the_end_what_was_held_is_kept_unscored_and_the_rest_refused(
    floor: Sign, operator: Person, exam: Sitting
) -> None:
    end_sitting(sitting=exam, reason="abandoned", moment=NOON, ended_by=exam.invigilator)
    client = floor(operator)
    held = send(client, exam, right_fields(nth(exam, 6)))
    assert (held.status_code, held.json()["kept"], held.json()["ended"]) == (200, False, True)  # type: ignore[attr-defined]
    late = send(client, exam, right_fields(nth(exam, 7)))
    assert (late.status_code, late.json()["code"]) == (410, "ended")  # type: ignore[attr-defined]
    assert [row.scored for row in Judgement.objects.all()] == [False]


@pytest.mark.parametrize(
    ("changed", "named"),
    [
        ({"answer_id": "seven"}, "answer_id"),
        ({"answer_id": None}, "answer_id"),
        ({"ordinal": "first"}, "ordinal"),
        ({"verdict": "perhaps"}, "verdict"),
        ({"verdict": None}, "verdict"),
        ({"seconds": -1}, "seconds"),
        ({"seconds": None}, "seconds"),
        ({"made": "at noon"}, "made"),
        ({"action": "sing"}, "action"),
        ({"view": -1}, "view"),
        ({"x": "left"}, "x"),
    ],
)
def test_bad_input_names_the_field_and_keeps_nothing(
    floor: Sign, operator: Person, exam: Sitting, changed: dict[str, object], named: str
) -> None:
    reply = send(floor(operator), exam, right_fields(nth_of(exam, "bad")) | changed)
    assert reply.status_code == 400
    assert f"{named}: " in reply.json()["error"]  # type: ignore[attr-defined]
    assert not Judgement.objects.exists()


@pytest.mark.parametrize("left_out", ["family", "action"])
def test_a_reject_without_family_or_action_is_refused(
    floor: Sign, operator: Person, exam: Sitting, left_out: str
) -> None:
    fields = right_fields(nth_of(exam, "bad"), **{left_out: None})
    reply = send(floor(operator), exam, fields)
    assert reply.status_code == 400
    assert reply.json()["error"]  # type: ignore[attr-defined]
    assert not Judgement.objects.exists()


def test_a_touch_outside_the_picture_is_refused(
    floor: Sign, operator: Person, exam: Sitting
) -> None:
    reply = send(floor(operator), exam, right_fields(nth_of(exam, "bad"), x=1201))
    assert reply.status_code == 400
    assert "outside the picture" in reply.json()["error"]  # type: ignore[attr-defined]


@pytest.mark.parametrize("body", ["{", "[1]", '"reject"', ""])
def test_a_body_that_is_no_object_is_refused(
    floor: Sign, operator: Person, exam: Sitting, body: str
) -> None:
    address = reverse("quizzes:judge", args=[exam.pk])
    reply = floor(operator).post(address, body, content_type="application/json")
    assert (reply.status_code, reply.json()["code"]) == (400, "answer")


def test_wrong_method(floor: Sign, operator: Person, exam: Sitting) -> None:
    address = reverse("quizzes:judge", args=[exam.pk])
    assert floor(operator).get(address).status_code == 405


def test_practice_names_where_its_feedback_is(
    floor: Sign, operator: Person, practice: Sitting
) -> None:
    reply = send(floor(operator), practice, right_fields(nth(practice, 1)))
    assert reply.json()["feedback"] == reverse("quizzes:feedback", args=[practice.pk, 1])  # type: ignore[attr-defined]


def test_queries_are_the_same_for_every_answer(
    floor: Sign, operator: Person, exam: Sitting, count_queries: Callable[..., int]
) -> None:
    client = floor(operator)
    send(client, exam, right_fields(nth(exam, 1)))
    costs = {
        count_queries(lambda n=n: send(client, exam, right_fields(nth(exam, n))))
        for n in range(2, 8)
    }
    assert len(costs) == 1
