"""Writing a practice round: what is shown is drawn, frozen and chained, and never examines again."""

import datetime as dt
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from training.floor.models import Family
from training.people.models import Device, Person
from training.people.record.chain import append
from training.quizzes.drawing import Draw
from training.quizzes.models import ExamPlan, Presented, Sitting
from training.quizzes.selectors.bank import BankRow
from training.quizzes.worked_plan import WorkedPlan
from training.specimens.services.pools import mark_answer_shown


@dataclass(frozen=True, slots=True)
class Shown:
    """A specimen as it is shown in a round: under which decision, as bad or good."""

    specimen: uuid.UUID
    decision: uuid.UUID
    work_instruction: uuid.UUID | None
    part: str


def shown_of(draw: Draw, rows: Mapping[str, BankRow]) -> list[Shown]:
    """Return the specimens of a draw as they are shown, in its order."""
    found = [(pick, rows[pick.candidate.key]) for pick in draw.picks]
    return [
        Shown(row.specimen_id, row.decision_id, row.work_instruction_id, str(pick.part))
        for pick, row in found
    ]


def write_round(
    *,
    person: Person,
    kind: str,
    plan: ExamPlan,
    worked: WorkedPlan,
    families: Sequence[Family],
    shown: Sequence[Shown],
    moment: dt.datetime,
    device: Device | None,
    seed: str,
) -> Sitting:
    """Write a round of practice in the order given; the caller holds the transaction.

    Everything in it counts as shown with its answer from now on, whether or not it is judged.
    """
    if plan.form != ExamPlan.Form.PRACTICE:
        raise ValidationError(_("This plan is for exams, not for practice."))
    groups = {family.group.pk: family.group for family in families}
    sitting = Sitting(
        # Practice is not counted through: its number need only be its own.
        number=f"P-{uuid.uuid4().hex[:10].upper()}",
        person=person,
        kind=kind,
        plan=plan,
        worked_plan=worked.as_json(),
        groups=[group.code for group in sorted(groups.values(), key=lambda each: each.position)],
        families=[family.slug for family in families],
        opened_at=moment,
        device=device,
        language=person.ui_language,
        seed=seed,
        recorded_by=person,
        recorded_at=moment,
    )
    presented = [
        Presented(
            sitting=sitting,
            ordinal=ordinal,
            specimen_id=each.specimen,
            decision_id=each.decision,
            work_instruction_id=each.work_instruction,
            part=each.part,
            recorded_by_id=person.pk,
        )
        for ordinal, each in enumerate(shown, start=1)
    ]
    mark_answer_shown(specimens=[each.specimen for each in shown], moment=moment)
    append(sitting, *presented, chain=sitting.own_chain, moment=moment)
    return sitting
