"""Recording judgements: append-only, safe to send twice, in the order they were handed out."""

import datetime as dt
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from training.floor.models import Family
from training.people.models import ChainHead
from training.people.record.chain import append
from training.quizzes.models import Action, Judgement, Presented, Sitting, SittingEnd
from training.quizzes.scoring import Counts
from training.quizzes.selectors.progress import (
    Progress,
    counts_of,
    handed_out,
    next_of,
    progress_of,
)
from training.quizzes.services.ending import write_end
from training.specimens.models import ReferenceDecision, View

ACCEPT, REJECT = ReferenceDecision.Decision.ACCEPT, ReferenceDecision.Decision.REJECT
LONGEST_MS: Final = 24 * 3600 * 1000


@dataclass(frozen=True, slots=True)
class Given:
    """One answer as the device sends it; `view` counts the specimen's views from 0."""

    judgement_id: uuid.UUID
    ordinal: int
    answer: str
    judging_ms: int
    answered_at: dt.datetime
    place: tuple[int, int] | None = None
    view: int = 0
    family: str = ""
    action: str = ""


class Stored(StrEnum):
    """What became of an answer that was kept."""

    SCORED = "scored"
    UNSCORED = "unscored"
    ALREADY = "already"


class RefusedError(ValidationError):
    """An answer that cannot be kept; `code` is ordinal, conflict, ended, look or answer."""


@dataclass(frozen=True)
class Receipt:
    """What became of one answer: the row it is kept in, or why it is not kept."""

    given: Given
    stored: Stored | None = None
    judgement: Judgement | None = None
    error: RefusedError | None = None


@dataclass(frozen=True)
class Recorded:
    """What became of a batch, how far the sitting has come, and its end if it is over."""

    receipts: tuple[Receipt, ...]
    judged: int
    total: int
    handed_out: int
    end: SittingEnd | None


def record_judgement(
    *,
    sitting: Sitting,
    presented_ordinal: int,
    judgement_id: uuid.UUID,
    answer: str,
    judging_ms: int,
    answered_at: dt.datetime,
    moment: dt.datetime,
    place: tuple[int, int] | None = None,
    view: int = 0,
    family: str = "",
    action: str = "",
) -> Recorded:
    """Record one answer; raise RefusedError where it cannot be kept.

    The same answer under the same identifier may come twice: the second changes nothing and gives
    the same receipt.
    """
    given = Given(
        judgement_id=judgement_id,
        ordinal=presented_ordinal,
        answer=answer,
        judging_ms=judging_ms,
        answered_at=answered_at,
        place=place,
        view=view,
        family=family,
        action=action,
    )
    recorded = record_judgements(sitting=sitting, answers=[given], moment=moment)
    error = recorded.receipts[0].error
    if error is not None:
        raise error
    return recorded


@transaction.atomic
def record_judgements(
    *, sitting: Sitting, answers: Sequence[Given], moment: dt.datetime
) -> Recorded:
    """Record answers in the order given, each by the same rules as if it came alone.

    The sitting ends by itself when all is judged, when both sides of an own plan are decided, or
    when it can no longer be passed and its plan stops there. Answers that follow are kept unscored if
    the device already held the picture, and refused otherwise. Costs the same queries whether answers
    are right or wrong.
    """
    # Locking the sitting's own chain lets one answer after the other see the state before it.
    ChainHead.objects.select_for_update().get(name=sitting.own_chain)
    desk = _Desk(sitting, moment, answers)
    receipts = tuple(desk.take(given) for given in answers)
    append(*desk.new, chain=sitting.own_chain, moment=moment)
    end = desk.end
    if end is None and desk.over:
        end = write_end(
            desk.progress, desk.counts, reason=desk.reason, moment=moment, ended_by=None
        )
    plan = desk.progress.plan
    return Recorded(receipts, len(desk.scored), plan.total, handed_out(desk.scored, plan), end)


