"""Recording answers: once, in order, by the person's own sitting, never changed."""

import datetime as dt
import uuid
from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from tests.conftest import NOON
from tests.training.quizzes.bank import ELSEWHERE, IN_PLACE, fill, right_answer, wrong_answer
from training.people.models import Person
from training.people.record.verify import verify
from training.quizzes.models import Judgement, Presented, Sitting, SittingEnd
from training.quizzes.scoring import Counts
from training.quizzes.selectors.progress import progress_of
from training.quizzes.services.ending import end_sitting
from training.quizzes.services.judging import (
    Given,
    Recorded,
    RefusedError,
    Stored,
    record_judgement,
    record_judgements,
)

MINUTE = dt.timedelta(minutes=1)


def shown(sitting: Sitting) -> list[Presented]:
    return list(
        sitting.presented.select_related("decision", "specimen__family").order_by("ordinal")
    )


def record(sitting: Sitting, *given: Given, moment: dt.datetime = NOON) -> Recorded:
    return record_judgements(sitting=sitting, answers=given, moment=moment)


def single(sitting: Sitting, given: Given, moment: dt.datetime = NOON) -> Recorded:
    values: dict[str, Any] = {
        "presented_ordinal": given.ordinal,
        **{name: getattr(given, name) for name in Given.__slots__ if name != "ordinal"},
    }
    return record_judgement(sitting=sitting, moment=moment, **values)


def answers(sitting: Sitting, *, wrong: set[int] = frozenset()) -> list[Given]:  # type: ignore[assignment]
    return [
        (wrong_answer if each.ordinal in wrong else right_answer)(each, NOON)
        for each in shown(sitting)
    ]


def bad_ones(sitting: Sitting) -> list[int]:
    return [each.ordinal for each in shown(sitting) if each.part == "bad"]


def test_an_answer_is_kept_and_chained(exam: Sitting) -> None:
    recorded = single(exam, answers(exam)[0])
    row = Judgement.objects.get()
    assert (recorded.judged, recorded.total, recorded.end) == (1, 24, None)
    assert row.chain == exam.own_chain
    assert row.scored
    assert verify().breaks == ()


def test_the_same_answer_twice_is_one_row_and_the_same_receipt(exam: Sitting) -> None:
    given = answers(exam)[0]
    first = single(exam, given)
    again = single(exam, given, NOON + MINUTE)
    assert Judgement.objects.count() == 1
    assert again.receipts[0].stored is Stored.ALREADY
    assert again.receipts[0].judgement == first.receipts[0].judgement
    assert (again.judged, again.end) == (1, None)


def test_the_same_answer_twice_in_one_batch_is_one_row(exam: Sitting) -> None:
    given = answers(exam)[0]
    stored = [each.stored for each in record(exam, given, given).receipts]
    assert stored == [Stored.SCORED, Stored.ALREADY]
    assert Judgement.objects.count() == 1


def test_another_answer_for_the_same_part_is_a_conflict(exam: Sitting) -> None:
    given = answers(exam)[0]
    single(exam, given)
    with pytest.raises(RefusedError, match="judged already") as refusal:
        single(exam, replace(given, judgement_id=uuid.uuid4()))
    assert refusal.value.code == "conflict"
    assert Judgement.objects.count() == 1


def test_an_identifier_of_another_answer_is_a_conflict(exam: Sitting) -> None:
    first, second = answers(exam)[:2]
    single(exam, first)
    with pytest.raises(RefusedError, match="another answer") as refusal:
        single(exam, replace(second, judgement_id=first.judgement_id))
    assert refusal.value.code == "conflict"


def test_the_same_identifier_with_another_content_is_a_conflict(exam: Sitting) -> None:
    given = answers(exam)[bad_ones(exam)[0] - 1]
    record(exam, *answers(exam)[: given.ordinal - 1], given)
    for changed in (
        {"answer": "accept", "place": None, "family": "", "action": ""},
        {"place": ELSEWHERE},
        {"action": "stop"},
        {"family": "burn"},
    ):
        with pytest.raises(RefusedError, match="another answer"):
            single(exam, replace(given, **changed))


def test_an_identifier_of_another_sitting_is_a_conflict(
    exam: Sitting, open_exam: Callable[..., Sitting], new_hire: Person
) -> None:
    other = open_exam(new_hire)
    given = answers(other)[0]
    single(other, given)
    with pytest.raises(RefusedError, match="another answer"):
        single(exam, given)
    assert exam.judgements.count() == 0


