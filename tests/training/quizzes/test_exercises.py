"""Exercises on parts shown together: what is laid out, what is kept, what it leaves untouched."""

import datetime as dt
import uuid
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.test import Client

from tests.conftest import NOON, TODAY
from tests.training.quizzes.bank import fill, right_answer
from tests.training.quizzes.conftest import LONG_AGO
from tests.training.quizzes.sets import contrasts, ladder, look_alike
from training.floor.models import Family
from training.people.models import ChainHead, Person
from training.people.record.verify import verify
from training.quizzes.exercises import Exercise, longest_ago, starts, steps_of
from training.quizzes.models import ExamPlan, Judgement, Presented, Sitting, SittingEnd
from training.quizzes.selectors.bank import bank_for
from training.quizzes.selectors.exercises import step_results
from training.quizzes.selectors.practice import practice_groups
from training.quizzes.selectors.progress import progress_of
from training.quizzes.selectors.refresher import known_of
from training.quizzes.selectors.repeatability import over_all, within
from training.quizzes.selectors.report import own_eyes
from training.quizzes.services.exercises import record_step, start_exercise
from training.quizzes.services.judging import RefusedError, record_judgements
from training.quizzes.services.opening import start_practice
from training.specimens.models import Pool, Specimen

pytestmark = pytest.mark.django_db


@pytest.fixture
def taught(bank: SimpleNamespace) -> SimpleNamespace:
    fill(bank, bank.burn, bad=4, good=1, moment=LONG_AGO, pool=Pool.TEACHING)
    return bank


def begin(
    exercise: Exercise,
    person: Person,
    plans: dict[str, ExamPlan],
    *families: Family,
    seed: str = "witness",
    moment: dt.datetime = NOON,
) -> Sitting:
    return start_exercise(
        person=person,
        exercise=exercise,
        families=families,
        plan=plans["practice"],
        moment=moment,
        seed=seed,
    )


def say(sitting: Sitting, number: int, choice: str, key: uuid.UUID | None = None) -> None:
    record_step(
        sitting=sitting,
        number=number,
        choice=choice,
        answer_id=key or uuid.uuid4(),
        judging_ms=3000,
        answered_at=NOON,
        moment=NOON,
    )


def right(sitting: Sitting, number: int) -> str:
    """The choice that tells a contrast rightly."""
    progress = progress_of(sitting)
    step = steps_of(progress.plan.draw)[number - 1]
    first = progress.by_ordinal[step.ordinals[0]]
    return "1" if first.decision.decision == "reject" else "2"


