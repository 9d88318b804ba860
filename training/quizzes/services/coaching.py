"""Recording coaching: who went through what was missed, with whom, before another try."""

import datetime as dt
from collections.abc import Collection

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from training.people.models import Device, Person, Role
from training.people.record.chain import append, erasable
from training.people.signing import sign
from training.quizzes.again_words import written_day
from training.quizzes.models import Coaching, Sitting, SittingEnd
from training.quizzes.selectors.tries import COACHED, RELEASED, families_not_passed

MOST_MINUTES = 600


@transaction.atomic
def record_coaching(
    *,
    sitting: Sitting,
    families: Collection[str],
    coach: Person,
    day: dt.date,
    minutes: int | None,
    words: str,
    signature_method: str,
    moment: dt.datetime,
    device: Device | None = None,
) -> Coaching:
    """Record that a coach went through families not passed; the coach has just signed.

    `families` are slugs of families that the exam did not pass. Quality's signature also releases
    another try where the plan's tries are used up.
    """
    if coach.pk == sitting.person_id:
        raise ValidationError(_("Nobody coaches themselves: ask another trainer, or quality."))
    _check_families(sitting, families)
    _check_day(sitting, day, timezone.localdate(moment))
    if minutes is not None and not 1 <= minutes <= MOST_MINUTES:
        raise ValidationError(
            {"minutes": _("Give 1 to %(most)s minutes.") % {"most": MOST_MINUTES}}
        )
    if not words.strip():
        raise ValidationError({"words": _("Say what was gone through.")})
    coaching = Coaching(
        person_id=sitting.person_id,
        sitting=sitting,
        families=[slug for slug in sitting.families if slug in families],
        coach=coach,
        day=day,
        minutes=minutes,
        words=erasable(words.strip()),
        recorded_by=coach,
    )
    append(coaching, moment=moment)
    sign(
        person=coach,
        meaning=RELEASED if Role.QUALITY in coach.roles() else COACHED,
        subject=coaching,
        method=signature_method,
        moment=moment,
        device=device,
    )
    return coaching


def _check_families(sitting: Sitting, families: Collection[str]) -> None:
    missed = families_not_passed(sitting)
    if not missed:
        raise ValidationError(
            _("Exam %(number)s leaves nothing to coach: it is not decided, or all was passed.")
            % {"number": sitting.number}
        )
    if not families or set(families) - set(missed):
        raise ValidationError(
            {"families": _("Choose at least one family that this exam did not pass.")}
        )


def _check_day(sitting: Sitting, day: dt.date, today: dt.date) -> None:
    ended = timezone.localdate(SittingEnd.objects.get(sitting=sitting).ended_at)
    if not ended <= day <= today:
        raise ValidationError(
            {
                "day": _("Coaching lies between the exam, %(day)s, and today.")
                % {"day": written_day(ended)}
            }
        )
