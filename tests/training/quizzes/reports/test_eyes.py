"""What everybody's answers say together: families' priors, scores on one scale, groups of newcomers."""

import datetime as dt
import math
import uuid

import numpy as np
import pytest

from tests.training.quizzes.reports.making import a_round, met
from training.quizzes.reports.eyes import FamilyPrior, newcomers_of, plant_eyes
from training.quizzes.reports.meetings import Meeting
from training.statistics.operator_limit import DEFAULT_PRIOR, fit_family

SPECIMENS = [uuid.UUID(int=1000 + place) for place in range(30)]
RATIOS = np.exp(np.linspace(-0.4, 0.4, 30))


def judged_by(person: int, seed: int = 0) -> list[Meeting]:
    """Thirty judgements of one person, a little noisy about the limit."""
    rng = np.random.default_rng([seed, person])
    round_ = a_round(person=uuid.UUID(int=person))
    return [
        met(
            round_,
            bad=ratio > 1,
            reject=bool(math.log(ratio) + rng.normal(0, 0.2) > 0),
            ratio=float(ratio),
            specimen=specimen,
        )
        for ratio, specimen in zip(RATIOS, SPECIMENS, strict=True)
    ]


@pytest.fixture(scope="module")
def everybody() -> list[Meeting]:
    return [each for person in range(1, 13) for each in judged_by(person)]


def test_five_people_make_a_familys_own_prior(everybody: list[Meeting]) -> None:
    found = plant_eyes(everybody, SPECIMENS, ())
    people = sorted({each.round.person for each in everybody})
    shown = [
        (
            [each.log_ratio for each in everybody if each.round.person == person],
            [each.seen for each in everybody if each.round.person == person],
        )
        for person in people
    ]
    expected = fit_family(shown)  # type: ignore[arg-type]
    assert found.prior_of("weld-line").pooled
    assert found.prior_of("weld-line").prior == expected.prior


def test_few_people_leave_the_default_and_the_reason() -> None:
    prior = plant_eyes(judged_by(1), SPECIMENS, ()).prior_of("weld-line")
    assert prior.prior == DEFAULT_PRIOR
    assert prior.reason is not None
    assert "1 of 5 operators" in prior.reason


def test_scores_are_given_on_the_reference_to_those_with_enough_answers(
    everybody: list[Meeting],
) -> None:
    found = plant_eyes(everybody, SPECIMENS, ())
    assert (found.people, found.specimens, found.bad) == (12, 30, 15)
    score = found.score_of(uuid.UUID(int=3))
    assert score.right is not None
    assert score.low is not None
    assert score.high is not None
    assert 0 < score.low < score.right < score.high < 100
    assert found.average is not None
    assert abs(found.average - np.mean([each.right for each in everybody]) * 100) < 8


def test_practice_and_second_meetings_are_in_no_score(everybody: list[Meeting]) -> None:
    person = uuid.UUID(int=77)
    practice = a_round(kind="practice", person=person)
    again = a_round(person=person)
    more = [met(practice) for _ in range(40)] + [met(again, first=False) for _ in range(40)]
    found = plant_eyes([*everybody, *more], SPECIMENS, ())
    assert found.people == 12
    assert found.score_of(person).reason == "No exam of this person has been judged yet."


def test_specimens_that_are_no_reference_are_not_scored_on(everybody: list[Meeting]) -> None:
    found = plant_eyes(everybody, SPECIMENS[:10], ())
    assert found.specimens == 10
    assert found.average is None
    reason = found.score_of(uuid.UUID(int=3)).reason
    assert reason is not None
    assert "Only 10 of 20" in reason


def test_newcomers_are_a_group_once_both_groups_have_five(everybody: list[Meeting]) -> None:
    people = sorted({each.round.person for each in everybody})
    one_group = plant_eyes(everybody, SPECIMENS, people[:4])
    two_groups = plant_eyes(everybody, SPECIMENS, people[:6])
    without = plant_eyes(everybody, SPECIMENS, ())
    assert one_group.scores == without.scores
    assert two_groups.scores != without.scores


def test_nothing_judged_says_nothing() -> None:
    found = plant_eyes([], SPECIMENS, ())
    assert found.score_of(uuid.UUID(int=1)).right is None
    assert found.prior_of("weld-line") == FamilyPrior()


def test_newcomers_are_those_whose_last_answer_fell_soon_after_they_came() -> None:
    new, old, unknown = (uuid.UUID(int=person) for person in (1, 2, 3))
    found = [met(a_round(person=person)) for person in (new, old, unknown)]
    day = found[0].at.date()
    hired = {new: day - dt.timedelta(days=89), old: day - dt.timedelta(days=90)}
    assert newcomers_of(found, hired, dt.timedelta(days=90)) == {new}
