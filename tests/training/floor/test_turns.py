"""Turns at the press: what is recorded, and what cannot have been is refused."""

import datetime as dt
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from tests.conftest import NOON, TODAY
from training.floor.models import Alert, Job, JobGroup, Press, Turn
from training.floor.turn_selectors import (
    gaps,
    open_turns,
    overlaps,
    turns,
    turns_on,
    who_ran,
)
from training.floor.turns import end_turn, start_turn
from training.people.models import Person
from training.people.record.chain import append
from training.people.record.verify import verify

HOUR = dt.timedelta(hours=1)


@pytest.fixture
def take(plant: SimpleNamespace) -> Any:
    """Start a turn at the plant's press, with anything else given."""

    def start(person: Person, **given: Any) -> Turn:
        return start_turn(
            **{
                "press": plant.press,
                "job": plant.job,
                "person": person,
                "moment": NOON,
                "day": TODAY,
                **given,
            }
        )

    return start


def refused(words: str) -> Any:
    return pytest.raises(ValidationError, match=words)


def test_a_turn_is_a_fact_with_all_that_was_shown(
    take: Any, plant: SimpleNamespace, operator: Person
) -> None:
    turn = take(
        operator,
        first_piece_seen=True,
        work_instruction=plant.sheet,
        alerts=["A-01"],
        note="new lamp",
    )
    stored = Turn.objects.get(pk=turn.pk)
    assert (stored.day, stored.started_at, stored.kind) == (TODAY, NOON, "turn")
    assert (stored.alerts, stored.work_instruction, stored.first_piece_seen) == (
        ["A-01"],
        plant.sheet,
        True,
    )
    assert stored.note is not None
    assert stored.note.text == "new lamp"
    assert stored.recorded_by == operator
    assert verify().breaks == ()


def test_a_turn_ends_once_and_not_before_it_began(take: Any, operator: Person) -> None:
    turn = take(operator)
    with refused("began at 12:00"):
        end_turn(turn=turn, moment=NOON - HOUR)
    end_turn(turn=turn, moment=NOON + HOUR, recorded_by=operator)
    with refused("ended at 13:00 already"):
        end_turn(turn=turn, moment=NOON + 2 * HOUR)


def test_nobody_stands_at_two_presses(take: Any, plant: SimpleNamespace, operator: Person) -> None:
    take(operator)
    other = Press.objects.create(code="P09", clamp_tonnes=90)
    plant.job.alternates.add(other)
    with refused("Otto Operator stands at press P01 since 12:00. Leave it first"):
        take(operator, press=other, moment=NOON + HOUR)
    with refused("at press P01 already"):
        take(operator, moment=NOON + HOUR)


def test_two_neighbours_may_be_tended_together_where_the_jobs_say_so(
    take: Any, plant: SimpleNamespace, operator: Person
) -> None:
    beside = Press.objects.create(code="P02", clamp_tonnes=90, next_press=plant.press)
    twin = Job.objects.create(
        number="902", part={"en": "Twin"}, group=JobGroup.objects.create(code="G91"), press=beside
    )
    take(operator)
    with refused("Leave it first"):
        take(operator, press=beside, job=twin)
    twin.tended_with.add(plant.job)
    alert = Alert.objects.create(
        number="A-01", family=plant.specks, written_day=TODAY, from_day=TODAY, to_day=TODAY,
        text={"en": "One press only."}, tend_alone=True,
    )  # fmt: skip
    alert.jobs.add(twin)
    with refused("Leave it first"):
        take(operator, press=beside, job=twin)
    alert.jobs.clear()
    assert take(operator, press=beside, job=twin).press == beside


def test_a_taken_press_names_who_stands_there(take: Any, operator: Person, trainer: Person) -> None:
    take(operator)
    with refused("Press P01 is taken: Otto Operator, since 12:00"):
        take(trainer, moment=NOON + HOUR)


def test_a_job_for_two_has_two_places(
    take: Any, plant: SimpleNamespace, operator: Person, trainer: Person, new_hire: Person
) -> None:
    plant.job.persons = 2
    plant.job.save()
    take(operator)
    take(trainer)
    with refused("is taken: Otto Operator, Tessa Trainer"):
        take(new_hire)


