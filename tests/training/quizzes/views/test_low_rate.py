"""The low-rate round: why, when it is due, the round itself, and its result apart."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON, TODAY
from tests.training.quizzes.views.sending import nth, right_fields, save_pictures, send
from tests.training.quizzes.views.test_refresher import judge_all
from training.people.models import Person
from training.quizzes.models import ExamPlan, Sitting, SittingEnd
from training.quizzes.selectors.low_rate import low_rate_due, low_rate_rounds, plant_low_rate
from training.quizzes.selectors.results import find_sittings
from training.quizzes.services.low_rate import start_low_rate
from training.specimens.models import Frame, Pool, Specimen

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
ADDRESS = "/practice/low-rate/"


@pytest.fixture
def low_rate(
    operator: Person, low_rate_bank: SimpleNamespace, plans: dict[str, ExamPlan]
) -> Sitting:
    return start_low_rate(person=operator, plan=plans["practice"], moment=NOON, seed="witness")


def result(sitting: Sitting) -> str:
    return reverse("quizzes:low_rate_result", args=[sitting.pk])


class TestStart:
    def test_it_says_why_and_when(
        self, floor: Sign, operator: Person, low_rate_bank: SimpleNamespace, plans: object
    ) -> None:
        page = floor(operator).get(ADDRESS).content.decode()
        assert "Due this quarter, by 31 Dec." in page
        assert "Rare items often missed in visual searches" in page
        assert "Start the 40 parts" in page

    def test_a_small_pool_says_what_is_missing(
        self, floor: Sign, operator: Person, bank: SimpleNamespace, plans: object
    ) -> None:
        client = floor(operator)
        page = client.get(ADDRESS).content.decode()
        clean = sum(
            row.decisions.get().severity_ratio is None
            for row in Specimen.objects.filter(pool=Pool.TEACHING)
        )
        assert f"{38 - clean} more clean good specimens wanted" in page
        response = client.post(ADDRESS, follow=True)
        assert "too small for a low-rate round" in response.content.decode()
        assert not Sitting.objects.exists()

    def test_it_goes_to_the_booth_once(
        self, floor: Sign, operator: Person, low_rate_bank: SimpleNamespace, plans: object
    ) -> None:
        client = floor(operator)
        first = client.post(ADDRESS)
        second = client.post(ADDRESS)
        sitting = Sitting.objects.get()
        assert first.url == second.url == reverse("quizzes:booth", args=[sitting.pk])  # type: ignore[attr-defined]
        assert sitting.presented.count() == 40
        assert sitting.presented.filter(part="bad").count() in (2, 3)
        assert "Go on" in client.get(ADDRESS).content.decode()

    def test_wrong_method_and_no_plan(
        self, floor: Sign, operator: Person, low_rate_bank: SimpleNamespace
    ) -> None:
        client = floor(operator)
        assert client.put(ADDRESS).status_code == 405
        assert "No practice plan" in client.post(ADDRESS, follow=True).content.decode()


class TestRound:
    def test_nothing_is_told_while_it_runs(
        self, floor: Sign, operator: Person, low_rate: Sitting
    ) -> None:
        client = floor(operator)
        reply = send(client, low_rate, right_fields(nth(low_rate, 1))).json()  # type: ignore[attr-defined]
        assert "feedback" not in reply
        assert client.get(f"/sittings/{low_rate.pk}/1/feedback/").status_code == 404
        page = client.get(result(low_rate)).content.decode()
        assert "1 of 40" in page
        assert "missed" not in page.split("<main", 1)[1]

    def test_the_title_and_the_limits_name_no_family_of_the_bad_parts(
        self, floor: Sign, operator: Person, low_rate: Sitting
    ) -> None:
        response = floor(operator).get(reverse("quizzes:booth", args=[low_rate.pk]))
        assert response.context["title"] == "Low-rate round"
        # Practice of one family shows that family's limit alone; here the group's stand.
        assert "black specks" in response.content.decode()

    def test_its_result_stands_apart_with_what_was_missed(
        self, floor: Sign, operator: Person, low_rate: Sitting
    ) -> None:
        judge_all(low_rate, wrongly=1)
        client = floor(operator)
        moved = client.get(reverse("quizzes:result", args=[low_rate.pk]))
        assert moved.url == result(low_rate)  # type: ignore[attr-defined]
        response = client.get(result(low_rate))
        bad = low_rate.presented.filter(part="bad").count()
        assert (response.context["missed"].errors, response.context["missed"].of) == (1, bad)
        assert len(response.context["again"]) == bad
        assert response.context["again"][0]["missed"]
        assert "Let through" in response.content.decode()
        assert "Why it is reported apart" in response.content.decode()

    def test_its_pictures_may_be_looked_at_again(
        self, floor: Sign, operator: Person, low_rate: Sitting
    ) -> None:
        save_pictures(Frame.objects.filter(view__specimen__presented__sitting=low_rate)[:1])
        judge_all(low_rate)
        assert floor(operator).get(f"/sittings/{low_rate.pk}/1/").status_code == 200

    def test_trainers_see_the_counts_and_no_picture(
        self,
        floor: Sign,
        office: Sign,
        operator: Person,
        trainer: Person,
        new_hire: Person,
        low_rate: Sitting,
    ) -> None:
        judge_all(low_rate, wrongly=1)
        response = office(trainer).get(result(low_rate))
        assert response.status_code == 200
        assert response.context["again"] == []
        assert floor(new_hire).get(result(low_rate)).status_code == 404

    def test_another_kind_has_its_own_page(
        self, floor: Sign, operator: Person, practice: Sitting
    ) -> None:
        assert floor(operator).get(result(practice)).status_code == 302

    def test_it_is_no_exam_and_counts_nowhere_else(
        self, operator: Person, low_rate: Sitting
    ) -> None:
        judge_all(low_rate, wrongly=2)
        assert not find_sittings().exists()
        assert SittingEnd.objects.get(sitting=low_rate).result == "undecided"


class TestDue:
    def test_once_a_quarter(
        self, operator: Person, low_rate: Sitting, plans: dict[str, ExamPlan]
    ) -> None:
        assert low_rate_due(operator, TODAY).due
        judge_all(low_rate)
        found = low_rate_due(operator, TODAY)
        assert (found.due, found.last, found.until) == (False, TODAY, dt.date(2026, 12, 31))
        assert low_rate_due(operator, dt.date(2027, 1, 1)).due

    def test_it_is_not_possible_with_a_small_pool(
        self, operator: Person, bank: SimpleNamespace
    ) -> None:
        assert not low_rate_due(operator, TODAY).possible

    def test_rounds_add_up_for_the_person_and_the_plant(
        self, operator: Person, trainer: Person, low_rate: Sitting, plans: dict[str, ExamPlan]
    ) -> None:
        judge_all(low_rate, wrongly=1)
        other = start_low_rate(person=trainer, plan=plans["practice"], moment=NOON, seed="b")
        judge_all(other)
        assert len(low_rate_rounds(operator)) == 1
        plant = plant_low_rate(TODAY)
        bad = sum(each.presented.filter(part="bad").count() for each in (low_rate, other))
        assert (plant.people, plant.rounds) == (2, 2)
        assert (plant.missed.errors, plant.missed.of) == (1, bad)
