"""Which answers count for a specimen: the first, in an exam, under the decision in force."""

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from types import SimpleNamespace

import pytest

from tests.conftest import NOON, TODAY
from tests.training.quizzes.answered import write_sitting
from tests.training.quizzes.bank import ELSEWHERE, right_answer, wrong_answer
from tests.training.quizzes.turning import LATER, first, sit, turn
from training.people.models import Person
from training.people.record.chain import append
from training.quizzes.models import Presented, Sitting
from training.quizzes.selectors.specimen_answers import AnswerBook, answer_book
from training.quizzes.services.judging import record_judgements
from training.quizzes.services.rescoring import rescore
from training.specimens.models import ReferenceDecision, Specimen

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


def judge(
    sitting: Sitting,
    how_many: int,
    answer: Callable[..., object] = right_answer,
    moment: dt.datetime = NOON,
) -> list[Presented]:
    """Answer the first parts of a sitting, each the same way."""
    rows = sitting.presented.select_related("decision", "specimen__family").order_by("ordinal")
    shown = list(rows[:how_many])
    given = [answer(each, moment) for each in shown]
    record_judgements(sitting=sitting, answers=given, moment=moment)  # type: ignore[arg-type]
    return shown


def book() -> AnswerBook:
    return answer_book(TODAY)


def test_right_and_wrong_are_ruled_as_in_the_exam(exam: Sitting, operator: Person) -> None:
    judge(exam, 3)
    shown = list(exam.presented.select_related("decision", "specimen__family").order_by("ordinal"))
    record_judgements(sitting=exam, answers=[wrong_answer(shown[3], NOON)], moment=NOON)
    found = book().answers
    assert [each.right for each in found] == [True, True, True, False]
    assert {each.person_id for each in found} == {operator.pk}
    assert [each.bad for each in found] == [
        each.decision.decision == "reject" for each in shown[:4]
    ]


def test_the_right_answer_at_the_wrong_place_is_a_miss(exam: Sitting) -> None:
    bad = exam.presented.select_related("decision", "specimen__family").filter(
        decision__decision="reject"
    )
    first = bad.order_by("ordinal")[0]
    judge(exam, first.ordinal - 1)
    given = right_answer(first, NOON, place=ELSEWHERE)
    record_judgements(sitting=exam, answers=[given], moment=NOON)
    assert book().answers[-1].right is False


def test_practice_is_an_exposure_and_no_answer(practice: Sitting, operator: Person) -> None:
    judge(practice, 2)
    found = book()
    assert found.answers == ()
    # Two judged, the next, and those the device may hold ahead.
    assert {frozenset(each.people) for each in found.exposures.values()} == {
        frozenset([operator.pk])
    }


def test_only_the_first_meeting_of_a_person_counts(exam: Sitting, operator: Person) -> None:
    shown = judge(exam, 3)
    decisions = [each.decision for each in shown]
    wrong = {shown[0].specimen_id}
    write_sitting("S-0900", operator, exam.plan, decisions, wrong, NOON + dt.timedelta(days=200))
    found = book()
    assert [each.right for each in found.answers] == [True, True, True]
    assert found.exposures[shown[0].specimen_id].last == NOON + dt.timedelta(days=200)
    assert len(found.exposures[shown[0].specimen_id].people) == 1


def test_two_people_count_for_one_specimen(
    exam: Sitting, open_exam: Callable[..., Sitting], new_hire: Person, operator: Person
) -> None:
    judge(exam, 4)
    judge(open_exam(new_hire), 4)
    found = book()
    assert len(found.answers) == 8
    assert {each.new for each in found.answers if each.person_id == new_hire.pk} == {True}
    assert {each.new for each in found.answers if each.person_id == operator.pk} == {False}


def test_an_answer_under_a_decision_since_changed_is_left_out(
    exam: Sitting, plant: SimpleNamespace
) -> None:
    first = judge(exam, 1)[0]
    other = "accept" if first.decision.decision == "reject" else "reject"
    append(
        ReferenceDecision(
            specimen=first.specimen,
            work_instruction=plant.sheet,
            decision=other,
            action="segregate" if other == "reject" else "keep_running",
            basis="quality",
            severity_ratio=first.decision.severity_ratio,
        ),
        moment=NOON,
    )
    found = book()
    assert found.answers == ()
    assert dict(found.other_key) == {first.specimen_id: 1}


@pytest.mark.parametrize(("times", "lost"), [("1.01", 0), ("1.25", 1)])
def test_a_part_settled_once_more_is_the_same_question_and_a_moved_limit_another(
    exam: Sitting, plant: SimpleNamespace, times: str, lost: int
) -> None:
    shown = judge(exam, 24)
    first = next(each for each in shown if each.decision.severity_ratio)
    append(
        ReferenceDecision(
            specimen=first.specimen,
            work_instruction=plant.sheet,
            decision=first.decision.decision,
            action=first.decision.action,
            basis="panel",
            severity_ratio=(first.decision.severity_ratio or 0) * Decimal(times),
        ),
        moment=NOON,
    )
    assert len(book().answers) == 24 - lost


def test_it_can_be_narrowed_to_some_specimens(exam: Sitting) -> None:
    first = judge(exam, 3)[0]
    found = answer_book(TODAY, [first.specimen_id])
    assert [each.specimen_id for each in found.answers] == [first.specimen_id]


def test_its_queries_do_not_grow_with_the_answers(
    exam: Sitting, count_queries: Callable[..., int]
) -> None:
    judge(exam, 1)
    few = count_queries(book)
    shown = list(exam.presented.select_related("decision", "specimen__family").order_by("ordinal"))
    record_judgements(
        sitting=exam, answers=[right_answer(each, NOON) for each in shown[1:9]], moment=NOON
    )
    assert count_queries(book) == few <= 10


class TestKept:
    """Rows of ended sittings are read once by a process and say the same as when read anew."""

    def test_it_says_the_same_as_when_everything_is_read(
        self, exam: Sitting, open_exam: Callable[..., Sitting], new_hire: Person
    ) -> None:
        sit(exam, missed=1)
        judge(open_exam(new_hire), 5)
        every = list(Specimen.objects.values_list("pk", flat=True))
        assert book() == book() == answer_book(TODAY, every)

    def test_what_has_ended_is_not_read_again(
        self,
        exam: Sitting,
        open_exam: Callable[..., Sitting],
        new_hire: Person,
        count_queries: Callable[..., int],
    ) -> None:
        sit(exam)
        most = count_queries(book)
        assert count_queries(book) == most - 1
        judge(open_exam(new_hire), 2)
        found = book()
        assert count_queries(book) == most
        assert len(found.answers) == len(exam.presented.all()) + 2

    def test_an_exam_scored_again_counts_under_its_newest_decision(
        self, exam: Sitting, bank: SimpleNamespace, quality: Person
    ) -> None:
        sit(exam, missed=1)
        part = first(exam, "reject")
        before = len(book().answers)
        assert [each.right for each in book().answers if each.specimen_id == part.pk] == [False]
        turn(part, quality, bank)
        assert dict(book().other_key) == {part.pk: 1}
        rescore(sitting=exam, by=quality, moment=LATER)
        found = book()
        assert found.other_key == {}
        assert len(found.answers) == before
        (again,) = [each for each in found.answers if each.specimen_id == part.pk]
        assert (again.bad, again.right) == (False, True)
