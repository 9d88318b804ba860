"""The result of a sitting and the list of sittings: counts with bounds, who may see them, what is next."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON
from tests.training.quizzes.bank import right_answer, wrong_answer
from tests.training.quizzes.views.sending import judge_up_to
from training.people.models import Person
from training.quizzes.models import Sitting
from training.quizzes.services.ending import end_sitting
from training.quizzes.services.judging import record_judgements

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
LIST = "/sittings/"


def address(sitting: Sitting) -> str:
    return reverse("quizzes:result", args=[sitting.pk])


def sit(sitting: Sitting, missed: int = 0) -> None:
    """Judge a whole sitting, missing some of its bad parts."""
    shown = list(
        sitting.presented.select_related("decision", "specimen__family").order_by("ordinal")
    )
    wrong = [each.ordinal for each in shown if each.part == "bad"][:missed]
    answers = [
        (wrong_answer if each.ordinal in wrong else right_answer)(each, NOON) for each in shown
    ]
    record_judgements(sitting=sitting, answers=answers, moment=NOON)


class TestResult:
    def test_a_passed_exam_gives_counts_with_their_bounds(
        self, floor: Sign, operator: Person, exam: Sitting
    ) -> None:
        sit(exam, missed=1)
        response = floor(operator).get(address(exam))
        result = response.context["result"]
        assert (result.missed.errors, result.missed.of) == (1, 12)
        # Exact one-sided 90 % bound of 1 in 12 (Clopper-Pearson; solved by hand from the binomial).
        bound = result.missed.high
        assert (1 - bound) ** 12 + 12 * bound * (1 - bound) ** 11 == pytest.approx(0.1)
        assert "Passed" in response.content.decode()

    def test_a_lost_exam_gives_no_rate_and_says_what_comes_next(
        self, floor: Sign, operator: Person, exam: Sitting
    ) -> None:
        sit(exam, missed=12)
        response = floor(operator).get(address(exam))
        assert response.context["result"].missed.high is None
        page = response.content.decode()
        assert "Not passed" in page
        assert "Read the lesson again and practise these families" in page

    def test_nothing_tells_which_parts_were_wrong(
        self, floor: Sign, operator: Person, exam: Sitting
    ) -> None:
        sit(exam, missed=1)
        page = floor(operator).get(address(exam)).content.decode()
        for presented in exam.presented.select_related("specimen"):
            assert presented.specimen.number not in page

    def test_a_running_exam_says_how_far_it_is_and_not_how_it_stands(
        self, floor: Sign, operator: Person, exam: Sitting
    ) -> None:
        client = floor(operator)
        judge_up_to(client, exam, 3)
        response = client.get(address(exam))
        assert "3 of 24 parts judged" in response.content.decode()
        assert response.context["result"].missed.of == 0

    def test_broken_off_decides_nothing(self, floor: Sign, operator: Person, exam: Sitting) -> None:
        end_sitting(sitting=exam, reason="abandoned", moment=NOON, ended_by=exam.invigilator)
        response = floor(operator).get(address(exam))
        assert "Broken off: nothing is decided." in response.context["next_steps"][0]

    def test_practice_gives_counts_and_no_rate(
        self, floor: Sign, operator: Person, practice: Sitting
    ) -> None:
        sit(practice)
        result = floor(operator).get(address(practice)).context["result"]
        assert result.missed.of > 0
        assert result.missed.high is None

    def test_others_by_role_only(
        self,
        office: Sign,
        floor: Sign,
        exam: Sitting,
        new_hire: Person,
        trainer: Person,
        supervisor: Person,
        quality: Person,
        auditor: Person,
    ) -> None:
        assert floor(new_hire).get(address(exam)).status_code == 404
        for person in (trainer, supervisor, quality, auditor):
            assert office(person).get(address(exam)).status_code == 200

    def test_wrong_method(self, floor: Sign, operator: Person, exam: Sitting) -> None:
        assert floor(operator).post(address(exam)).status_code == 405

    def test_queries(
        self, floor: Sign, operator: Person, exam: Sitting, count_queries: Callable[..., int]
    ) -> None:
        client = floor(operator)
        sit(exam)
        assert count_queries(lambda: client.get(address(exam))) <= 18


class TestList:
    def test_running_exams_come_first_and_practice_only_where_asked(
        self,
        office: Sign,
        trainer: Person,
        new_hire: Person,
        exam: Sitting,
        practice: Sitting,
        open_exam: Callable[..., Sitting],
    ) -> None:
        running = open_exam(new_hire)
        sit(exam)
        client = office(trainer)
        shown = [row.sitting for row in client.get(LIST).context["rows"]]
        assert shown == [running, exam]
        with_practice = client.get(LIST, {"practice": "1"}).context["rows"]
        assert practice in [row.sitting for row in with_practice]

    @pytest.mark.parametrize("query", ["Otto", "otto op"])
    def test_it_is_searched_by_name(
        self,
        office: Sign,
        trainer: Person,
        new_hire: Person,
        exam: Sitting,
        open_exam: Callable[..., Sitting],
        query: str,
    ) -> None:
        open_exam(new_hire)
        rows = office(trainer).get(LIST, {"q": query}).context["rows"]
        assert [row.sitting for row in rows] == [exam]

    def test_it_is_searched_by_number(self, office: Sign, trainer: Person, exam: Sitting) -> None:
        rows = office(trainer).get(LIST, {"q": exam.number.lower()}).context["rows"]
        assert [row.sitting for row in rows] == [exam]

    def test_none_is_said(self, office: Sign, trainer: Person) -> None:
        assert "No sitting yet." in office(trainer).get(LIST).content.decode()

    @pytest.mark.parametrize("page", ["0", "two", "999"])
    def test_a_page_that_is_not_there_shows_one_that_is(
        self, office: Sign, trainer: Person, exam: Sitting, page: str
    ) -> None:
        response = office(trainer).get(LIST, {"page": page})
        assert (response.status_code, len(response.context["rows"])) == (200, 1)

    def test_operators_may_not(self, floor: Sign, operator: Person) -> None:
        assert floor(operator).get(LIST).status_code == 403

    def test_wrong_method(self, office: Sign, trainer: Person) -> None:
        assert office(trainer).post(LIST).status_code == 405

    def test_queries_do_not_grow_with_sittings(
        self,
        office: Sign,
        trainer: Person,
        new_hire: Person,
        exam: Sitting,
        open_exam: Callable[..., Sitting],
        count_queries: Callable[..., int],
    ) -> None:
        client = office(trainer)
        few = count_queries(lambda: client.get(LIST))
        open_exam(new_hire)
        assert count_queries(lambda: client.get(LIST)) == few