@pytest.mark.parametrize("ordinal", [0, -1, 25, 999])
def test_an_ordinal_that_is_not_there_is_refused(exam: Sitting, ordinal: int) -> None:
    with pytest.raises(RefusedError, match="not been handed out") as refusal:
        single(exam, replace(answers(exam)[0], ordinal=ordinal))
    assert refusal.value.code == "ordinal"


def test_up_to_five_ahead_may_be_judged_and_no_more(exam: Sitting) -> None:
    given = answers(exam)
    assert progress_of(exam).handed_out == 6
    with pytest.raises(RefusedError, match="the next is part 1"):
        single(exam, given[6])
    single(exam, given[5])
    assert progress_of(exam).next_ordinal == 1
    single(exam, given[0])
    assert progress_of(exam).handed_out == 7


def test_the_last_answer_ends_the_sitting(exam: Sitting) -> None:
    recorded = record(exam, *answers(exam, wrong={bad_ones(exam)[0]}), moment=NOON + MINUTE)
    end = SittingEnd.objects.get()
    assert recorded.end == end
    assert (end.reason, end.result, end.families_passed) == ("complete", "passed", ["black-specks"])
    counts = Counts.from_json(end.counts)
    assert (counts.bad, counts.missed, counts.good, counts.false_rejects) == (12, 1, 12, 0)
    assert (end.ended_at, end.chain) == (NOON + MINUTE, "plant")
    assert (end.links, end.head) == (
        1 + 24 + 1 + 24,
        exam.judgements.order_by("position").last().hash,
    )  # type: ignore[union-attr]
    assert verify().breaks == ()


def test_a_lost_sitting_ends_at_once_and_what_follows_is_kept_unscored(exam: Sitting) -> None:
    bad = bad_ones(exam)
    recorded = record(exam, *answers(exam, wrong=set(bad)))
    second = bad[1]
    stored = [each.stored for each in recorded.receipts]
    assert recorded.end is not None
    assert (recorded.end.reason, recorded.end.result) == ("lost", "not_passed")
    assert stored[:second] == [Stored.SCORED] * second
    assert stored[second : second + 6] == [Stored.UNSCORED] * 6
    errors = [each.error.code for each in recorded.receipts if each.error]
    assert errors == ["ended"] * (24 - second - 6)
    assert Counts.from_json(recorded.end.counts).missed == 2


def test_after_the_end_only_what_was_handed_out_before_is_kept(exam: Sitting) -> None:
    given = answers(exam)
    record(exam, *given[:3])
    end_sitting(sitting=exam, reason="abandoned", moment=NOON)
    late = single(exam, given[3])
    assert late.receipts[0].stored is Stored.UNSCORED
    assert not Judgement.objects.get(pk=given[3].judgement_id).scored
    single(exam, given[8])
    with pytest.raises(RefusedError, match="has ended; part 10 was not handed out") as refusal:
        single(exam, given[9])
    assert refusal.value.code == "ended"
    assert Counts.from_json(SittingEnd.objects.get().counts).judged == 3
    assert verify().breaks == ()


def test_the_same_answer_after_the_end_is_still_the_same_receipt(exam: Sitting) -> None:
    given = answers(exam)
    record(exam, *given)
    again = single(exam, given[-1], NOON + MINUTE)
    assert again.receipts[0].stored is Stored.ALREADY
    assert SittingEnd.objects.count() == 1


@pytest.mark.parametrize(
    "changes",
    [
        {"answer": "maybe"},
        {"answer": "accept"},
        {"family": ""},
        {"family": "no-such-family"},
        {"action": ""},
        {"action": "dance"},
        {"place": (1300, 100)},
        {"place": (-1, 100)},
        {"view": 7},
    ],
)
def test_an_answer_that_is_not_whole_is_refused(exam: Sitting, changes: dict[str, Any]) -> None:
    first = shown(exam)[0]
    given = Given(uuid.uuid4(), 1, "reject", 6000, NOON, IN_PLACE, 0, "black-specks", "segregate")
    with pytest.raises(RefusedError) as refusal:
        single(exam, replace(given, **changes))
    assert refusal.value.code == "answer"
    assert first.ordinal == 1
    assert not Judgement.objects.exists()


@pytest.mark.parametrize("milliseconds", [0, 1999, 24 * 3600 * 1000 + 1, -5])
def test_a_look_shorter_than_two_seconds_does_not_count(exam: Sitting, milliseconds: int) -> None:
    with pytest.raises(RefusedError, match="at least 2") as refusal:
        single(exam, replace(answers(exam)[0], judging_ms=milliseconds))
    assert refusal.value.code == "look"


