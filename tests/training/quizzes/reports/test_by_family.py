"""Counts of each sitting and family, for the table of the office."""

from tests.training.quizzes.reports.making import a_round, met
from training.quizzes.reports.by_family import families_in_rounds
from training.quizzes.scoring import Outcome, Part


def test_a_row_for_each_sitting_and_family_oldest_first() -> None:
    late, early = a_round(), a_round(days_ago=9, passed=("scuff",))
    found = [
        met(late),
        met(early, family="scuff", named="weld-line"),
        met(early, outcome=Outcome.WRONG_PLACE),
        met(early, outcome=Outcome.KEPT_RUNNING),
        met(early, reject=False),
        met(early, part=Part.CRITICAL, reject=False),
        met(early, bad=False, reject=True, first=False, seconds=30.0),
    ]
    rows = families_in_rounds(found)
    assert [(row.round, row.family) for row in rows] == [
        (early, "scuff"),
        (early, "weld-line"),
        (late, "weld-line"),
    ]
    scuff, weld, _late = rows
    assert (scuff.bad, scuff.missed, scuff.named_otherwise, scuff.passed) == (1, 0, 1, True)
    assert (weld.bad, weld.missed) == (3, 3)
    assert (weld.accepted, weld.wrong_place, weld.kept_running) == (1, 1, 1)
    assert (weld.clear, weld.clear_missed) == (1, 1)
    assert (weld.good, weld.false_rejects, weld.met_before) == (1, 1, 1)
    assert (weld.median_s, weld.passed) == (10.0, False)
