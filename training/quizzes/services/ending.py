"""Ending sittings: counts and result are tied to the head of the sitting's own chain."""

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from training.people.models import ChainHead, Person
from training.people.record.chain import append
from training.quizzes.models import Judgement, Sitting, SittingEnd
from training.quizzes.scoring import Counts
from training.quizzes.selectors.progress import Progress, progress_of
from training.quizzes.worked_plan import OPEN_ENDED, Decided
from training.specimens.services.real_parts import count_judged

Reason, Result = SittingEnd.Reason, SittingEnd.Result


@transaction.atomic
def end_sitting(
    *, sitting: Sitting, reason: str, moment: dt.datetime, ended_by: Person | None = None
) -> SittingEnd:
    """End a sitting: complete, decided, lost, or abandoned by whoever ends it."""
    ChainHead.objects.select_for_update().get(name=sitting.own_chain)
    if SittingEnd.objects.filter(sitting=sitting).exists():
        raise ValidationError(_("This sitting has ended already."), code="ended")
    progress = progress_of(sitting)
    counts = progress.counts
    if reason == Reason.DECIDED and not (progress.plan.own and progress.plan.is_over(counts)):
        raise ValidationError(_("This sitting is not decided yet."), code="running")
    if reason == Reason.COMPLETE and len(progress.scored) < progress.plan.total:
        raise ValidationError(_("Not all parts are judged yet."), code="running")
    if reason == Reason.LOST and not progress.plan.is_lost(counts):
        raise ValidationError(_("This sitting can still be passed."), code="running")
    if reason not in Reason.values:
        raise ValidationError(
            _("A sitting ends complete, decided, lost or abandoned."), code="reason"
        )
    return write_end(progress, counts, reason=reason, moment=moment, ended_by=ended_by)


def write_end(
    progress: Progress,
    counts: Counts,
    *,
    reason: str,
    moment: dt.datetime,
    ended_by: Person | None,
) -> SittingEnd:
    """Write the end; the caller holds the lock on the sitting's own chain and has written to it."""
    _count_handlings(progress, ended_by or progress.sitting.person, moment)
    head = ChainHead.objects.get(name=progress.sitting.own_chain)
    decided = decision_of(progress, counts, reason)
    end = SittingEnd(
        sitting=progress.sitting,
        ended_at=moment,
        reason=reason,
        result=result_of(progress, decided),
        counts=counts.as_json(),
        families_passed=decided.families_passed if decided else [],
        critical_block_passed=decided.critical_block if decided else None,
        links=head.position,
        head=head.hash,
        recorded_by_id=ended_by.pk if ended_by else progress.sitting.person_id,
    )
    append(end, moment=moment)
    return end


def _count_handlings(progress: Progress, by: Person, moment: dt.datetime) -> None:
    """Write one handling for each real part that was judged, rightly or not."""
    real = {each.specimen_id for each in progress.presented if not each.specimen.views.all()}
    if real:
        judged = Judgement.objects.filter(
            sitting=progress.sitting, presented__specimen__in=real
        ).values_list("presented__specimen", flat=True)
        count_judged(specimens=list(judged), by=by, moment=moment)


def decision_of(progress: Progress, counts: Counts, reason: str) -> Decided | None:
    """Return what the counts decide; nothing for practice, a study, and what was broken off."""
    if reason == Reason.ABANDONED or progress.plan.form in OPEN_ENDED:
        return None
    return progress.plan.decide(counts)


def result_of(progress: Progress, decided: Decided | None) -> str:
    if decided is None:
        return Result.UNDECIDED
    return Result.PASSED if decided.passed else Result.NOT_PASSED
