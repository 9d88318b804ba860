"""The own limit of a person: from which meetings, what is drawn, what is said instead."""

import math

import numpy as np
import pytest

from tests.training.quizzes.reports.making import a_round, met
from training.quizzes.reports.eyes import FamilyPrior
from training.quizzes.reports.meetings import Meeting
from training.quizzes.reports.own_eye import beyond_of, curve_of, own_eye, points_of
from training.quizzes.scoring import Outcome

FAMILY = "weld-line"
PRIOR = FamilyPrior()


def eye_turning_at(ratio: float, count: int = 48) -> list[Meeting]:
    """Meetings of an eye that rejects exactly what lies above a multiple of the limit."""
    round_ = a_round()
    return [
        met(round_, bad=each > 1, reject=bool(each > ratio), ratio=float(each))
        for each in np.exp(np.linspace(-0.5, 0.5, count))
    ]


@pytest.mark.parametrize(("ratio", "calls"), [(1.35, "lenient"), (1.0, "within"), (0.75, "strict")])
def test_a_clear_eye_is_called_what_it_is(ratio: float, calls: str) -> None:
    eye = own_eye(eye_turning_at(ratio), FAMILY, PRIOR)
    assert eye.calls == calls
    assert eye.line is not None
    assert eye.line.low < ratio < eye.line.high


def test_few_judgements_are_provisional_and_call_nothing() -> None:
    eye = own_eye(eye_turning_at(1.3, 16), FAMILY, PRIOR)
    assert eye.line is not None
    assert eye.calls == ""
    assert eye.limit.provisional


def test_a_part_rejected_at_the_wrong_place_was_not_seen() -> None:
    round_ = a_round()
    seen = [met(round_) for _ in range(6)]
    wrong = [met(round_, outcome=Outcome.WRONG_PLACE) for _ in range(6)]
    eye = own_eye([*seen, *wrong], FAMILY, PRIOR)
    assert (eye.bad, eye.found) == (12, 6)


def test_only_first_meetings_of_the_family_count() -> None:
    found = eye_turning_at(1.0, 20)
    again = [met(a_round(), first=False), met(a_round(), family="scuff")]
    assert own_eye([*found, *again], FAMILY, PRIOR).judgements == 20


def test_without_measured_severity_bad_is_told_from_good() -> None:
    round_ = a_round()
    found = [
        *(met(round_, ratio=None, reject=place > 1) for place in range(10)),
        *(met(round_, bad=False, ratio=None, reject=place < 1) for place in range(10)),
    ]
    eye = own_eye(found, FAMILY, PRIOR)
    assert (eye.measured, eye.line) == (0, None)
    assert (eye.found, eye.bad, eye.refused, eye.good) == (8, 10, 1, 10)
    # Log-linear correction (Hautus 1995): z(8.5/11) - z(1.5/11), from a table of the normal.
    assert eye.detection is not None
    assert eye.detection.d_prime == pytest.approx(0.7479 + 1.0968, abs=1e-3)


def test_too_few_parts_give_no_sensitivity() -> None:
    round_ = a_round()
    assert own_eye([met(round_, ratio=None)] * 11, FAMILY, PRIOR).detection is None


def test_points_gather_judgements_of_about_one_severity() -> None:
    round_ = a_round()
    found = [met(round_, ratio=1.15), met(round_, ratio=1.2, reject=False), met(round_, ratio=2.8)]
    points = points_of(found, FAMILY)
    assert [(point.rejected, point.judged) for point in points] == [(1, 2), (1, 1)]
    assert points[0].x == pytest.approx(math.sqrt(1.15 * 1.2), abs=1e-3)
    assert points[0].low <= 0.5 <= points[0].high


def test_what_lies_far_beyond_is_said_and_not_drawn() -> None:
    round_ = a_round()
    found = [met(round_, ratio=9.0), met(round_, ratio=4.0, reject=False), met(round_, ratio=2.0)]
    assert beyond_of(found, FAMILY) == (1, 2)
    assert [point.judged for point in points_of(found, FAMILY)] == [1]


def test_the_curve_passes_a_half_at_the_own_limit() -> None:
    found = eye_turning_at(1.3)
    eye = own_eye(found, FAMILY, PRIOR)
    curve = curve_of(found, FAMILY, PRIOR)
    assert eye.line is not None
    place = min(range(len(curve.x)), key=lambda at: abs(curve.y[at] - 0.5))
    assert curve.x[place] == pytest.approx(eye.line.value, abs=0.05)
