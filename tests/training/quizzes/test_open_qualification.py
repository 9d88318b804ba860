"""Opening an exam: what is drawn and chained, and what is refused."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError

from tests.conftest import NOON, TODAY
from tests.training.quizzes.bank import fill, right_answer
from training.people.models import Person
from training.people.record.verify import verify
from training.people.signing import signatures_of
from training.quizzes.models import ExamPlan, Kind, Presented, Sitting
from training.quizzes.selectors.bank import bank_for
from training.quizzes.services.ending import end_sitting
from training.quizzes.services.judging import record_judgements
from training.quizzes.services.opening import start_practice
from training.quizzes.services.plans import publish_plan
from training.specimens.models import PartCopy, Pool, Specimen

DAY = dt.timedelta(days=1)
Open = Callable[..., Sitting]


def shown(sitting: Sitting) -> list[Presented]:
    return list(
        sitting.presented.select_related("decision", "specimen__family").order_by("ordinal")
    )


def sit(sitting: Sitting, moment: dt.datetime) -> None:
    record_judgements(
        sitting=sitting,
        answers=[right_answer(each, moment) for each in shown(sitting)],
        moment=moment,
    )


def test_opening_draws_chains_and_signs(exam: Sitting, trainer: Person, plans: object) -> None:
    rows = shown(exam)
    assert exam.number == "S-0001"
    assert (exam.groups, exam.families) == (["spots"], ["black-specks"])
    assert [row.ordinal for row in rows] == list(range(1, 25))
    assert sum(row.part == "bad" for row in rows) == 12
    assert {row.chain for row in rows} == {exam.chain} == {exam.own_chain}
    signature = signatures_of(exam).get()
    assert (signature.person, signature.chain) == (trainer, "plant")
    assert verify().breaks == ()


def test_the_draw_can_be_made_again_from_the_stored_seed(exam: Sitting, open_exam: Open) -> None:
    first = [row.specimen_id for row in shown(exam)]
    end_sitting(sitting=exam, reason="abandoned", moment=NOON)
    again = open_exam(exam.invigilator, invigilator=exam.person)
    assert [row.specimen_id for row in shown(again)] == first


def test_numbers_follow_each_other(exam: Sitting, open_exam: Open, new_hire: Person) -> None:
    assert open_exam(new_hire).number == "S-0002"
    assert open_exam(exam.invigilator, invigilator=new_hire, number="S-0053").number == "S-0053"


def test_nobody_opens_an_exam_for_themselves(open_exam: Open, trainer: Person) -> None:
    with pytest.raises(ValidationError, match="ask another invigilator"):
        open_exam(trainer)


def test_a_second_exam_waits_for_the_first(exam: Sitting, open_exam: Open) -> None:
    with pytest.raises(ValidationError, match="S-0001 of Otto Operator is still running"):
        open_exam(exam.person)


def test_who_is_not_employed_sits_no_exam(
    open_exam: Open, make_person: Callable[..., Person]
) -> None:
    later = make_person("Lena Later", "operator", hired=TODAY + DAY)
    with pytest.raises(ValidationError, match="not employed on this day"):
        open_exam(later)


def test_practice_plans_open_no_exam(open_exam: Open, operator: Person, plans: dict) -> None:  # type: ignore[type-arg]
    with pytest.raises(ValidationError, match="for practice"):
        open_exam(operator, plan=plans["practice"])
    with pytest.raises(ValidationError, match="for practice"):
        open_exam(operator, kind=Kind.PRACTICE)


def test_a_plan_of_tomorrow_is_not_in_force(
    open_exam: Open, operator: Person, plans: object
) -> None:
    tomorrow = publish_plan(
        code="short-bank",
        form=ExamPlan.Form.SHORT_BANK,
        name={"en": "Short"},
        parameters={},
        reason="Test",
        day=TODAY + DAY,
        published_by=None,
    )
    with pytest.raises(ValidationError, match="not in force yet"):
        open_exam(operator, plan=tomorrow)


def test_a_bank_that_is_too_small_says_what_is_wanted(
    open_exam: Open, operator: Person, plant: SimpleNamespace
) -> None:
    fill(plant, plant.burn, bad=3, good=0, moment=NOON)
    with pytest.raises(ValidationError) as refusal:
        open_exam(operator, families=[plant.burn])
    assert refusal.value.messages == ["Not examinable yet: 5 more bad specimens wanted: Burn mark."]
    assert not Sitting.objects.exists()


def test_what_was_shown_is_not_shown_again_within_180_days(
    open_exam: Open, exam: Sitting, plant: SimpleNamespace
) -> None:
    sit(exam, NOON)
    fresh = {
        each.key
        for each in bank_for(exam.person, pool=Pool.EXAM, day=TODAY + 30 * DAY).candidates
        if each.fresh
    }
    assert fresh.isdisjoint(str(row.specimen_id) for row in shown(exam))
    assert len(fresh) == 4
    with pytest.raises(ValidationError, match="6 more bad specimens wanted"):
        open_exam(exam.person, moment=NOON + 30 * DAY)


def test_the_last_sitting_stays_out_however_long_ago(exam: Sitting) -> None:
    sit(exam, NOON)
    candidates = bank_for(exam.person, pool=Pool.EXAM, day=TODAY + 400 * DAY).candidates
    assert sum(each.fresh for each in candidates) == 4


def test_what_was_drawn_and_never_handed_out_is_still_new(exam: Sitting) -> None:
    end_sitting(sitting=exam, reason="abandoned", moment=NOON)
    candidates = bank_for(exam.person, pool=Pool.EXAM, day=TODAY).candidates
    assert sum(each.seen_days_ago is not None for each in candidates) == 6


def test_what_was_shown_with_its_answer_examines_that_person_no_more(
    practice: Sitting, new_hire: Person
) -> None:
    sit(practice, NOON)
    moved = [row.specimen for row in shown(practice)]
    Specimen.objects.filter(pk__in=[each.pk for each in moved]).update(pool=Pool.EXAM)
    keys = {each.key for each in bank_for(practice.person, pool=Pool.EXAM, day=TODAY).candidates}
    assert keys.isdisjoint(str(each.pk) for each in moved)
    others = {each.key for each in bank_for(new_hire, pool=Pool.EXAM, day=TODAY).candidates}
    assert others.issuperset(str(each.pk) for each in moved)


def test_a_moved_limit_takes_its_specimens_out_of_exams_at_once(
    bank: SimpleNamespace, operator: Person
) -> None:
    before = bank_for(operator, pool=Pool.EXAM, day=TODAY)
    bank.job.work_instructions.create(revision="B", day=TODAY)
    after = bank_for(operator, pool=Pool.EXAM, day=TODAY)
    assert len(before.candidates) == 28
    assert after.candidates == []
    assert after.undecided == {"black-specks": 28}
    yesterday = bank_for(operator, pool=Pool.EXAM, day=TODAY - DAY)
    assert len(yesterday.candidates) == 28
    as_before = bank_for(operator, pool=Pool.EXAM, day=TODAY, limits_of=TODAY - DAY)
    assert len(as_before.candidates) == 28


def test_without_picture_or_outline_a_specimen_waits(
    plant: SimpleNamespace, operator: Person
) -> None:
    fill(plant, plant.burn, bad=2, good=1, moment=NOON, pictured=False)
    rows = fill(plant, plant.specks, bad=2, good=0, moment=NOON)
    rows[0].views.get().regions.all().delete()
    found = bank_for(operator, pool=Pool.EXAM, day=TODAY)
    assert found.without_picture == {"burn": 3}
    assert found.without_outline == {"black-specks": 1}
    assert len(found.candidates) == 1
    parts = bank_for(operator, pool=Pool.EXAM, day=TODAY, pictured_only=False)
    assert {each.family for each in parts.candidates} == {"burn"}
    assert len(parts.candidates) == 3


def test_a_real_part_without_a_copy_to_use_is_not_drawn(
    plant: SimpleNamespace, operator: Person
) -> None:
    rows = fill(plant, plant.burn, bad=2, good=1, moment=NOON, pictured=False)
    PartCopy.objects.filter(specimen=rows[0]).update(expires_day=TODAY - dt.timedelta(days=1))
    parts = bank_for(operator, pool=Pool.EXAM, day=TODAY, pictured_only=False)
    assert len(parts.candidates) == 2
    assert parts.without_copy == {"burn": 1}


def test_jobs_worked_within_a_year_are_own_jobs(
    bank: SimpleNamespace, operator: Person, new_hire: Person
) -> None:
    from training.floor.models import Turn
    from training.people.record.chain import append

    turn = Turn(
        press=bank.press, job=bank.job, person=operator, day=TODAY - 30 * DAY, started_at=NOON
    )
    append(turn, moment=NOON)
    assert all(each.own_job for each in bank_for(operator, pool=Pool.EXAM, day=TODAY).candidates)
    assert not any(
        each.own_job for each in bank_for(new_hire, pool=Pool.EXAM, day=TODAY).candidates
    )
    meant = bank_for(new_hire, pool=Pool.EXAM, day=TODAY, own_jobs={bank.job.pk})
    assert all(each.own_job for each in meant.candidates)


def test_the_bank_costs_the_same_queries_whatever_its_size(
    bank: SimpleNamespace, operator: Person, django_assert_num_queries: Callable[..., object]
) -> None:
    with django_assert_num_queries(4):  # type: ignore[attr-defined]
        bank_for(operator, pool=Pool.EXAM, day=TODAY)
    fill(bank, bank.burn, bad=40, good=40, moment=NOON)
    with django_assert_num_queries(4):  # type: ignore[attr-defined]
        bank_for(operator, pool=Pool.EXAM, day=TODAY)


def test_practice_draws_from_the_teaching_pool_only(practice: Sitting) -> None:
    pools = {row.specimen.pool for row in shown(practice)}
    assert (pools, len(shown(practice))) == ({Pool.TEACHING}, 12)
    assert practice.kind == Kind.PRACTICE
    assert practice.number.startswith("P-")


def test_exam_plans_start_no_practice(
    practice: Sitting, plans: dict[str, ExamPlan], bank: SimpleNamespace
) -> None:
    with pytest.raises(ValidationError, match="for exams"):
        start_practice(
            person=practice.person, families=[bank.specks], plan=plans["group"], moment=NOON
        )
