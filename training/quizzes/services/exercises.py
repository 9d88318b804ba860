"""Exercises on parts that are shown together: starting one, and keeping what was said of a step."""

import datetime as dt
import secrets
import uuid
from collections.abc import Sequence
from typing import cast

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from training.floor.models import Family
from training.people.models import Device, Person
from training.quizzes.exercises import (
    PAIRS,
    SET_KINDS,
    Exercise,
    Step,
    longest_ago,
    shuffled,
    starts,
    steps_of,
)
from training.quizzes.models import ExamPlan, Kind, Sitting
from training.quizzes.scoring import Part
from training.quizzes.selectors.exercises import days_since_shown
from training.quizzes.selectors.progress import progress_of
from training.quizzes.services.judging import ACCEPT, REJECT, Given, Recorded, record_judgements
from training.quizzes.services.rounds import Shown, write_round
from training.quizzes.worked_plan import Form, WorkedPlan
from training.specimens.models import Specimen
from training.specimens.series_rows import SetRow, usable_sets

FIRST, SECOND = "1", "2"


@transaction.atomic
def start_exercise(
    *,
    person: Person,
    exercise: Exercise,
    families: Sequence[Family],
    plan: ExamPlan,
    moment: dt.datetime,
    device: Device | None = None,
    seed: str | None = None,
) -> Sitting:
    """Start an exercise on these families with the sets this person has not met for longest.

    Raises
    ------
    ValidationError
        When no set of these families can be shown.
    """
    seed = seed or secrets.token_hex(16)
    day = timezone.localdate(moment)
    slugs = [family.slug for family in families]
    sets = {str(row.set.pk): row for row in usable_sets(SET_KINDS[exercise], day, families=slugs)}
    if not sets:
        raise ValidationError(
            _("Quality has made no set of these families for this yet."), code="sets"
        )
    days = days_since_shown(person, exercise, day)
    aged = [(name, days.get(name)) for name in sorted(sets)]
    most = 1 if exercise is Exercise.FIND_LIMIT else PAIRS
    chosen = [sets[name] for name in longest_ago(aged, most, seed=seed)]
    steps, order = _laid_out(exercise, chosen, seed)
    shown = [_shown(specimen) for specimen in order]
    named = {family.slug: family for row in chosen for family in _families_of(row)}
    return write_round(
        person=person,
        kind=Kind.PRACTICE,
        plan=plan,
        worked=_worked(exercise, steps, order, shown),
        families=sorted(named.values(), key=lambda family: family.position),
        shown=shown,
        moment=moment,
        device=device,
        seed=seed,
    )


def _laid_out(
    exercise: Exercise, sets: Sequence[SetRow], seed: str
) -> tuple[list[Step], list[Specimen]]:
    """Return the steps and the specimens in order of presentation."""
    steps: list[Step] = []
    order: list[Specimen] = []
    for row in sets:
        name = str(row.set.pk)
        turns = starts(len(row.members), seed=seed) if exercise is Exercise.FIND_LIMIT else [0]
        for start in turns:
            members = list(row.members)
            if exercise is not Exercise.FIND_LIMIT:
                # Which one stands first is chance, or the place would tell.
                members = shuffled(members, seed=seed, purpose=name)
            ordinals = tuple(range(len(order) + 1, len(order) + len(members) + 1))
            steps.append(Step(name, ordinals, start))
            order.extend(members)
    return steps, order


def _families_of(row: SetRow) -> list[Family]:
    return [specimen.family for specimen in row.members]


def _shown(specimen: Specimen) -> Shown:
    part = Part.BAD if specimen.decided == REJECT else Part.GOOD
    # Members of a usable set are all decided.
    decision = cast(uuid.UUID, specimen.decision_id)
    return Shown(specimen.pk, decision, specimen.sheet_id, str(part))


def _worked(
    exercise: Exercise, steps: Sequence[Step], order: Sequence[Specimen], shown: Sequence[Shown]
) -> WorkedPlan:
    bad: dict[str, int] = {}
    for specimen, each in zip(order, shown, strict=True):
        if each.part == Part.BAD:
            bad[specimen.family.slug] = bad.get(specimen.family.slug, 0) + 1
    return WorkedPlan(
        form=Form.PRACTICE,
        bad=bad,
        misses_allowed=None,
        family_misses_allowed={},
        good=sum(each.part == Part.GOOD for each in shown),
        false_rejects_allowed=0,
        # All parts of a step stand on the page together.
        ahead=len(shown),
        least_look_ms=0,
        draw={"exercise": str(exercise), "steps": [step.as_json() for step in steps]},
    )


def record_step(
    *,
    sitting: Sitting,
    number: int,
    choice: str,
    answer_id: uuid.UUID,
    judging_ms: int,
    answered_at: dt.datetime,
    moment: dt.datetime,
) -> Recorded:
    """Keep what was said of one step as a judgement of each of its parts.

    `choice` is "1" or "2", the part over the limit, or of look-alikes the part that is the first
    family of the set; of a ladder it is how many rungs are accepted, from the smallest. The same
    answer may come twice.

    Raises
    ------
    ValidationError
        For a step that is not there, or a choice that it does not offer; see also
        `record_judgements`.
    """
    progress = progress_of(sitting)
    steps = steps_of(progress.plan.draw)
    if not 1 <= number <= len(steps):
        raise ValidationError(_("There is no such step in this exercise."), code="ordinal")
    step = steps[number - 1]
    said = _said(Exercise(progress.plan.exercise), step, choice)
    named = [progress.by_ordinal[ordinal].specimen.family.slug for ordinal in step.ordinals]
    if progress.plan.exercise == Exercise.LOOK_ALIKE:
        named = _named(progress.sitting, named, choice)
    answers = [
        Given(
            judgement_id=uuid.uuid5(answer_id, str(ordinal)),
            ordinal=ordinal,
            answer=answer,
            judging_ms=judging_ms,
            answered_at=answered_at,
            family=family if answer == REJECT else "",
        )
        for ordinal, answer, family in zip(step.ordinals, said, named, strict=True)
    ]
    recorded = record_judgements(sitting=sitting, answers=answers, moment=moment)
    error = next((each.error for each in recorded.receipts if each.error), None)
    if error is not None:
        raise error
    return recorded


def _said(exercise: Exercise, step: Step, choice: str) -> list[str]:
    """Return accept or reject for each part of a step."""
    refused = ValidationError(_("Choose one of the answers on the page."), code="answer")
    if exercise is Exercise.FIND_LIMIT:
        if not choice.isdecimal() or int(choice) > len(step.ordinals):
            raise refused
        accepted = int(choice)
        return [str(ACCEPT)] * accepted + [str(REJECT)] * (len(step.ordinals) - accepted)
    if choice not in (FIRST, SECOND):
        raise refused
    if exercise is Exercise.LOOK_ALIKE:
        return [str(REJECT)] * 2
    said = [str(REJECT), str(ACCEPT)]
    return said if choice == FIRST else said[::-1]


def _named(sitting: Sitting, families: Sequence[str], choice: str) -> list[str]:
    """Return the family that was named for each of two look-alikes.

    The two are offered in the order of the sitting's families, not in that of the pictures.
    """
    first, second = (slug for slug in sitting.families if slug in families)
    return [first, second] if choice == FIRST else [second, first]