class _Desk:
    """The state of a sitting while a batch of answers is taken."""

    def __init__(self, sitting: Sitting, moment: dt.datetime, answers: Sequence[Given]) -> None:
        self.progress: Progress = progress_of(sitting)
        self.moment = moment
        self.end = SittingEnd.objects.filter(sitting=sitting).first()
        self.known = {
            each.pk: each
            for each in Judgement.objects.filter(
                pk__in=[given.judgement_id for given in answers]
            ).select_related("family", "view")
        }
        slugs = {given.family for given in answers}
        self.families = {each.slug: each for each in Family.objects.filter(slug__in=slugs)}
        self.by_presented = {each.presented_id: each for each in self.progress.judgements}
        self.scored = dict(self.progress.scored)
        self.new: list[Judgement] = []

    @property
    def counts(self) -> Counts:
        return counts_of(self.progress, self.scored.items())

    @property
    def over(self) -> bool:
        return self.end is not None or self.progress.plan.is_over(self.counts)

    @property
    def reason(self) -> str:
        if self.progress.plan.own is not None:
            return SittingEnd.Reason.DECIDED
        whole = len(self.scored) >= self.progress.plan.total
        return SittingEnd.Reason.COMPLETE if whole else SittingEnd.Reason.LOST

    def take(self, given: Given) -> Receipt:
        try:
            known = self.known.get(given.judgement_id)
            if known is not None:
                self._check_same(known, given)
                return Receipt(given, Stored.ALREADY, known)
            presented = self._presented(given)
            judgement = self._judgement(presented, given)
        except RefusedError as error:
            return Receipt(given, error=error)
        self.known[judgement.pk] = judgement
        self.by_presented[presented.pk] = judgement
        self.new.append(judgement)
        if judgement.scored:
            self.scored[given.ordinal] = judgement
        return Receipt(given, Stored.SCORED if judgement.scored else Stored.UNSCORED, judgement)

    def _check_same(self, known: Judgement, given: Given) -> None:
        presented = self.progress.by_ordinal.get(given.ordinal)
        place = None if known.place_x is None else (known.place_x, known.place_y)
        same = (
            presented is not None
            and known.presented_id == presented.pk
            and known.answer == given.answer
            and place == given.place
            and (known.family.slug if known.family else "") == given.family
            and known.action == given.action
        )
        if not same:
            raise RefusedError(
                _("This identifier already belongs to another answer."), code="conflict"
            )

    def _presented(self, given: Given) -> Presented:
        plan = self.progress.plan
        presented = self.progress.by_ordinal.get(given.ordinal)
        ahead = given.ordinal > handed_out(self.scored, plan)
        if presented is None or (ahead and not self.over):
            raise RefusedError(
                _("Part %(n)s has not been handed out; the next is part %(next)s.")
                % {"n": given.ordinal, "next": min(next_of(self.scored, plan.total), plan.total)},
                code="ordinal",
            )
        if presented.pk in self.by_presented:
            raise RefusedError(
                _("Part %(n)s has been judged already.") % {"n": given.ordinal}, code="conflict"
            )
        if ahead:
            raise RefusedError(
                _("The sitting has ended; part %(n)s was not handed out before.")
                % {"n": given.ordinal},
                code="ended",
            )
        return presented

    def _judgement(self, presented: Presented, given: Given) -> Judgement:
        sitting = self.progress.sitting
        least = self.progress.plan.least_look_ms
        if not least <= given.judging_ms <= LONGEST_MS:
            raise RefusedError(
                _("A part must be looked at for at least %(s)s seconds.") % {"s": least / 1000},
                code="look",
            )
        view = self._checked_answer(presented, given)
        x, y = given.place if given.place is not None else (None, None)
        return Judgement(
            pk=given.judgement_id,
            sitting=sitting,
            presented=presented,
            answer=given.answer,
            view=view,
            place_x=x,
            place_y=y,
            family=self.families.get(given.family),
            action=given.action,
            judging_ms=given.judging_ms,
            # A tablet's clock may be wrong: an answer lies between the opening and its arrival.
            answered_at=min(max(given.answered_at, sitting.opened_at), self.moment),
            scored=not self.over,
            recorded_by_id=sitting.person_id,
        )

    def _checked_answer(self, presented: Presented, given: Given) -> View | None:
        """Return the view that was tapped, or None; refuse an answer that is not whole."""
        if given.answer == ACCEPT and not (given.place or given.family or given.action):
            return None
        if given.answer != REJECT:
            raise RefusedError(
                _("An answer is accept alone, or reject with place, family and action."),
                code="answer",
            )
        if self.progress.plan.exercise and not given.place and not given.action:
            # Parts shown together are told apart: neither place nor action is asked.
            return None
        if given.family not in self.families or given.action not in Action.values:
            raise RefusedError(
                _("A rejected part needs a family and one of the four actions."), code="answer"
            )
        if given.place is None:
            return None
        views = list(presented.specimen.views.all())
        if not 0 <= given.view < len(views) or not _on_picture(views[given.view], given.place):
            raise RefusedError(_("The tapped place lies outside the picture."), code="answer")
        return views[given.view]


def _on_picture(view: View, place: tuple[int, int]) -> bool:
    frames = list(view.frames.all())
    width = max((frame.width for frame in frames), default=0)
    height = max((frame.height for frame in frames), default=0)
    return 0 <= place[0] <= width and 0 <= place[1] <= height
