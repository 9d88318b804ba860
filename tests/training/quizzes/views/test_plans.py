"""The plans: what is in force, whom it lets through by size of group, and publishing the first."""

from collections.abc import Callable

import pytest
from django.test import Client

from training.people.models import Person
from training.quizzes.models import ExamPlan

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
LIST, PUBLISH = "/plans/", "/plans/defaults/"


def address(code: str) -> str:
    return f"/plans/{code}/"


class TestList:
    def test_it_lists_what_passes(
        self, office: Sign, quality: Person, plans: dict[str, ExamPlan]
    ) -> None:
        rows = office(quality).get(LIST).context["rows"]
        assert {row["plan"].code for row in rows} == set(plans)
        assert all(row["rules"] for row in rows if row["plan"].form != "practice")

    def test_without_plans_quality_is_offered_the_defaults(
        self, office: Sign, quality: Person, trainer: Person
    ) -> None:
        button = "Publish the default plans"
        assert button in office(quality).get(LIST).content.decode()
        assert button not in office(trainer).get(LIST).content.decode()

    def test_operators_may_not(self, floor: Sign, operator: Person) -> None:
        assert floor(operator).get(LIST).status_code == 403

    def test_wrong_method(self, office: Sign, quality: Person) -> None:
        assert office(quality).post(LIST).status_code == 405

    def test_queries(
        self,
        office: Sign,
        quality: Person,
        plans: dict[str, ExamPlan],
        count_queries: Callable[..., int],
    ) -> None:
        client = office(quality)
        assert count_queries(lambda: client.get(LIST)) <= 11


class TestPublish:
    def test_quality_publishes_and_a_second_time_makes_none(
        self, office: Sign, quality: Person
    ) -> None:
        client = office(quality)
        client.post(PUBLISH)
        made = ExamPlan.objects.count()
        assert made >= 3
        assert set(ExamPlan.objects.values_list("published_by", flat=True)) == {quality.pk}
        response = client.post(PUBLISH, follow=True)
        assert ExamPlan.objects.count() == made
        assert "0 plans are in force." in response.content.decode()

    def test_trainers_may_not(self, office: Sign, trainer: Person) -> None:
        assert office(trainer).post(PUBLISH).status_code == 403
        assert not ExamPlan.objects.exists()

    def test_wrong_method(self, office: Sign, quality: Person) -> None:
        assert office(quality).get(PUBLISH).status_code == 405


class TestDetail:
    @pytest.mark.parametrize("code", ["group", "short-bank", "practice"])
    def test_each_default_plan_is_shown(
        self, office: Sign, quality: Person, plans: dict[str, ExamPlan], code: str
    ) -> None:
        response = office(quality).get(address(code))
        assert response.status_code == 200
        assert response.context["in_force"]

    def test_a_larger_group_is_asked_more(
        self, office: Sign, quality: Person, plans: dict[str, ExamPlan]
    ) -> None:
        client = office(quality)
        sizes = client.get(address("group")).context["sizes"]
        totals = [
            client.get(address("group"), {"families": size}).context["numbers"][0][1]
            for size in (sizes[0], sizes[-1])
        ]
        assert totals[0] != totals[1]

    @pytest.mark.parametrize("asked", [{"families": "many"}, {"families": "99"}, {"revision": "9"}])
    def test_what_is_not_there_shows_what_is(
        self, office: Sign, quality: Person, plans: dict[str, ExamPlan], asked: dict[str, str]
    ) -> None:
        response = office(quality).get(address("group"), asked)
        assert (response.status_code, response.context["in_force"]) == (200, True)

    def test_an_unknown_plan(self, office: Sign, quality: Person) -> None:
        assert office(quality).get(address("made-up")).status_code == 404

    def test_operators_may_not(
        self, floor: Sign, operator: Person, plans: dict[str, ExamPlan]
    ) -> None:
        assert floor(operator).get(address("group")).status_code == 403

    def test_wrong_method(self, office: Sign, quality: Person, plans: dict[str, ExamPlan]) -> None:
        assert office(quality).post(address("group")).status_code == 405

    def test_queries(
        self,
        office: Sign,
        quality: Person,
        plans: dict[str, ExamPlan],
        count_queries: Callable[..., int],
    ) -> None:
        client = office(quality)
        assert count_queries(lambda: client.get(address("group"))) <= 16
