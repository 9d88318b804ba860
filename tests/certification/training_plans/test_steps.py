"""The way to a press, step by step, from facts alone."""

from dataclasses import replace
from datetime import timedelta

import pytest

from certification.certificates.standing import Asked, JobFacts, PersonFacts
from certification.certificates.standing_facts import (
    SITE_SAFETY,
    Authorisation,
    LessonRead,
    Level,
    Span,
    WorkDay,
)
from certification.training_plans.steps import Kind, State, Step, Trail, steps_to
from tests.certification.certificates.cases import DAY, JOB, LONG_AGO, PERSON, RULES

NOBODY = PersonFacts("1")
EVERY_STEP = [
    Kind.SAFETY,
    Kind.VISION,
    Kind.LESSON,
    Kind.PRACTICE,
    Kind.SITTING,
    Kind.READING,
    Kind.AUTHORISATION,
    Kind.BUDDY,
    Kind.OBSERVED_CHECK,
    Kind.ALONE,
]


def ways(person: PersonFacts, job: JobFacts = JOB, trail: Trail | None = None) -> dict[Kind, Step]:
    steps = steps_to(person, job, RULES, Asked(DAY), trail or Trail())
    found = {step.kind: step for step in steps}
    assert len(found) == len(steps)
    return found


def test_somebody_new_has_everything_before_them() -> None:
    steps = steps_to(NOBODY, JOB, RULES, Asked(DAY), Trail())
    assert [step.kind for step in steps] == EVERY_STEP
    assert {step.state for step in steps} == {State.OPEN}
    found = {step.kind: step for step in steps}
    for kind in (Kind.LESSON, Kind.PRACTICE, Kind.SITTING):
        assert found[kind].families == ("flash", "mixed-hands")
    assert [each.subject for each in found[Kind.READING].reasons] == ["103", "A-09", "cutters"]
    assert [each.subject for each in found[Kind.AUTHORISATION].reasons] == ["cutter"]


def test_somebody_who_runs_it_alone_has_done_it_all() -> None:
    steps = steps_to(PERSON, JOB, RULES, Asked(DAY), Trail())
    assert {step.state for step in steps} == {State.DONE}
    assert Kind.BUDDY not in {step.kind for step in steps}


def test_a_lesson_read_and_a_round_practised_leave_the_sitting() -> None:
    person = replace(NOBODY, lessons=(LessonRead("flash", LONG_AGO), LessonRead("x", LONG_AGO)))
    found = ways(person, trail=Trail(practised=frozenset({"flash"})))
    assert found[Kind.LESSON].families == ("mixed-hands",)
    assert found[Kind.PRACTICE].families == ("mixed-hands",)
    assert found[Kind.SITTING].families == ("flash", "mixed-hands")


def test_a_passed_family_waits_for_its_decision_and_is_not_sat_again() -> None:
    found = ways(NOBODY, trail=Trail(undecided=frozenset({"flash"})))
    assert found[Kind.DECISION] == Step(Kind.DECISION, State.WAITING, ("flash",))
    assert found[Kind.SITTING].families == ("mixed-hands",)


def test_a_level_too_low_is_sat_again() -> None:
    ordinary = tuple(replace(each, level=Level.ORDINARY) for each in PERSON.certificates)
    found = ways(replace(PERSON, certificates=ordinary))
    assert found[Kind.SITTING].families == ("mixed-hands",)
    assert found[Kind.LESSON].state is State.DONE
    assert found[Kind.ALONE].state is State.OPEN


@pytest.mark.parametrize(("worked", "state"), [(False, State.OPEN), (True, State.DONE)])
def test_running_beside_a_buddy(worked: bool, state: State) -> None:
    step = ways(NOBODY, trail=Trail(worked=worked, buddy="Stefka Dimova"))[Kind.BUDDY]
    assert (step.state, step.subject) == (state, "Stefka Dimova")


def test_nobody_runs_a_critical_job_beside_a_buddy() -> None:
    assert Kind.BUDDY not in ways(NOBODY, replace(JOB, critical_job=True))


def test_the_safety_course_and_authorisations_of_the_job() -> None:
    safe = replace(NOBODY, authorisations=(Authorisation(SITE_SAFETY, Span(LONG_AGO)),))
    assert ways(safe)[Kind.SAFETY].state is State.DONE
    assert Kind.AUTHORISATION not in ways(safe, replace(JOB, needs_authorisation=()))


@pytest.mark.parametrize(
    ("days", "kind"), [(91, Kind.REFRESHER), (180, Kind.REFRESHER), (181, Kind.OBSERVED_CHECK)]
)
def test_away_from_the_job(days: int, kind: Kind) -> None:
    worked = (WorkDay("G2", DAY - timedelta(days=days)),)
    found = ways(replace(PERSON, work_days=worked))
    assert found[kind].state is State.OPEN
    assert found[Kind.ALONE].state is State.OPEN
