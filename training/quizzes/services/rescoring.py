"""Scoring an ended exam again where a decision it rests on was turned; its own record stands."""

import datetime as dt
from collections.abc import Sequence
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from training.people.models import ChainHead, Person, Role
from training.people.record.chain import append, erasable
from training.people.record.models import PLANT
from training.quizzes.kinds import EXAMS
from training.quizzes.models import ScoreCorrection, Sitting, SittingEnd
from training.quizzes.recounting import Recounted, recount
from training.quizzes.selectors.progress import progress_of
from training.quizzes.selectors.turned import decisions_counted, pending_of
from training.specimens.models import ReferenceDecision


def preview(sitting: Sitting, pending: Sequence[ReferenceDecision]) -> Recounted:
    """Return what an exam would come to under these decisions and those it was scored by before."""
    applied = _applied(sitting) | {fact.specimen_id: fact for fact in pending}
    return recount(progress_of(sitting), sitting.end, applied)


@transaction.atomic
def rescore(
    *, sitting: Sitting, by: Person, moment: dt.datetime, words: str = ""
) -> list[ScoreCorrection]:
    """Count an exam again under every decision turned since; return what was written.

    One correction is written for each turned decision; the last one says what the exam comes to.

    Raises
    ------
    ValidationError
        When nothing was turned, the exam decides nothing, or somebody scores their own exam.
    """
    ChainHead.objects.select_for_update().filter(name=PLANT).first()
    _check(sitting, by)
    pending = pending_of(sitting)
    if not pending:
        raise ValidationError(
            _("No decision this exam rests on was turned since it was scored."), code="nothing"
        )
    facts: list[ScoreCorrection] = []
    for place in range(1, len(pending) + 1):
        again = preview(sitting, pending[:place])
        facts.append(_fact(sitting, pending[place - 1], again, by))
    if words.strip():
        for fact in facts:
            fact.words = erasable(words.strip())
    append(*facts, moment=moment)
    return facts


def _check(sitting: Sitting, by: Person) -> None:
    end = SittingEnd.objects.filter(sitting=sitting).first()
    if sitting.kind not in EXAMS or end is None or end.reason == SittingEnd.Reason.ABANDONED:
        raise ValidationError(_("Only an exam that was ended is scored again."), code="no_exam")
    if by.pk == sitting.person_id:
        raise ValidationError(
            _("Nobody decides about themselves: ask another person of quality."), code="self"
        )
    if Role.QUALITY not in by.roles():
        raise ValidationError(_("Only a person of quality scores exams again."), code="not_quality")


def _applied(sitting: Sitting) -> dict[UUID, ReferenceDecision]:
    """Return the decisions an exam was scored again by, the newest for each specimen. One query."""
    return {specimen: fact for (_pk, specimen), fact in decisions_counted([sitting.pk]).items()}


def _fact(
    sitting: Sitting, because: ReferenceDecision, again: Recounted, by: Person
) -> ScoreCorrection:
    return ScoreCorrection(
        sitting=sitting,
        because=because,
        counts=again.counts,
        result=again.result,
        families_passed=again.families_passed,
        critical_block_passed=again.critical_block_passed,
        recorded_by=by,
    )
