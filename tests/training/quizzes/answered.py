"""First answers made up for the tests of specimen statistics."""

import datetime as dt
import random
import uuid
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

from tests.conftest import NOON
from tests.training.quizzes.bank import IN_PLACE
from training.people.models import Person
from training.people.record.chain import append
from training.quizzes.models import ExamPlan, Judgement, Presented, Sitting
from training.specimens.models import ReferenceDecision, View


@dataclass(frozen=True)
class Given:
    """A first answer with everything the figures ask of one."""

    specimen_id: uuid.UUID
    person_id: uuid.UUID
    at: dt.datetime = NOON
    bad: bool = True
    right: bool = True
    new: bool = False
    crew: str = "D"
    sitting_id: uuid.UUID = field(default_factory=uuid.uuid4)
    seconds: float = 9.0


def key(number: int) -> uuid.UUID:
    return uuid.UUID(int=number + 1)


def person(number: int) -> uuid.UUID:
    return uuid.UUID(int=10_000 + number)


def answers(
    specimen: int, right: int, of: int, *, days_ago: int = 10, first: int = 0, **more: object
) -> list[Given]:
    """Return so many answers of different people, so many of them right, mixed in time."""
    said = [place < right for place in range(of)]
    random.Random(specimen).shuffle(said)
    return [
        Given(
            key(specimen),
            person(first + place),
            at=NOON - dt.timedelta(days=days_ago, minutes=of - place),
            right=ok,
            **more,  # type: ignore[arg-type]
        )
        for place, ok in enumerate(said)
    ]


def write_sitting(
    number: str,
    judge: Person,
    plan: ExamPlan,
    decisions: Sequence[ReferenceDecision],
    wrong: Collection[uuid.UUID] = (),
    moment: dt.datetime = NOON,
) -> Sitting:
    """Write an exam of these specimens into the record; `wrong` are those judged against the key."""
    sitting = Sitting(
        number=number,
        person=judge,
        kind="qualification",
        plan=plan,
        families=["black-specks"],
        opened_at=moment,
        seed=number,
        recorded_by=judge,
    )
    presented = [
        Presented(
            sitting=sitting,
            ordinal=ordinal,
            specimen_id=decision.specimen_id,
            decision=decision,
            work_instruction_id=decision.work_instruction_id,
            part="bad" if decision.decision == "reject" else "good",
        )
        for ordinal, decision in enumerate(decisions, start=1)
    ]
    views = dict(View.objects.values_list("specimen", "pk"))
    judgements = []
    for item in presented:
        bad = item.decision.decision == "reject"
        rejected = bad != (item.specimen_id in wrong)
        judgements.append(
            Judgement(
                sitting=sitting,
                presented=item,
                answer="reject" if rejected else "accept",
                view_id=views.get(item.specimen_id) if rejected else None,
                place_x=IN_PLACE[0] if rejected else None,
                place_y=IN_PLACE[1] if rejected else None,
                action="segregate" if rejected else "",
                judging_ms=9000,
                answered_at=moment + dt.timedelta(seconds=9 * item.ordinal),
            )
        )
    append(sitting, *presented, *judgements, chain=sitting.own_chain, moment=moment)
    return sitting
