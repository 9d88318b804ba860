"""The pages of exercises: what is offered, a step, its answer, what it came to."""

import uuid
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON
from tests.training.quizzes.bank import fill
from tests.training.quizzes.conftest import LONG_AGO
from tests.training.quizzes.sets import contrasts, ladder, look_alike, made, teaching
from tests.training.quizzes.views.sending import right_fields, send
from training.people.models import Person
from training.quizzes.exercises import Exercise
from training.quizzes.models import ExamPlan, Judgement, Sitting
from training.quizzes.services.exercises import start_exercise
from training.specimens.models import Pool

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
OFFERS = ("contrast", "look_alikes", "find_limit")
JSON = {"Accept": "application/json"}


@pytest.fixture
def taught(bank: SimpleNamespace, plans: dict[str, ExamPlan]) -> SimpleNamespace:
    fill(bank, bank.burn, bad=4, good=1, moment=LONG_AGO, pool=Pool.TEACHING)
    ladder(bank)
    contrasts(bank, 2)
    look_alike(bank)
    return bank


def started(client: Client, name: str) -> Sitting:
    response = client.post(reverse(f"quizzes:{name}"), {"family": ["black-specks"]})
    sitting = Sitting.objects.get(pk=response.url.split("/")[2])  # type: ignore[attr-defined]
    assert response.url == reverse("quizzes:exercise", args=[sitting.pk])  # type: ignore[attr-defined]
    return sitting


def answer(
    client: Client,
    sitting: Sitting,
    number: int,
    choice: str,
    headers: dict[str, str] | None = None,
) -> object:
    address = reverse("quizzes:exercise_answer", args=[sitting.pk, number])
    return client.post(address, {"choice": choice, "answer_id": str(uuid.uuid4())}, headers=headers)


class TestOffers:
    @pytest.mark.parametrize("name", OFFERS)
    def test_families_with_a_set_are_offered(
        self, floor: Sign, operator: Person, taught: SimpleNamespace, name: str
    ) -> None:
        page = floor(operator).get(reverse(f"quizzes:{name}")).content.decode()
        assert 'value="black-specks"' in page
        assert ('value="burn"' in page) == (name == "look_alikes")
        assert "new to you" in page

    @pytest.mark.parametrize("name", OFFERS)
    def test_without_a_set_it_says_so(
        self, floor: Sign, operator: Person, bank: SimpleNamespace, plans: object, name: str
    ) -> None:
        client = floor(operator)
        assert "no set for this yet" in client.get(reverse(f"quizzes:{name}")).content.decode()
        response = client.post(reverse(f"quizzes:{name}"), {"family": ["burn"]}, follow=True)
        assert "no set of these families" in response.content.decode()
        assert not Sitting.objects.exists()

    def test_without_a_plan_it_says_so(
        self, floor: Sign, operator: Person, bank: SimpleNamespace
    ) -> None:
        response = floor(operator).post(reverse("quizzes:contrast"), follow=True)
        assert "No practice plan" in response.content.decode()

    @pytest.mark.parametrize("name", OFFERS)
    def test_wrong_method(self, floor: Sign, operator: Person, name: str) -> None:
        assert floor(operator).put(reverse(f"quizzes:{name}")).status_code == 405

    def test_the_practice_page_leads_there(
        self, floor: Sign, operator: Person, taught: SimpleNamespace
    ) -> None:
        page = floor(operator).get(reverse("quizzes:practice_list")).content.decode()
        for name in (*OFFERS, "refresher_start", "low_rate_start"):
            assert reverse(f"quizzes:{name}") in page


