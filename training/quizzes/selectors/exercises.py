"""What exercises there are for a person, how far one has come, and what its steps came to."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from django.utils import timezone

from training.floor.models import Family
from training.people.models import Person
from training.quizzes.exercises import SET_KINDS, Exercise, Step, steps_of
from training.quizzes.models import Judgement, Kind, Presented, Sitting
from training.quizzes.selectors.progress import Progress
from training.specimens.models import SpecimenSet
from training.specimens.series_rows import usable_sets


@dataclass(frozen=True, slots=True)
class ExerciseOption:
    """A family on which an exercise can be done: how many sets, and when it was done last."""

    family: Family
    sets: int
    last: dt.date | None


@dataclass(frozen=True)
class StepResult:
    """A step that was answered: its parts with what was said of them, in order of presentation."""

    step: Step
    presented: tuple[Presented, ...]
    judgements: tuple[Judgement, ...]

    @property
    def told(self) -> bool:
        """Whether every part was judged, and of look-alikes named, as what it is."""
        return all(
            judgement.answer == presented.decision.decision
            and (judgement.family is None or judgement.family_id == presented.specimen.family_id)
            for presented, judgement in zip(self.presented, self.judgements, strict=True)
        )


def sittings_of(person: Person, exercise: Exercise) -> "Iterable[Sitting]":
    """Return a person's sittings of an exercise, newest first. Costs one query."""
    return Sitting.objects.filter(
        person=person, kind=Kind.PRACTICE, worked_plan__draw__exercise=str(exercise)
    ).order_by("-opened_at")


def days_since_shown(person: Person, exercise: Exercise, day: dt.date) -> dict[str, int]:
    """Return how many days ago the person last met each set of an exercise. Costs one query."""
    days: dict[str, int] = {}
    for sitting in sittings_of(person, exercise):
        ago = (day - timezone.localdate(sitting.opened_at)).days
        for step in steps_of(sitting.worked_plan["draw"]):
            days.setdefault(step.set, ago)
    return days


def exercise_options(person: Person, exercise: Exercise, day: dt.date) -> list[ExerciseOption]:
    """Return the families an exercise can be done on, in the order of families. Four queries."""
    sets: dict[UUID, int] = defaultdict(int)
    families: dict[UUID, Family] = {}
    for row in usable_sets(SET_KINDS[exercise], day):
        for family in {each.family.pk: each.family for each in row.members}.values():
            families[family.pk] = family
            sets[family.pk] += 1
    last: dict[str, dt.date] = {}
    for sitting in sittings_of(person, exercise):
        for slug in sitting.families:
            last.setdefault(slug, timezone.localdate(sitting.opened_at))
    found = sorted(families.values(), key=lambda family: (family.position, family.slug))
    return [ExerciseOption(each, sets[each.pk], last.get(each.slug)) for each in found]


def step_results(progress: Progress) -> dict[int, StepResult]:
    """Return the steps that were answered, by number from 1."""
    found = {}
    for number, step in enumerate(steps_of(progress.plan.draw), start=1):
        judged = [progress.scored.get(ordinal) for ordinal in step.ordinals]
        given = tuple(each for each in judged if each is not None)
        if len(given) == len(step.ordinals):
            presented = tuple(progress.by_ordinal[ordinal] for ordinal in step.ordinals)
            found[number] = StepResult(step, presented, given)
    return found


def set_of(step: Step) -> SpecimenSet | None:
    """Return the set a step is of. Costs one query."""
    sets = SpecimenSet.objects.select_related("family", "job")
    return sets.filter(pk=step.set).first()
