"""Recording the yearly review of an exam plan: the figures as they stood, the decision, signed."""

import datetime as dt
from collections.abc import Mapping
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from training.people.models import Device, Person
from training.people.record.chain import append, erasable
from training.people.signing import sign
from training.quizzes.models import ExamPlan, PlanReview
from training.quizzes.selectors.plans import withdrawal_of

REVIEWED: Final = "reviewed an exam plan"


@transaction.atomic
def review_plan(
    *,
    plan: ExamPlan,
    from_day: dt.date,
    to_day: dt.date,
    figures: Mapping[str, Any],
    decision: str,
    words: str,
    reviewed_by: Person,
    signature_method: str,
    moment: dt.datetime,
    device: Device | None = None,
) -> PlanReview:
    """Record what quality decided about a plan after looking at a period of its sittings.

    Where it is to be withdrawn, no exam is opened under it from here on: see `plan_standings`.
    """
    if from_day > to_day:
        raise ValidationError({"from_day": _("The period would end before it begins.")})
    if to_day > timezone.localdate(moment):
        raise ValidationError({"to_day": _("The period may end today at the latest.")})
    if withdrawal_of(plan, timezone.localdate(moment)) is not None:
        raise ValidationError(
            _("This plan is withdrawn already: a new revision is reviewed from its first day on."),
            code="withdrawn",
        )
    if not words.strip():
        raise ValidationError({"words": _("Say what the decision rests on.")})
    review = PlanReview(
        plan=plan,
        from_day=from_day,
        to_day=to_day,
        figures=dict(figures),
        decision=decision,
        words=erasable(words.strip()),
        recorded_by=reviewed_by,
    )
    if decision not in PlanReview.Decision.values:
        raise ValidationError({"decision": _("Choose one of the three decisions.")})
    append(review, moment=moment)
    sign(
        person=reviewed_by,
        meaning=REVIEWED,
        subject=review,
        method=signature_method,
        moment=moment,
        device=device,
    )
    return review