class TestStep:
    @pytest.mark.parametrize("name", OFFERS)
    def test_it_tells_nothing_before_it_is_answered(
        self, floor: Sign, operator: Person, taught: SimpleNamespace, name: str
    ) -> None:
        client = floor(operator)
        sitting = started(client, name)
        page = client.get(reverse("quizzes:exercise", args=[sitting.pk])).content.decode()
        assert "data-region" not in page
        assert "mean size" not in page
        for presented in sitting.presented.select_related("specimen"):
            assert presented.specimen.number not in page

    def test_the_order_of_names_tells_nothing(
        self, floor: Sign, operator: Person, taught: SimpleNamespace
    ) -> None:
        """Which look-alike stands first is chance; their names always stand in the plant's order."""
        client = floor(operator)
        firsts, named, choices = set(), set(), set()
        for _n in range(12):
            sitting = started(client, "look_alikes")
            first = sitting.presented.select_related("specimen__family").get(ordinal=1)
            firsts.add(first.specimen.family.slug)
            context = client.get(reverse("quizzes:exercise", args=[sitting.pk])).context
            named.add(context["named"])
            choices.add(tuple(each["words"] for each in context["choices"]))
        assert firsts == {"black-specks", "burn"}
        assert named == {"Black specks, Burn mark"}
        assert choices == {("1 Black specks", "1 Burn mark")}

    def test_a_pair_is_told_at_once(
        self, floor: Sign, operator: Person, taught: SimpleNamespace
    ) -> None:
        client = floor(operator)
        sitting = started(client, "contrast")
        told = reverse("quizzes:exercise_step", args=[sitting.pk, 1])
        assert client.get(told).status_code == 404
        assert answer(client, sitting, 1, "1").url == told  # type: ignore[attr-defined]
        page = client.get(told).content.decode()
        assert page.count("data-region") == 1
        assert "They differ in: mean size." in page
        assert "over the limit." in page

    def test_the_script_is_answered_in_json(
        self, floor: Sign, operator: Person, taught: SimpleNamespace
    ) -> None:
        client = floor(operator)
        sitting = started(client, "find_limit")
        reply = answer(client, sitting, 1, "4", headers=JSON)
        assert reply.json() == {  # type: ignore[attr-defined]
            "kept": True,
            "next": reverse("quizzes:exercise", args=[sitting.pk]),
        }
        refused = answer(client, sitting, 2, "99", headers=JSON)
        assert refused.status_code == 400  # type: ignore[attr-defined]
        assert refused.json()["error"]  # type: ignore[attr-defined]

    @pytest.mark.parametrize("fields", [{}, {"choice": "1"}, {"choice": "1", "answer_id": "x"}])
    def test_an_answer_that_is_not_whole(
        self, floor: Sign, operator: Person, taught: SimpleNamespace, fields: dict[str, str]
    ) -> None:
        client = floor(operator)
        sitting = started(client, "contrast")
        address = reverse("quizzes:exercise_answer", args=[sitting.pk, 1])
        assert client.post(address, fields, headers=JSON).status_code == 400
        assert client.get(address).status_code == 405
        assert not Judgement.objects.exists()

    def test_the_line_is_told_after_three_settings(
        self, floor: Sign, operator: Person, taught: SimpleNamespace
    ) -> None:
        client = floor(operator)
        sitting = started(client, "find_limit")
        address = reverse("quizzes:exercise", args=[sitting.pk])
        for number, accepted in enumerate("333", start=1):
            assert "Your line" not in client.get(address).content.decode()
            answer(client, sitting, number, accepted)
        page = client.get(address).content.decode()
        # Accepted to 0.7, rejected from 0.85 times the limit of 0.3 mm on: √(0.21 · 0.255) = 0.2314.
        assert "Your line: 0.23 mm, 0.77 × the job&#x27;s limit of 0.3 mm." in page
        assert "Stricter than the job" in page
        assert reverse("quizzes:exercise_step", args=[sitting.pk, 1]) not in page
        assert client.get(reverse("quizzes:exercise_step", args=[sitting.pk, 1])).status_code == 404

    def test_the_summary_counts_pairs_with_an_interval(
        self, floor: Sign, operator: Person, taught: SimpleNamespace
    ) -> None:
        client = floor(operator)
        sitting = started(client, "contrast")
        for number in (1, 2):
            answer(client, sitting, number, "1")
        response = client.get(reverse("quizzes:exercise", args=[sitting.pk]))
        assert response.context["of"] == 2
        assert "pairs told rightly" in response.content.decode()
        # The booth and the common result lead here.
        for name in ("booth", "result"):
            moved = client.get(reverse(f"quizzes:{name}", args=[sitting.pk]), follow=True)
            assert moved.redirect_chain[-1][0] == reverse("quizzes:exercise", args=[sitting.pk])

    def test_nobody_elses_and_no_other_sitting(
        self,
        floor: Sign,
        operator: Person,
        trainer: Person,
        taught: SimpleNamespace,
        plans: dict[str, ExamPlan],
        practice: Sitting,
    ) -> None:
        client = floor(operator)
        sitting = started(client, "contrast")
        other = floor(trainer)
        assert other.get(reverse("quizzes:exercise", args=[sitting.pk])).status_code == 404
        assert answer(other, sitting, 1, "1").status_code == 404  # type: ignore[attr-defined]
        assert client.get(reverse("quizzes:exercise", args=[practice.pk])).status_code == 404

    def test_plain_answers_of_the_booth_keep_their_rules(
        self, floor: Sign, operator: Person, practice: Sitting
    ) -> None:
        """Only an exercise takes a reject without place and action."""
        client = floor(operator)
        bare = {
            "answer_id": str(uuid.uuid4()),
            "ordinal": 1,
            "verdict": "reject",
            "seconds": 6,
            "made": "2026-11-25T12:00:00.000+00:00",
        }
        assert send(client, practice, bare).status_code == 400

    def test_queries_do_not_grow_with_the_ladder(
        self,
        floor: Sign,
        operator: Person,
        taught: SimpleNamespace,
        plans: dict[str, ExamPlan],
        django_assert_max_num_queries: Callable[..., object],
    ) -> None:
        client = floor(operator)
        sitting = started(client, "find_limit")
        with django_assert_max_num_queries(36):  # type: ignore[attr-defined]
            client.get(reverse("quizzes:exercise", args=[sitting.pk]))