def test_taking_over_ends_the_other_turn_at_the_same_moment(
    take: Any, plant: SimpleNamespace, operator: Person, trainer: Person
) -> None:
    first = take(operator)
    take(trainer, moment=NOON + HOUR, takes_over_from=operator)
    first.refresh_from_db()
    assert first.end.ended_at == NOON + HOUR
    assert first.end.recorded_by == trainer
    assert [turn.person for turn in open_turns()] == [trainer]
    with refused("Otto Operator does not stand at press P01"):
        take(operator, moment=NOON + 2 * HOUR, takes_over_from=operator)


def test_a_refused_takeover_leaves_the_other_turn_running(
    take: Any, plant: SimpleNamespace, operator: Person, trainer: Person
) -> None:
    other = Press.objects.create(code="P09", clamp_tonnes=90)
    plant.job.alternates.add(other)
    take(operator)
    take(trainer, press=other)
    with refused("Tessa Trainer stands at press P09"):
        take(trainer, moment=NOON + HOUR, takes_over_from=operator)
    assert open_turns().count() == 2


def test_a_job_runs_on_its_own_presses(take: Any, operator: Person) -> None:
    with refused("Job 901 does not run on press P09"):
        take(operator, press=Press.objects.create(code="P09", clamp_tonnes=90))


def test_one_job_at_a_time_on_a_press(
    take: Any, plant: SimpleNamespace, operator: Person, trainer: Person
) -> None:
    other = Job.objects.create(
        number="902", part={"en": "Other"}, group=plant.job.group, press=plant.press
    )
    take(operator)
    with refused("still runs job 901 on press P01"):
        take(trainer, job=other)


def test_under_supervision_names_a_buddy_and_learning_fills_no_place(
    take: Any, operator: Person, new_hire: Person
) -> None:
    take(operator)
    assert take(new_hire, kind="learning", buddy=operator).kind == "learning"
    with refused("names its buddy"):
        take(new_hire, kind="under_supervision")
    with refused("A buddy is somebody else"):
        take(new_hire, kind="under_supervision", buddy=new_hire)
    with refused("A buddy is somebody else"):
        take(new_hire, buddy=operator)
    with refused("no turn of the kind"):
        take(new_hire, kind="visit")


def test_who_ran_it_reliefs_included(
    take: Any, plant: SimpleNamespace, operator: Person, trainer: Person
) -> None:
    take(operator)
    take(trainer, moment=NOON + HOUR, kind="relief", takes_over_from=operator)
    take(operator, moment=NOON + 2 * HOUR, takes_over_from=trainer)

    def names(moment: dt.datetime) -> list[str]:
        return [str(turn.person) for turn in who_ran(plant.press, moment)]

    assert names(NOON - HOUR) == []
    assert names(NOON) == ["Otto Operator"]
    assert names(NOON + HOUR) == ["Tessa Trainer"]
    assert names(NOON + 9 * HOUR) == ["Otto Operator"]
    assert turns_on(TODAY).count() == 3


def test_a_corrected_turn_does_not_count(
    take: Any, plant: SimpleNamespace, operator: Person, trainer: Person
) -> None:
    wrong = take(operator)
    right = Turn(
        press=plant.press, job=plant.job, person=trainer, day=TODAY, started_at=NOON, corrects=wrong
    )
    append(right, moment=NOON + HOUR)
    assert who_ran(plant.press, NOON) == [right]


def test_gaps_and_overlaps_of_a_day(
    plant: SimpleNamespace, operator: Person, trainer: Person
) -> None:
    def turn(person: Person, start: int, end: int | None, **given: Any) -> Turn:
        made = Turn(
            press=given.get("press", plant.press),
            job=plant.job,
            person=person,
            day=TODAY,
            started_at=NOON + start * HOUR,
            kind=given.get("kind", "turn"),
        )
        append(made, moment=NOON)
        if end is not None:
            end_turn(turn=made, moment=NOON + end * HOUR)
        return made

    far = Press.objects.create(code="P09", clamp_tonnes=90)
    turn(operator, 0, 2)
    turn(trainer, 3, 5)
    turn(operator, 4, 6)
    turn(trainer, 4, None, press=far)
    turn(operator, 7, 8, kind="learning")
    found = gaps(turns())
    assert [(gap.press.code, gap.from_at, gap.to_at) for gap in found] == [
        ("P01", NOON + 2 * HOUR, NOON + 3 * HOUR)
    ]
    assert gaps(turns(), longer_than=HOUR) == []
    met = overlaps(turns())
    assert [(each.same_person, each.from_at, each.to_at) for each in met] == [
        (True, NOON + 4 * HOUR, NOON + 5 * HOUR),
        (False, NOON + 4 * HOUR, NOON + 5 * HOUR),
    ]
