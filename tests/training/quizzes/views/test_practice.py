"""Practice: what there is to practise, starting a round, and what each answer came to."""

from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client
from django.urls import reverse

from tests.training.quizzes.bank import ELSEWHERE, fill
from tests.training.quizzes.conftest import LONG_AGO
from tests.training.quizzes.views.sending import nth, nth_of, right_fields, send
from training.people.models import Person
from training.quizzes.models import ExamPlan, Sitting
from training.specimens.models import Pool

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
LIST, START = "/practice/", "/practice/start/"


def feedback(sitting: Sitting, ordinal: int) -> str:
    return reverse("quizzes:feedback", args=[sitting.pk, ordinal])


class TestList:
    def test_families_with_pictures_can_be_practised(
        self, floor: Sign, operator: Person, bank: SimpleNamespace, plans: object
    ) -> None:
        page = floor(operator).get(LIST).content.decode()
        assert "Black specks" in page
        assert 'value="black-specks"' in page
        assert 'value="burn"' not in page

    def test_a_waiting_exam_is_offered(self, floor: Sign, operator: Person, exam: Sitting) -> None:
        page = floor(operator).get(LIST).content.decode()
        assert reverse("quizzes:booth", args=[exam.pk]) in page

    def test_without_any_picture_it_says_so(
        self, floor: Sign, operator: Person, plant: SimpleNamespace
    ) -> None:
        response = floor(operator).get(LIST)
        assert response.status_code == 200
        assert 'value="black-specks"' not in response.content.decode()

    def test_wrong_method(self, floor: Sign, operator: Person) -> None:
        assert floor(operator).post(LIST).status_code == 405

    def test_queries_do_not_grow_with_families(
        self,
        floor: Sign,
        operator: Person,
        bank: SimpleNamespace,
        count_queries: Callable[..., int],
    ) -> None:
        client = floor(operator)
        few = count_queries(lambda: client.get(LIST))
        for family in (bank.burn, bank.grease):
            fill(bank, family, bad=8, good=8, moment=LONG_AGO, pool=Pool.TEACHING)
        assert count_queries(lambda: client.get(LIST)) == few


class TestStart:
    @pytest.mark.parametrize("chosen", [{"family": ["black-specks"]}, {"group": "spots"}])
    def test_it_goes_to_the_booth(
        self,
        floor: Sign,
        operator: Person,
        bank: SimpleNamespace,
        plans: object,
        chosen: dict[str, object],
    ) -> None:
        response = floor(operator).post(START, chosen)
        sitting = Sitting.objects.get()
        assert response.url == reverse("quizzes:booth", args=[sitting.pk])  # type: ignore[attr-defined]
        assert (sitting.kind, sitting.person) == ("practice", operator)
        assert "black-specks" in sitting.families

    @pytest.mark.parametrize("chosen", [{}, {"family": ["nothing"]}, {"group": "nothing"}])
    def test_nothing_chosen_is_said(
        self,
        floor: Sign,
        operator: Person,
        bank: SimpleNamespace,
        plans: object,
        chosen: dict[str, object],
    ) -> None:
        response = floor(operator).post(START, chosen, follow=True)
        assert "Choose a family to practise." in response.content.decode()
        assert not Sitting.objects.exists()

    def test_without_a_plan_it_is_said(
        self, floor: Sign, operator: Person, bank: SimpleNamespace
    ) -> None:
        response = floor(operator).post(START, {"family": ["black-specks"]}, follow=True)
        assert "No practice plan is published yet." in response.content.decode()

    def test_a_family_without_pictures_is_refused_with_what_is_wanted(
        self, floor: Sign, operator: Person, bank: SimpleNamespace, plans: dict[str, ExamPlan]
    ) -> None:
        response = floor(operator).post(START, {"family": ["burn"]}, follow=True)
        assert not Sitting.objects.exists()
        assert response.redirect_chain == [(LIST, 302)]
        assert list(response.context["messages"])

    def test_wrong_method(self, floor: Sign, operator: Person) -> None:
        assert floor(operator).get(START).status_code == 405


class TestFeedback:
    def test_a_right_reject_is_said_with_what_to_do(
        self, floor: Sign, operator: Person, practice: Sitting
    ) -> None:
        client, presented = floor(operator), nth_of(practice, "bad")
        send(client, practice, right_fields(presented))
        response = client.get(feedback(practice, presented.ordinal))
        assert response.status_code == 200
        assert (response.context["said"], response.context["truth"]) == ("reject", "reject")
        assert not response.context["place_note"]

    def test_a_touch_elsewhere_is_told(
        self, floor: Sign, operator: Person, practice: Sitting
    ) -> None:
        client, presented = floor(operator), nth_of(practice, "bad")
        send(client, practice, right_fields(presented, x=ELSEWHERE[0], y=ELSEWHERE[1]))
        response = client.get(feedback(practice, presented.ordinal))
        assert response.context["place_note"]

    def test_another_name_is_told(self, floor: Sign, operator: Person, practice: Sitting) -> None:
        client, presented = floor(operator), nth_of(practice, "bad")
        send(client, practice, right_fields(presented, family="burn"))
        assert client.get(feedback(practice, presented.ordinal)).context["name_note"]

    def test_before_the_answer_there_is_none(
        self, floor: Sign, operator: Person, practice: Sitting
    ) -> None:
        client = floor(operator)
        for ordinal in (1, 0, 99):
            assert client.get(feedback(practice, ordinal)).status_code == 404

    def test_an_exam_says_nothing_of_single_parts(
        self, floor: Sign, operator: Person, exam: Sitting
    ) -> None:
        client = floor(operator)
        send(client, exam, right_fields(nth(exam, 1)))
        assert client.get(feedback(exam, 1)).status_code == 404

    def test_nobody_elses(
        self, floor: Sign, operator: Person, trainer: Person, practice: Sitting
    ) -> None:
        send(floor(operator), practice, right_fields(nth(practice, 1)))
        assert floor(trainer).get(feedback(practice, 1)).status_code == 404

    def test_wrong_method(self, floor: Sign, operator: Person, practice: Sitting) -> None:
        assert floor(operator).post(feedback(practice, 1)).status_code == 405

    def test_queries_are_the_same_for_every_part(
        self,
        floor: Sign,
        operator: Person,
        practice: Sitting,
        count_queries: Callable[..., int],
    ) -> None:
        client = floor(operator)
        costs = set()
        for ordinal in range(1, 7):
            send(client, practice, right_fields(nth(practice, ordinal)))
            costs.add(count_queries(lambda n=ordinal: client.get(feedback(practice, n))))
        assert max(costs) <= 30
        assert len(costs) <= 2