def test_a_refused_answer_leaves_nothing_behind_and_stops_no_other(exam: Sitting) -> None:
    given = answers(exam)
    recorded = record(exam, replace(given[0], judging_ms=5), given[1])
    assert [each.stored for each in recorded.receipts] == [None, Stored.SCORED]
    assert Judgement.objects.count() == 1


@pytest.mark.parametrize(
    ("answered", "kept"),
    [
        (NOON - dt.timedelta(days=3), NOON),
        (NOON + dt.timedelta(days=3), NOON + MINUTE),
        (NOON + dt.timedelta(seconds=20), NOON + dt.timedelta(seconds=20)),
    ],
)
def test_a_tablets_wrong_clock_moves_no_answer_out_of_its_sitting(
    exam: Sitting, answered: dt.datetime, kept: dt.datetime
) -> None:
    single(exam, replace(answers(exam)[0], answered_at=answered), NOON + MINUTE)
    assert Judgement.objects.get().answered_at == kept


def test_right_and_wrong_answers_cost_the_same_queries(
    exam: Sitting,
    open_exam: Callable[..., Sitting],
    new_hire: Person,
    count_queries: Callable[..., int],
) -> None:
    other = open_exam(new_hire)
    ordinal = bad_ones(exam)[0]
    record(exam, *answers(exam)[: ordinal - 1])
    record(other, *answers(other)[: ordinal - 1])
    right = answers(exam)[ordinal - 1]
    hit = count_queries(lambda: record(exam, right))
    wrong_place = replace(answers(other)[ordinal - 1], place=ELSEWHERE)
    assert count_queries(lambda: record(other, wrong_place)) == hit


def test_progress_costs_the_same_queries_however_far_it_is(
    exam: Sitting, count_queries: Callable[..., int]
) -> None:
    before = count_queries(lambda: progress_of(exam).counts)
    record(exam, *answers(exam)[:20])
    assert count_queries(lambda: progress_of(exam).counts) == before


def test_wrong_places_and_families_are_counted_apart(exam: Sitting) -> None:
    bad = bad_ones(exam)
    given = answers(exam)
    given[bad[0] - 1] = replace(given[bad[0] - 1], place=ELSEWHERE)
    given[bad[1] - 1] = replace(given[bad[1] - 1], family="burn")
    record(exam, *given)
    count = Counts.from_json(SittingEnd.objects.get().counts).families["black-specks"]
    assert (count.missed, count.wrong_place, count.named_otherwise) == (1, 1, 1)


def test_keep_running_is_a_miss_where_the_family_is_critical(
    exam: Sitting, bank: SimpleNamespace
) -> None:
    bank.specks.always_critical = True
    bank.specks.save()
    bad = bad_ones(exam)
    given = answers(exam)
    given[bad[0] - 1] = replace(given[bad[0] - 1], action="keep_running")
    record(exam, *given)
    count = Counts.from_json(SittingEnd.objects.get().counts).families["black-specks"]
    assert (count.missed, count.kept_running) == (1, 1)


def test_whole_part_families_need_no_place(
    plant: SimpleNamespace, open_exam: Callable[..., Sitting], new_hire: Person
) -> None:
    plant.burn.place = {"kind": "whole_part"}
    plant.burn.save()
    fill(plant, plant.burn, bad=12, good=12, moment=NOON)
    sitting = open_exam(new_hire, families=[plant.burn])
    given = [
        replace(each, place=None) if each.answer == "reject" else each for each in answers(sitting)
    ]
    end = record(sitting, *given).end
    assert end is not None
    assert end.result == "passed"


def test_practice_ends_undecided(practice: Sitting) -> None:
    given = [replace(each, judging_ms=0) for each in answers(practice)]
    end = record(practice, *given).end
    assert end is not None
    assert (end.reason, end.result, end.families_passed) == ("complete", "undecided", [])


def test_ends_that_are_not_true_are_refused(exam: Sitting) -> None:
    with pytest.raises(ValidationError, match="Not all parts"):
        end_sitting(sitting=exam, reason="complete", moment=NOON)
    with pytest.raises(ValidationError, match="can still be passed"):
        end_sitting(sitting=exam, reason="lost", moment=NOON)
    with pytest.raises(ValidationError, match="complete, decided, lost or abandoned"):
        end_sitting(sitting=exam, reason="tired", moment=NOON)
    end = end_sitting(sitting=exam, reason="abandoned", moment=NOON, ended_by=exam.invigilator)
    assert (end.result, end.recorded_by) == ("undecided", exam.invigilator)
    with pytest.raises(ValidationError, match="has ended already"):
        end_sitting(sitting=exam, reason="abandoned", moment=NOON)
