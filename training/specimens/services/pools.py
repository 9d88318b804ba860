"""Which pool a specimen is in, and whether it is used at all."""

import datetime as dt
from collections.abc import Collection
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from training.specimens.models import Pool, Specimen
from training.specimens.standards import too_near


@transaction.atomic
def move_pool(*, specimen: Specimen, pool: str, day: dt.date) -> Specimen:
    """Move a specimen to another pool.

    From teaching there is no way back to the exam once somebody was shown its answer. What lies
    within 5 % of its limit on the day never comes into the exam.

    Raises
    ------
    ValidationError
        If its answer was shown, it lies at its limit, or it is retired.
    """
    row = Specimen.objects.select_for_update().get(pk=specimen.pk)
    if pool not in Pool.values:
        raise ValidationError({"pool": _("There is no such pool.")})
    if row.retired_day is not None:
        raise ValidationError({"pool": _("The specimen is retired. Bring it back first.")})
    if pool == Pool.EXAM and row.answer_shown_at is not None:
        raise ValidationError(
            {
                "pool": _(
                    "Its answer was shown on %(day)s: it can teach, but examine nobody any more."
                )
                % {"day": timezone.localdate(row.answer_shown_at).isoformat()}
            }
        )
    decided = Specimen.objects.with_decision(day).get(pk=specimen.pk)
    if pool == Pool.EXAM and too_near(decided.decided_ratio):
        raise ValidationError(
            {
                "pool": _(
                    "It lies within 5 percent of its limit: nobody can be blamed for either answer,"
                    " so no exam rests on it. It can teach."
                )
            }
        )
    row.pool = pool
    row.save(update_fields=["pool"])
    return row


def mark_answer_shown(*, specimens: Collection[UUID], moment: dt.datetime) -> int:
    """Note that somebody was told the answers of these specimens; return how many are new.

    Lessons and practice call it when they show a specimen. Costs one query.
    """
    first_time = Specimen.objects.filter(pk__in=specimens, answer_shown_at=None)
    return first_time.update(answer_shown_at=moment)


@transaction.atomic
def retire_specimen(*, specimen: Specimen, day: dt.date) -> Specimen:
    """Draw a specimen no more from this day on; what was judged on it stands."""
    row = Specimen.objects.select_for_update().get(pk=specimen.pk)
    if row.retired_day is None:
        row.retired_day = day
        row.save(update_fields=["retired_day"])
    return row
