"""Planning studies, opening rounds, and closing: the services."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError

from certification.certificates.services import grant_from_sitting
from tests.conftest import NOON, TODAY
from tests.training.quizzes.bank import fill
from training.people.models import Person
from training.people.record.verify import verify
from training.quizzes.models import (
    AgreementStudy,
    Kind,
    Presented,
    Sitting,
    SittingEnd,
    StudyRound,
)
from training.quizzes.selectors.results import waiting_exam
from training.quizzes.selectors.studies import (
    State,
    own_rounds,
    progress_of_study,
    study_rows,
    study_table,
)
from training.quizzes.selectors.study_pool import pooled
from training.quizzes.services.ending import end_sitting
from training.quizzes.services.opening import running_exam
from training.quizzes.services.studies import close_study, open_round
from training.quizzes.worked_plan import Form, WorkedPlan
from training.specimens.models import PartCopy, Pool

pytestmark = pytest.mark.django_db
TOMORROW = NOON + dt.timedelta(days=1)


def order(sitting: Sitting) -> list[str]:
    rows = Presented.objects.filter(sitting=sitting).order_by("ordinal")
    return list(rows.values_list("specimen__number", flat=True))


def test_a_study_freezes_its_parts_and_what_they_are(study: AgreementStudy) -> None:
    parts = list(study.parts.select_related("decision"))
    assert study.number == "AG-0001"
    assert len(parts) == 12
    assert sum(part.reference == "reject" for part in parts) == 6
    assert all(part.decision and part.reference == part.decision.decision for part in parts)
    assert [judge.label for judge in study.judges.all()] == ["A", "B"]


@pytest.mark.parametrize("repeats", [1, 6])
def test_two_to_five_repeats(repeats: int, plan_study: Callable[..., AgreementStudy]) -> None:
    with pytest.raises(ValidationError, match="2 to 5 times"):
        plan_study(repeats=repeats)


def test_a_round_shows_every_part_once_and_decides_nothing(
    study: AgreementStudy, sit_round: Callable[..., Sitting], operator: Person
) -> None:
    sitting = sit_round(study.judges.get(position=1), NOON)
    plan = WorkedPlan.from_json(sitting.worked_plan)
    assert (plan.form, plan.total, plan.stop_when_lost) == (Form.STUDY, 12, False)
    assert sorted(order(sitting)) == sorted(part.label for part in study.parts.all())
    end = SittingEnd.objects.get(sitting=sitting)
    assert (end.reason, end.result) == ("complete", "undecided")
    assert end.families_passed == []
    assert not verify().breaks


def test_a_round_full_of_errors_goes_on_to_its_end(
    study: AgreementStudy, sit_round: Callable[..., Sitting]
) -> None:
    everything = tuple(part.label for part in study.parts.all())
    sitting = sit_round(study.judges.get(position=1), NOON, wrong=everything)
    assert SittingEnd.objects.get(sitting=sitting).reason == "complete"
    assert sitting.judgements.filter(scored=True).count() == 12


def test_no_two_rounds_have_the_same_order(
    plan_study: Callable[..., AgreementStudy], sit_round: Callable[..., Sitting]
) -> None:
    study = plan_study(repeats=4)
    first, second = study.judges.all()
    orders = [
        tuple(order(sit_round(judge, NOON + dt.timedelta(days=day))))
        for judge in (first, second)
        for day in range(4)
    ]
    assert len(set(orders)) == 8


def test_the_next_round_waits_for_the_gap(
    study: AgreementStudy, sit_round: Callable[..., Sitting]
) -> None:
    judge = study.judges.get(position=1)
    sit_round(judge, NOON)
    ended = NOON + dt.timedelta(minutes=10)
    with pytest.raises(ValidationError, match="Round 2 opens 26 Nov 2026"):
        sit_round(judge, ended + dt.timedelta(hours=19, minutes=59))
    sit_round(judge, ended + dt.timedelta(hours=20))
    with pytest.raises(ValidationError, match="All rounds of this person are done"):
        sit_round(judge, NOON + dt.timedelta(days=9))


def test_only_one_round_at_a_time(study: AgreementStudy, operator: Person) -> None:
    judge = study.judges.get(position=1)
    open_round(judge=judge, opened_by=operator, moment=NOON)
    with pytest.raises(ValidationError, match="Round 1 is still running"):
        open_round(judge=judge, opened_by=operator, moment=TOMORROW)


def test_a_round_broken_off_is_sat_anew_in_another_order(
    study: AgreementStudy, sit_round: Callable[..., Sitting], operator: Person, quality: Person
) -> None:
    judge = study.judges.get(position=1)
    broken = open_round(judge=judge, opened_by=operator, moment=NOON)
    end_sitting(sitting=broken, reason=SittingEnd.Reason.ABANDONED, moment=NOON, ended_by=quality)
    again = sit_round(judge, NOON + dt.timedelta(minutes=5))
    assert (broken.number, again.number) == ("AG-0001-1-1", "AG-0001-1-1b")
    assert order(broken) != order(again)
    assert StudyRound.objects.get().sitting == again


def test_whoever_left_the_plant_opens_no_round(study: AgreementStudy, operator: Person) -> None:
    operator.employments.update(to_day=TODAY - dt.timedelta(days=1))
    with pytest.raises(ValidationError, match="is not employed"):
        open_round(judge=study.judges.get(position=1), opened_by=operator, moment=NOON)


def test_a_round_is_no_exam_and_certifies_nobody(
    study: AgreementStudy, sit_round: Callable[..., Sitting], operator: Person, quality: Person
) -> None:
    running = open_round(judge=study.judges.get(position=2), opened_by=quality, moment=NOON)
    sitting = sit_round(study.judges.get(position=1), NOON)
    assert sitting.kind == Kind.STUDY
    assert waiting_exam(running.person) is None
    assert running_exam(running.person) is None
    with pytest.raises(ValidationError):
        grant_from_sitting(sitting=sitting, decided_by=quality, moment=TOMORROW)


def test_what_a_round_showed_counts_as_met_but_not_as_told(
    study: AgreementStudy,
    sit_round: Callable[..., Sitting],
    operator: Person,
    bank: SimpleNamespace,
) -> None:
    sit_round(study.judges.get(position=1), NOON)
    found = pooled(
        pool=Pool.EXAM,
        basis=AgreementStudy.Basis.PICTURES,
        families=[bank.specks],
        people=[operator],
        day=TODAY,
    )
    assert sum(offer.met for offer in found.offers) == 12
    assert sum(offer.told for offer in found.offers) == 0


def test_real_parts_need_a_usable_copy_on_the_day(
    plan_study: Callable[..., AgreementStudy], bank: SimpleNamespace, operator: Person
) -> None:
    rows = fill(bank, bank.burn, bad=6, good=6, moment=NOON - dt.timedelta(days=9), pictured=False)
    offered = pooled(
        pool=Pool.EXAM,
        basis=AgreementStudy.Basis.PHYSICAL,
        families=[bank.burn, bank.specks],
        people=[],
        day=TODAY,
    )
    assert {offer.key for offer in offered.offers} == {str(row.pk) for row in rows}
    PartCopy.objects.filter(specimen=rows[0]).update(withdrawn_day=TODAY)
    offered = pooled(
        pool=Pool.EXAM,
        basis=AgreementStudy.Basis.PHYSICAL,
        families=[bank.burn],
        people=[],
        day=TODAY,
    )
    assert len(offered.offers) == 11


def test_progress_says_what_is_due_and_what_waits(
    study: AgreementStudy, sit_round: Callable[..., Sitting], operator: Person, trainer: Person
) -> None:
    first, second = study.judges.all()
    sit_round(first, NOON)
    open_round(judge=second, opened_by=trainer, moment=NOON)
    progress = progress_of_study(study, NOON + dt.timedelta(hours=1))
    states = [[each.state for each in judge.rounds] for judge in progress.judges]
    assert states == [[State.DONE, State.WAITING], [State.RUNNING, State.WAITING]]
    assert (progress.done, progress.wanted, progress.over) == (1, 4, False)
    assert own_rounds(operator, NOON + dt.timedelta(hours=1)) == []
    (due,) = own_rounds(operator, TOMORROW)
    assert (due.round.number, due.running) == (2, False)
    (own,) = own_rounds(trainer, NOON)
    assert own.running
    (row,) = study_rows()
    assert (row.parts, row.judges, row.done, row.wanted, row.running) == (12, 2, 1, 4, True)


def test_closing_early_keeps_the_rounds_that_make_a_full_block(
    study: AgreementStudy, sit_round: Callable[..., Sitting], quality: Person
) -> None:
    first, second = study.judges.all()
    sit_round(first, NOON)
    sit_round(first, TOMORROW)
    sit_round(second, NOON)
    close_study(study=study, closed_by=quality, moment=TOMORROW)
    table = study_table(progress_of_study(study, TOMORROW))
    assert table.answers is not None
    assert (table.rounds, len(table.judges), table.left_out) == (1, 2, ())
    with pytest.raises(ValidationError, match="closed"):
        sit_round(second, TOMORROW + dt.timedelta(days=1))
    with pytest.raises(ValidationError, match="closed"):
        close_study(study=study, closed_by=quality, moment=TOMORROW)


def test_a_study_is_not_closed_under_somebody_who_sits(
    study: AgreementStudy, operator: Person, quality: Person
) -> None:
    open_round(judge=study.judges.get(position=1), opened_by=operator, moment=NOON)
    with pytest.raises(ValidationError, match="A round of A is still running"):
        close_study(study=study, closed_by=quality, moment=TOMORROW)


def test_answers_are_found_again_by_part_and_person(
    study: AgreementStudy, sit_round: Callable[..., Sitting], count_queries: Callable[..., int]
) -> None:
    first, second = study.judges.all()
    odd = study.parts.filter(reference="reject")[0]
    for day in range(2):
        sit_round(first, NOON + dt.timedelta(days=day), wrong=(odd.label,))
        sit_round(second, NOON + dt.timedelta(days=day))
    progress = progress_of_study(study, TOMORROW)
    answers = study_table(progress).answers
    assert answers is not None
    place = answers.parts.index(odd.label)
    assert answers.accepted[place] == ((True, True), (False, False))
    for other, own in enumerate(answers.accepted):
        if other != place:
            assert set(own) == {(answers.reference[other],) * 2}
    assert count_queries(lambda: study_table(progress)) == 3