class TestContrasts:
    def test_every_pair_is_laid_out_and_judged_as_two_parts(
        self, taught: SimpleNamespace, plans: dict[str, ExamPlan], operator: Person
    ) -> None:
        contrasts(taught)
        sitting = begin(Exercise.CONTRAST, operator, plans, taught.specks)
        assert sitting.presented.count() == 6
        for number in (1, 2, 3):
            say(sitting, number, right(sitting, number))
        results = step_results(progress_of(sitting))
        assert [result.told for result in results.values()] == [True] * 3
        end = SittingEnd.objects.get(sitting=sitting)
        assert (end.reason, end.result) == ("complete", "undecided")
        assert end.counts["families"]["black-specks"]["missed"] == 0
        assert end.counts["good"] == 3

    def test_the_wrong_choice_is_a_miss_and_a_false_reject(
        self, taught: SimpleNamespace, plans: dict[str, ExamPlan], operator: Person
    ) -> None:
        contrasts(taught, 1)
        sitting = begin(Exercise.CONTRAST, operator, plans, taught.specks)
        say(sitting, 1, "2" if right(sitting, 1) == "1" else "1")
        assert not step_results(progress_of(sitting))[1].told
        counts = SittingEnd.objects.get(sitting=sitting).counts
        assert counts["families"]["black-specks"]["missed"] == 1
        assert counts["false_rejects"] == 1

    def test_the_place_on_the_page_tells_nothing(
        self, taught: SimpleNamespace, plans: dict[str, ExamPlan], operator: Person
    ) -> None:
        contrasts(taught, 1)
        firsts = set()
        for n in range(12):
            sitting = begin(Exercise.CONTRAST, operator, plans, taught.specks, seed=str(n))
            firsts.add(right(sitting, 1))
        assert firsts == {"1", "2"}

    def test_the_same_answer_may_come_twice(
        self, taught: SimpleNamespace, plans: dict[str, ExamPlan], operator: Person
    ) -> None:
        contrasts(taught)
        sitting, key = begin(Exercise.CONTRAST, operator, plans, taught.specks), uuid.uuid4()
        say(sitting, 1, "1", key)
        say(sitting, 1, "1", key)
        assert Judgement.objects.count() == 2
        with pytest.raises(RefusedError, match="another answer"):
            say(sitting, 1, "2", key)
        with pytest.raises(RefusedError, match="judged already"):
            say(sitting, 1, "1")

    @pytest.mark.parametrize(("number", "choice"), [(0, "1"), (9, "1"), (1, "3"), (1, "")])
    def test_what_the_page_does_not_offer_is_refused(
        self,
        taught: SimpleNamespace,
        plans: dict[str, ExamPlan],
        operator: Person,
        number: int,
        choice: str,
    ) -> None:
        contrasts(taught)
        sitting = begin(Exercise.CONTRAST, operator, plans, taught.specks)
        with pytest.raises(ValidationError):
            say(sitting, number, choice)
        assert not Judgement.objects.exists()

    def test_without_a_set_it_says_so(
        self, taught: SimpleNamespace, plans: dict[str, ExamPlan], operator: Person
    ) -> None:
        with pytest.raises(ValidationError, match="no set"):
            begin(Exercise.CONTRAST, operator, plans, taught.burn)
        assert not Sitting.objects.exists()


class TestLookAlikes:
    def test_naming_rightly_and_wrongly(
        self, taught: SimpleNamespace, plans: dict[str, ExamPlan], operator: Person
    ) -> None:
        look_alike(taught)
        outcomes = set()
        for choice in ("1", "2"):
            sitting = begin(Exercise.LOOK_ALIKE, operator, plans, taught.burn)
            assert set(sitting.families) == {"black-specks", "burn"}
            say(sitting, 1, choice)
            result = step_results(progress_of(sitting))[1]
            assert [each.answer for each in result.judgements] == ["reject", "reject"]
            outcomes.add(result.told)
        assert outcomes == {True, False}


class TestFindTheLimit:
    def test_three_settings_from_both_ends_and_the_middle(
        self, taught: SimpleNamespace, plans: dict[str, ExamPlan], operator: Person
    ) -> None:
        ladder(taught)
        sitting = begin(Exercise.FIND_LIMIT, operator, plans, taught.specks)
        steps = steps_of(sitting.worked_plan["draw"])
        assert sorted(step.start for step in steps) == [0, 4, 7]
        assert sitting.presented.count() == 24
        for number, accepted in enumerate((4, 3, 5), start=1):
            say(sitting, number, str(accepted))
        answers = [
            [judgement.answer for judgement in result.judgements].count("accept")
            for result in step_results(progress_of(sitting)).values()
        ]
        assert answers == [4, 3, 5]
        # Each rung was judged three times over: 6 of 8 the same each time, 2 changed once or twice.
        found = within(progress_of(sitting))
        assert (found.same, found.pairs) == (13, 16)

    def test_settings_enter_no_own_limit_and_the_report_says_so(
        self,
        taught: SimpleNamespace,
        plans: dict[str, ExamPlan],
        operator: Person,
        floor: Callable[[Person], Client],
    ) -> None:
        """The fit takes each judgement as one of a part by itself; rungs of a setting are not."""
        ladder(taught)
        sitting = begin(Exercise.FIND_LIMIT, operator, plans, taught.specks)
        for number in (1, 2, 3):
            say(sitting, number, "4")
        assert SittingEnd.objects.filter(sitting=sitting).exists()
        assert own_eyes(operator, ["black-specks"])["black-specks"].measured == 0
        practised = start_practice(
            person=operator,
            families=[taught.specks],
            plan=plans["practice"],
            moment=NOON,
            seed="witness",
        )
        rows = practised.presented.select_related("decision", "specimen__family")
        answers = [right_answer(row, NOON) for row in rows.order_by("ordinal")]
        record_judgements(sitting=practised, answers=answers, moment=NOON)
        page = floor(operator).get(f"/eyes/{operator.pk}/").content.decode()
        assert "“find the limit” too, are left out" in page

    @pytest.mark.parametrize("choice", ["9", "-1", "x", ""])
    def test_a_line_beyond_the_ladder_is_refused(
        self, taught: SimpleNamespace, plans: dict[str, ExamPlan], operator: Person, choice: str
    ) -> None:
        ladder(taught)
        sitting = begin(Exercise.FIND_LIMIT, operator, plans, taught.specks)
        with pytest.raises(ValidationError):
            say(sitting, 1, choice)

    def test_starts_are_shuffled_and_cover_the_ladder(self) -> None:
        found = {tuple(starts(8, seed=str(n))) for n in range(40)}
        assert len(found) > 3
        assert all(set(each) == {0, 4, 7} for each in found)


