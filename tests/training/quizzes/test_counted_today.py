"""Practice, refreshers, the plan's review and the next try read an exam by its newest scoring."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client

from tests.conftest import TODAY
from tests.training.quizzes.turning import LATER, first, sit, turn
from training.people.models import Person
from training.quizzes.models import ExamPlan, Sitting, SittingEnd
from training.quizzes.refreshing import FamilyState
from training.quizzes.selectors.plan_reviews import PlanYear, plan_year
from training.quizzes.selectors.refresher import known_of
from training.quizzes.selectors.report import report_of
from training.quizzes.selectors.tries import families_not_passed, tries_of
from training.quizzes.selectors.turned import counted_each, decisions_counted, resting_on
from training.quizzes.services.rescoring import rescore
from training.quizzes.turned_words import ended_exams, resting_lines

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
SLUG = "black-specks"


@pytest.fixture
def passed(exam: Sitting, bank: SimpleNamespace, quality: Person) -> Sitting:
    """An exam passed with one missed; then a good part that was accepted turned out bad."""
    sit(exam, missed=1)
    turn(first(exam, "accept"), quality, bank)
    return exam


@pytest.fixture
def lost(exam: Sitting, bank: SimpleNamespace, quality: Person) -> Sitting:
    """An exam stopped after two were missed; then the first of them turned out good."""
    sit(exam, missed=2)
    turn(first(exam, "reject"), quality, bank)
    return exam


def again(sitting: Sitting, by: Person) -> None:
    rescore(sitting=sitting, by=by, moment=LATER)


def state(person: Person) -> FamilyState:
    (found,) = known_of(person, TODAY, [SLUG]).states
    return found


def year(plans: dict[str, ExamPlan]) -> PlanYear:
    return plan_year(plans["short-bank"], TODAY - dt.timedelta(days=30), TODAY, LATER)


class TestRefresher:
    def test_the_misses_are_those_of_today(
        self, passed: Sitting, operator: Person, quality: Person
    ) -> None:
        before = state(operator)
        again(passed, quality)
        after = state(operator)
        assert (after.missed, after.bad) == (before.missed + 1, before.bad + 1)
        assert after.good == before.good - 1

    def test_a_part_that_turned_was_judged_rightly_or_wrongly_as_it_counts_today(
        self, lost: Sitting, operator: Person, quality: Person
    ) -> None:
        turned = str(first(lost, "reject").pk)
        assert turned in known_of(operator, TODAY, [SLUG]).missed_before
        again(lost, quality)
        assert turned not in known_of(operator, TODAY, [SLUG]).missed_before


class TestReview:
    def test_a_pass_that_was_taken_back_counts_as_not_passed(
        self, passed: Sitting, plans: dict[str, ExamPlan], quality: Person
    ) -> None:
        before = year(plans)
        assert (before.everybody.passed, before.everybody.of) == (1, 1)
        again(passed, quality)
        after = year(plans)
        assert (after.everybody.passed, after.everybody.of) == (0, 1)
        assert [each.passed for each in (*after.by_language, *after.by_crew)] == [0, 0]

    def test_what_decides_nothing_any_more_is_no_sitting_decided(
        self, lost: Sitting, plans: dict[str, ExamPlan], quality: Person
    ) -> None:
        assert year(plans).everybody.of == 1
        again(lost, quality)
        after = year(plans)
        assert (after.everybody.of, after.broken_off, after.judged) == (0, 1, None)


class TestNextTry:
    def test_an_exam_that_is_not_passed_any_more_waits_for_coaching(
        self, passed: Sitting, operator: Person, quality: Person
    ) -> None:
        assert families_not_passed(passed) == []
        again(passed, quality)
        assert families_not_passed(passed) == [SLUG]
        assert [each.passed for each in tries_of(operator, [SLUG])[SLUG]] == [False]

    def test_an_exam_that_decides_nothing_any_more_is_no_try(
        self, lost: Sitting, operator: Person, quality: Person
    ) -> None:
        assert [each.passed for each in tries_of(operator, [SLUG])[SLUG]] == [False]
        again(lost, quality)
        assert tries_of(operator, [SLUG]) == {}
        assert families_not_passed(lost) == []


def test_the_result_says_what_comes_next_by_the_newest_scoring(
    passed: Sitting, operator: Person, quality: Person, floor: Sign
) -> None:
    address = f"/sittings/{passed.pk}/result/"
    before = floor(operator).get(address).context["next_steps"]
    assert not any("Read the lesson again" in step for step in before)
    again(passed, quality)
    page = floor(operator).get(address)
    assert any("Read the lesson again" in step for step in page.context["next_steps"])
    # What was said on the day stays on the page.
    assert page.context["result"].end.result == "passed"
    assert page.context["before"].word == "Passed"
    assert page.context["counts_as"].word == "Not passed"
    assert "Scored again since; it counts as:" in page.content.decode()


def test_what_rests_on_a_specimen_shows_what_it_counts_as(passed: Sitting, quality: Person) -> None:
    part = first(passed, "accept")
    assert [each.word for each in ended_exams(part.pk).rows] == ["Passed"]
    again(passed, quality)
    assert [each.word for each in ended_exams(part.pk).rows] == ["Not passed"]
    assert [each.result_word for each in resting_lines(resting_on(part.pk))] == ["Not passed"]


class TestReport:
    """A part that turned changes its side, as in the exam's own counts."""

    def missed(self, person: Person) -> tuple[int, int]:
        report = report_of(person)
        assert report is not None
        tally = report.families[0].tally.missed
        return tally.errors, tally.of

    def test_a_good_part_that_was_bad(
        self, passed: Sitting, operator: Person, quality: Person
    ) -> None:
        errors, of = self.missed(operator)
        again(passed, quality)
        assert self.missed(operator) == (errors + 1, of + 1)

    def test_a_bad_part_that_was_good(
        self, lost: Sitting, operator: Person, quality: Person
    ) -> None:
        errors, of = self.missed(operator)
        again(lost, quality)
        assert self.missed(operator) == (errors - 1, of - 1)


class TestOnePlace:
    def test_an_exam_counts_as_its_end_until_it_is_scored_again(
        self, passed: Sitting, quality: Person
    ) -> None:
        end = SittingEnd.objects.get()
        assert counted_each([end]) == {passed.pk: end}
        again(passed, quality)
        assert counted_each([end])[passed.pk].result == "not_passed"
        assert counted_each([end], until=LATER - dt.timedelta(seconds=1)) == {passed.pk: end}

    def test_the_decisions_it_counts_under_are_the_newest_of_each_part(
        self, passed: Sitting, bank: SimpleNamespace, quality: Person
    ) -> None:
        part = first(passed, "accept")
        again(passed, quality)
        assert decisions_counted([passed.pk])[passed.pk, part.pk].decision == "reject"
        turn(part, quality, bank, LATER + dt.timedelta(minutes=1))
        rescore(sitting=passed, by=quality, moment=LATER + dt.timedelta(minutes=2))
        assert decisions_counted([passed.pk])[passed.pk, part.pk].decision == "accept"

    def test_it_costs_one_query(
        self, passed: Sitting, count_queries: Callable[[Callable[[], object]], int]
    ) -> None:
        ends = list(SittingEnd.objects.all())
        assert count_queries(lambda: counted_each(ends)) == 1
        assert count_queries(lambda: decisions_counted([passed.pk])) == 1