def test_the_twin_stands_beside_the_feedback(
    floor: Sign, operator: Person, taught: SimpleNamespace, practice: Sitting
) -> None:
    client = floor(operator)
    seen = 0
    shown = practice.presented.select_related("decision", "specimen__family")
    for presented in shown.order_by("ordinal"):
        send(client, practice, right_fields(presented))
        address = reverse("quizzes:feedback", args=[practice.pk, presented.ordinal])
        response = client.get(address)
        twin = response.context["twin"]
        if twin is not None:
            seen += 1
            assert twin["rejected"] != (presented.decision.decision == "reject")
            assert "It differs in: mean size." in response.content.decode()
    assert seen


def test_starting_needs_a_practice_plan(
    operator: Person, taught: SimpleNamespace, plans: dict[str, ExamPlan]
) -> None:
    with pytest.raises(ValidationError, match="for exams"):
        start_exercise(
            person=operator,
            exercise=Exercise.CONTRAST,
            families=[taught.specks],
            plan=plans["group"],
            moment=NOON,
        )


def test_where_nothing_is_accepted_the_line_is_told_in_rungs(
    floor: Sign, operator: Person, bank: SimpleNamespace, plans: dict[str, ExamPlan]
) -> None:
    fill(bank, bank.burn, bad=4, good=4, moment=LONG_AGO, pool=Pool.TEACHING)
    made("ladder", teaching(bank.burn))
    client = floor(operator)
    response = client.post(reverse("quizzes:find_limit"), {"family": ["burn"]})
    sitting = Sitting.objects.get(pk=response.url.split("/")[2])  # type: ignore[attr-defined]
    for number, accepted in enumerate("345", start=1):
        answer(client, sitting, number, accepted)
    page = client.get(reverse("quizzes:exercise", args=[sitting.pk])).content.decode()
    assert "3 of 8 accepted; the job accepts 4" in page
    for words in ("stricter than the job", "at the job&#x27;s limit", "looser than the job"):
        assert words in page


class TestRepeats:
    def test_a_plain_round_shows_a_few_parts_again_and_says_how_they_were_answered(
        self, floor: Sign, operator: Person, practice: Sitting
    ) -> None:
        specimens = list(practice.presented.order_by("ordinal").values_list("specimen", flat=True))
        assert len(specimens) - len(set(specimens)) == 2
        client = floor(operator)
        rows = practice.presented.select_related("decision", "specimen__family")
        for presented in rows.order_by("ordinal"):
            assert send(client, practice, right_fields(presented)).status_code == 200
        page = client.get(reverse("quizzes:result", args=[practice.pk])).content.decode()
        assert "Parts that came again" in page
        # Both the same, and nothing before this round: the interval of 2 of 2 is 16 to 100 %.
        assert page.count("2 of 2 same answer, 16 to 100\N{NO-BREAK SPACE}%") == 2

    def test_an_exam_never_shows_a_part_twice(self, exam: Sitting) -> None:
        specimens = list(exam.presented.values_list("specimen", flat=True))
        assert len(specimens) == len(set(specimens))
