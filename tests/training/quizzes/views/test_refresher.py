"""The refresher: which families and why, starting it, and that it is never evidence."""

from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from certification.certificates.services import grant_from_sitting
from tests.conftest import NOON, TODAY
from tests.training.quizzes.bank import right_answer, wrong_answer
from training.people.models import Person
from training.quizzes.models import ExamPlan, Sitting, SittingEnd
from training.quizzes.selectors.refresher import known_of
from training.quizzes.services.judging import record_judgements
from training.quizzes.services.low_rate import start_low_rate
from training.quizzes.services.refresher import start_refresher
from training.specimens.models import Pool, Specimen

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
ADDRESS = "/practice/refresher/"


def judge_all(sitting: Sitting, *, wrongly: int = 0) -> None:
    """Judge every part; the first so many bad ones are let through."""
    answers = []
    for presented in sitting.presented.select_related("decision", "specimen__family").order_by(
        "ordinal"
    ):
        wrong = presented.decision.decision == "reject" and wrongly > 0
        wrongly -= wrong
        answers.append((wrong_answer if wrong else right_answer)(presented, NOON))
    record_judgements(sitting=sitting, answers=answers, moment=NOON)


class TestPage:
    def test_it_says_why(
        self, floor: Sign, operator: Person, bank: SimpleNamespace, plans: object
    ) -> None:
        page = floor(operator).get(ADDRESS).content.decode()
        assert "Black specks" in page
        assert "Not practised yet." in page

    def test_after_a_miss_it_says_how_many(
        self, floor: Sign, operator: Person, practice: Sitting
    ) -> None:
        judge_all(practice, wrongly=2)
        bad = SittingEnd.objects.get().counts["families"]["black-specks"]["bad"]
        page = floor(operator).get(ADDRESS).content.decode()
        assert f"Missed 2 of {bad} bad parts in the last rounds." in page

    def test_with_nothing_to_refresh_it_says_so(
        self, floor: Sign, operator: Person, practice: Sitting
    ) -> None:
        judge_all(practice)
        client = floor(operator)
        page = client.get(ADDRESS).content.decode()
        assert "Nothing needs refreshing now." in page or "Your own limit" in page

    def test_an_empty_pool(self, floor: Sign, operator: Person, plans: object) -> None:
        client = floor(operator)
        assert "Nothing needs refreshing now." in client.get(ADDRESS).content.decode()
        response = client.post(ADDRESS, follow=True)
        assert "Nothing needs refreshing yet" in response.content.decode()
        assert not Sitting.objects.exists()

    def test_wrong_method_and_no_plan(
        self, floor: Sign, operator: Person, bank: SimpleNamespace
    ) -> None:
        client = floor(operator)
        assert client.delete(ADDRESS).status_code == 405
        assert "No practice plan" in client.post(ADDRESS, follow=True).content.decode()

    def test_queries(
        self,
        floor: Sign,
        operator: Person,
        bank: SimpleNamespace,
        plans: object,
        django_assert_max_num_queries: Callable[..., object],
    ) -> None:
        client = floor(operator)
        with django_assert_max_num_queries(24):  # type: ignore[attr-defined]
            client.get(ADDRESS)


class TestRound:
    def test_it_goes_to_the_booth_and_answers_at_once(
        self, floor: Sign, operator: Person, bank: SimpleNamespace, plans: object
    ) -> None:
        client = floor(operator)
        response = client.post(ADDRESS)
        sitting = Sitting.objects.get()
        assert response.url == reverse("quizzes:booth", args=[sitting.pk])  # type: ignore[attr-defined]
        assert (sitting.kind, sitting.person) == ("refresher", operator)
        assert sitting.worked_plan["draw"]["why"][0]["why"] == "never"
        assert "Refresher: Black specks" in client.get(response.url).content.decode()  # type: ignore[attr-defined]

    def test_what_was_missed_comes_again_first(
        self, operator: Person, practice: Sitting, plans: dict[str, ExamPlan]
    ) -> None:
        judge_all(practice, wrongly=3)
        missed = known_of(operator, TODAY, ["black-specks"]).missed_before
        assert missed
        sitting = start_refresher(person=operator, plan=plans["practice"], moment=NOON, seed="s")
        shown = {str(pk) for pk in sitting.presented.values_list("specimen", flat=True)}
        assert missed <= shown

    def test_it_is_drawn_from_teaching_and_bars_from_the_exam(
        self, operator: Person, bank: SimpleNamespace, plans: dict[str, ExamPlan]
    ) -> None:
        sitting = start_refresher(person=operator, plan=plans["practice"], moment=NOON, seed="s")
        rows = Specimen.objects.filter(presented__sitting=sitting)
        assert set(rows.values_list("pool", flat=True)) == {Pool.TEACHING}
        assert not rows.filter(answer_shown_at=None).exists()


@pytest.mark.parametrize("start", [start_refresher, start_low_rate])
def test_no_certificate_rests_on_it(
    operator: Person,
    quality: Person,
    low_rate_bank: SimpleNamespace,
    plans: dict[str, ExamPlan],
    start: Callable[..., Sitting],
) -> None:
    sitting = start(person=operator, plan=plans["practice"], moment=NOON, seed="s")
    judge_all(sitting)
    end = SittingEnd.objects.get(sitting=sitting)
    assert (end.result, end.families_passed) == ("undecided", [])
    with pytest.raises(ValidationError, match="decides nothing"):
        grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON)
