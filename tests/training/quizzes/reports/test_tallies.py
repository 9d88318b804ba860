"""The last three exams of a family: which count, what is left out, when no interval may be given."""

from typing import Any

import pytest

from tests.training.quizzes.reports.making import a_round, exam, met
from training.quizzes.reports.tallies import family_tally, rate
from training.quizzes.scoring import Outcome, Part
from training.quizzes.worked_plan import Form

FAMILY = "weld-line"


def test_the_last_three_in_order_and_none_left_out() -> None:
    found = [
        *exam(8, days_ago=400),
        *exam(1, days_ago=300, good=30, refused=1, passed=(FAMILY,)),
        *exam(1, days_ago=100, good=30, refused=2, passed=(FAMILY,)),
        *exam(2, days_ago=3, good=30, refused=2),
    ]
    tally = family_tally(found, FAMILY)
    assert (tally.missed.errors, tally.missed.of) == (4, 24)
    assert (tally.false_rejects.errors, tally.false_rejects.of) == (5, 90)
    assert [sum(line.missed) for line in tally.exams] == [1, 1, 2]
    assert [line.passed for line in tally.exams] == [True, True, False]


def test_the_interval_is_clopper_and_pearsons() -> None:
    # Newcombe 1998, Statistics in Medicine 17, Table I: 1 of 29, exact method.
    found = rate(1, 29)
    assert found.low == pytest.approx(0.0009, abs=5e-5)
    assert found.high == pytest.approx(0.1776, abs=5e-5)


@pytest.mark.parametrize("more", [{"reason": "lost"}, {"form": Form.OWN}])
def test_no_interval_where_the_number_judged_was_not_fixed_before(more: dict[str, Any]) -> None:
    tally = family_tally([*exam(1, days_ago=9), *exam(2, **more)], FAMILY)
    assert (tally.missed.errors, tally.missed.of) == (3, 16)
    assert (tally.missed.low, tally.missed.high) == (None, None)
    assert not tally.sized


@pytest.mark.parametrize("more", [{"kind": "practice"}, {"reason": "abandoned"}])
def test_practice_and_what_was_broken_off_do_not_count(more: dict[str, Any]) -> None:
    tally = family_tally([*exam(0, days_ago=5), *exam(8, **more)], FAMILY)
    assert (tally.missed.errors, tally.missed.of) == (0, 8)


def test_parts_met_before_are_left_out_and_counted() -> None:
    round_ = a_round()
    found = [met(round_) for _ in range(7)] + [met(round_, reject=False, first=False)]
    tally = family_tally(found, FAMILY)
    assert (tally.missed.errors, tally.missed.of, tally.met_before) == (0, 7, 1)


def test_the_critical_block_stands_apart() -> None:
    round_ = a_round()
    found = [
        *(met(round_) for _ in range(8)),
        *(met(round_, part=Part.CRITICAL, reject=place > 0) for place in range(5)),
    ]
    tally = family_tally(found, FAMILY)
    assert (tally.missed.errors, tally.missed.of) == (0, 8)
    assert (tally.clear.errors, tally.clear.of) == (1, 5)


def test_wrong_place_and_kept_running_are_misses_that_are_told_apart() -> None:
    round_ = a_round()
    found = [
        met(round_, outcome=Outcome.WRONG_PLACE),
        met(round_, outcome=Outcome.KEPT_RUNNING),
        met(round_),
    ]
    tally = family_tally(found, FAMILY)
    assert (tally.missed.errors, tally.wrong_place, tally.kept_running) == (2, 1, 1)


def test_another_familys_parts_count_for_it_alone() -> None:
    round_ = a_round(families=(FAMILY, "scuff"))
    found = [met(round_), met(round_, family="scuff", reject=False)]
    assert family_tally(found, FAMILY).missed.errors == 0
    assert family_tally(found, "scuff").missed.errors == 1


def test_the_line_does_not_tell_at_which_part_something_was_missed() -> None:
    round_ = a_round()
    found = [met(round_, reject=False), met(round_), met(round_)]
    assert family_tally(found, FAMILY).exams[0].missed == (False, False, True)


def test_without_an_exam_there_is_nothing_to_count() -> None:
    tally = family_tally([], FAMILY)
    assert (tally.exams, tally.missed.of, tally.missed.low) == ((), 0, None)
