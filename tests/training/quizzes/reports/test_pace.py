"""Judging times by kind of part, and the way from sitting to sitting."""

import uuid

import pytest

from tests.training.quizzes.reports.making import a_round, exam, met
from training.quizzes.reports.eyes import PlantEyes
from training.quizzes.reports.pace import Closeness, closeness, paces_of, steps_of


@pytest.mark.parametrize(
    ("bad", "ratio", "kind"),
    [
        (True, 1.1, Closeness.BAD_NEAR),
        (True, 1.25, Closeness.BAD_CLEAR),
        (True, None, Closeness.BAD_CLEAR),
        (False, 0.8, Closeness.GOOD_NEAR),
        (False, 0.79, Closeness.GOOD_CLEAR),
        (False, None, Closeness.GOOD_CLEAR),
    ],
)
def test_a_part_is_near_its_limit_or_clear_of_it(
    bad: bool, ratio: float | None, kind: Closeness
) -> None:
    assert closeness(met(a_round(), bad=bad, ratio=ratio)) is kind


def test_median_and_middle_half_of_kinds_judged_often_enough() -> None:
    round_ = a_round()
    found = [met(round_, ratio=3.0, seconds=s) for s in (4.0, 6.0, 8.0, 10.0, 30.0)]
    found.append(met(round_, bad=False, seconds=100.0))
    paces = paces_of(found)
    assert [(row.kind, row.judged) for row in paces.rows] == [(Closeness.BAD_CLEAR, 5)]
    row = paces.rows[0]
    assert (row.low, row.median, row.high) == (6.0, 8.0, 10.0)
    assert paces.median == 9.0


def test_nothing_judged_has_no_pace() -> None:
    assert paces_of([]).median is None


def test_steps_go_oldest_first_with_their_errors() -> None:
    found = [*exam(1, days_ago=2, good=12, refused=2), *exam(4, days_ago=30, good=2)]
    steps = steps_of(found, PlantEyes())
    assert [(each.wrong.errors, each.wrong.of) for each in steps] == [(4, 10), (3, 20)]
    assert (steps[1].missed.errors, steps[1].false_rejects.errors) == (1, 2)
    assert steps[1].average is None


def test_an_average_eye_is_foretold_where_every_part_is_known() -> None:
    found = exam(0, 3)
    known = {each.specimen: 0.0 for each in found}
    assert steps_of(found, PlantEyes(difficulty=known))[0].average == pytest.approx(0.5)
    known[found[0].specimen] = -50.0
    assert steps_of(found, PlantEyes(difficulty=known))[0].average == pytest.approx(2 / 3)
    del known[found[0].specimen]
    known[uuid.uuid4()] = 0.0
    assert steps_of(found, PlantEyes(difficulty=known))[0].average is None


def test_what_was_broken_off_or_met_before_is_no_step() -> None:
    again = [met(a_round(), first=False)]
    assert steps_of([*exam(1, reason="abandoned"), *again], PlantEyes()) == []