class TestWhatItLeavesAlone:
    @pytest.mark.parametrize("exercise", list(Exercise))
    def test_the_exam_pool_is_untouched_and_what_was_shown_never_examines(
        self,
        taught: SimpleNamespace,
        plans: dict[str, ExamPlan],
        operator: Person,
        exercise: Exercise,
    ) -> None:
        ladder(taught)
        contrasts(taught)
        look_alike(taught)
        sitting = begin(exercise, operator, plans, taught.specks, taught.burn)
        shown = set(Presented.objects.filter(sitting=sitting).values_list("specimen", flat=True))
        rows = Specimen.objects.filter(pk__in=shown)
        assert set(rows.values_list("pool", flat=True)) == {Pool.TEACHING}
        assert not rows.filter(answer_shown_at=None).exists()
        assert not Specimen.objects.filter(pool=Pool.EXAM).exclude(answer_shown_at=None).exists()
        # Even if somebody put them into the exam pool, they would not examine this person.
        rows.update(pool=Pool.EXAM)
        bank = bank_for(operator, pool=Pool.EXAM, day=TODAY)
        assert not {row.specimen_id for row in bank.rows.values()} & shown

    def test_judgements_of_pairs_count_nowhere_as_judgements_of_a_part(
        self, taught: SimpleNamespace, plans: dict[str, ExamPlan], operator: Person
    ) -> None:
        contrasts(taught, 1)
        sitting = begin(Exercise.CONTRAST, operator, plans, taught.specks)
        say(sitting, 1, "2" if right(sitting, 1) == "1" else "1")
        (group,) = [g for g in practice_groups(operator, TODAY) if g.group == taught.spots]
        assert all(row.last is None for row in group.rows)
        (state,) = known_of(operator, TODAY, ["black-specks"]).states
        assert (state.bad, state.missed, state.days) == (0, 0, None)
        assert over_all(operator).pairs == 0

    def test_the_record_holds(
        self, taught: SimpleNamespace, plans: dict[str, ExamPlan], operator: Person
    ) -> None:
        contrasts(taught, 1)
        sitting = begin(Exercise.CONTRAST, operator, plans, taught.specks)
        say(sitting, 1, "1")
        assert ChainHead.objects.get(name=sitting.own_chain).position == 5
        assert verify().breaks == ()


def test_sets_not_met_come_first_then_those_met_longest_ago() -> None:
    sets = [("a", 3), ("b", None), ("c", 40), ("d", None)]
    found = longest_ago(sets, 4, seed="s")
    assert set(found[:2]) == {"b", "d"}
    assert found[2:] == ["c", "a"]
