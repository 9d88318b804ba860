"""Keeping numbered real parts: registering them, and writing down every handling."""

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from training.floor.limit_rulings import SampleKind
from training.floor.models import Family, Job, JobGroup, LimitSample
from training.people.models import Person
from training.people.record.chain import append, erasable
from training.specimens.models import Condition, Handling, PartCopy, Pool, Specimen
from training.specimens.real_parts import UNFIT

What = Handling.What


@dataclass(frozen=True, slots=True)
class NewCopy:
    """Where a copy is kept, until when it holds, and how often it may be handled unseen."""

    letter: str
    place: str
    expires_day: dt.date | None = None
    most_handlings: int | None = None


@transaction.atomic
def register_real_part(
    *,
    number: str,
    job: Job,
    zone: str,
    family: Family,
    severity: Decimal | None,
    unit: str,
    pool: str,
    copies: Sequence[NewCopy],
    by: Person,
    moment: dt.datetime,
) -> Specimen:
    """Register a numbered real part with its copies; quality decides afterwards what it is.

    Raises
    ------
    ValidationError
        By field: a number already used, no copy, a copy without a place, a day in the past.
    """
    _check_copies(copies, timezone.localdate(moment))
    if (severity is None) != (not unit):
        raise ValidationError({"unit": _("Give severity and unit together, or neither.")})
    if pool not in Pool.values:
        raise ValidationError({"pool": _("There is no such pool.")})
    specimen = Specimen(
        number=number.strip(),
        job=job,
        zone=zone,
        family=family,
        severity=severity,
        unit=unit,
        pool=pool,
        created_at=moment,
        created_by=by,
    )
    specimen.full_clean()
    specimen.save()
    _save_copies(copies, timezone.localdate(moment), specimen=specimen)
    return specimen


@transaction.atomic
def register_limit_sample(
    *,
    code: str,
    job_group: JobGroup,
    family: Family,
    zone: str,
    text: Mapping[str, str],
    kind: str,
    expires_day: dt.date,
    second_signature: str,
    copies: Sequence[NewCopy],
    signed_by: Person,
    moment: dt.datetime,
) -> LimitSample:
    """Register a signed limit sample with its copies; the view writes the signature.

    Raises
    ------
    ValidationError
        By field.
    """
    today = timezone.localdate(moment)
    _check_copies(copies, today)
    if kind not in set(SampleKind):
        raise ValidationError({"kind": _("A sample shows the worst accepted or least refused.")})
    if expires_day <= today:
        raise ValidationError({"expires_day": _("Give a day after today.")})
    sample = LimitSample(
        code=code.strip(),
        job_group=job_group,
        family=family,
        zone=zone,
        text=dict(text),
        kind=kind,
        copies=len(copies),
        place="; ".join(copy.place for copy in copies),
        signed_day=today,
        expires_day=expires_day,
        signed_by=signed_by,
        second_signature=second_signature.strip(),
    )
    sample.full_clean()
    sample.save()
    _save_copies(copies, today, limit_sample=sample)
    return sample


def _check_copies(copies: Sequence[NewCopy], today: dt.date) -> None:
    if not copies:
        raise ValidationError({"place_a": _("Register at least one copy: say where it is kept.")})
    for copy in copies:
        if not copy.place.strip():
            raise ValidationError({f"place_{copy.letter.lower()}": _("Say where it is kept.")})
        if copy.expires_day is not None and copy.expires_day <= today:
            raise ValidationError({"expires_day": _("Give a day after today.")})


def _save_copies(
    copies: Sequence[NewCopy],
    today: dt.date,
    *,
    specimen: Specimen | None = None,
    limit_sample: LimitSample | None = None,
) -> None:
    for copy in copies:
        PartCopy.objects.create(
            specimen=specimen,
            limit_sample=limit_sample,
            letter=copy.letter,
            place=copy.place.strip(),
            registered_day=today,
            expires_day=copy.expires_day,
            most_handlings=copy.most_handlings,
        )


@transaction.atomic
def record_handling(
    *,
    copy: PartCopy,
    what: str,
    condition: str,
    by: Person,
    moment: dt.datetime,
    times: int = 1,
    place: str = "",
    expires_day: dt.date | None = None,
    words: str = "",
) -> Handling:
    """Write down what was done with a copy and how it was found.

    A damaged or lost copy is not judged any more. When no copy of a limit sample is left that is
    fit, the sample ends with yesterday: from today the limit that rests on it asks for quality.

    Raises
    ------
    ValidationError
        By field: a withdrawn copy, a renewal without a later day or of what has expired already, a
        move without a place.
    """
    today = timezone.localdate(moment)
    row = PartCopy.objects.select_for_update().get(pk=copy.pk)
    if row.withdrawn_day is not None and row.withdrawn_day <= today:
        raise ValidationError(_("This copy is withdrawn: nothing more is written for it."))
    if what == What.RENEWED:
        _check_renewal(row, expires_day, condition, today)
        row.expires_day = expires_day
    if what == What.MOVED and not place.strip():
        raise ValidationError({"place": _("Say where it is kept from now on.")})
    if place.strip():
        row.place = place.strip()
    row.save(update_fields=["place", "expires_day"])
    entry = Handling(
        copy=row,
        what=what,
        at=moment,
        times=times,
        condition=condition,
        place=place.strip(),
        expires_day=expires_day if what == What.RENEWED else None,
        words=erasable(words.strip()) if words.strip() else None,
        recorded_by=by,
    )
    entry.full_clean(exclude=["chain", "position", "previous_hash", "hash", "recorded_at"])
    append(entry, moment=moment)
    if row.limit_sample_id is not None:
        _settle_sample(row.limit_sample_id, today)
    return entry


def _check_renewal(
    row: PartCopy, expires_day: dt.date | None, condition: str, today: dt.date
) -> None:
    if expires_day is None or expires_day <= today:
        raise ValidationError({"expires_day": _("Give the new last day, after today.")})
    if row.expires_day is not None and row.expires_day < today:
        raise ValidationError(
            {
                "expires_day": _(
                    "It expired on %(day)s. What was judged since had no valid sample: register"
                    " and sign a new one."
                )
                % {"day": row.expires_day.isoformat()}
            }
        )
    if condition in UNFIT:
        raise ValidationError({"condition": _("A damaged or lost part is not made valid longer.")})


@transaction.atomic
def withdraw_copy(*, copy: PartCopy, day: dt.date) -> PartCopy:
    """Use a copy no more from this day on."""
    row = PartCopy.objects.select_for_update().get(pk=copy.pk)
    if row.withdrawn_day is None:
        row.withdrawn_day = day
        row.save(update_fields=["withdrawn_day"])
    if row.limit_sample_id is not None:
        _settle_sample(row.limit_sample_id, day)
    return row


def _settle_sample(sample_id: UUID, today: dt.date) -> None:
    """Let a limit sample end with its last usable copy; a renewed copy carries it further."""
    sample = LimitSample.objects.select_for_update().get(pk=sample_id)
    left = list(PartCopy.objects.usable(today).filter(limit_sample=sample))
    ends = max((copy.expires_day or sample.expires_day for copy in left), default=None)
    last = today - dt.timedelta(days=1) if ends is None else ends
    if sample.expires_day >= today and sample.expires_day != last:
        sample.expires_day = last
        sample.save(update_fields=["expires_day"])


def count_judged(*, specimens: Collection[UUID], by: Person, moment: dt.datetime) -> int:
    """Write one handling for the copy used of each specimen that was judged; return how many."""
    day = timezone.localdate(moment)
    used: dict[UUID, PartCopy] = {}
    for copy in PartCopy.objects.usable(day).filter(specimen__in=specimens).order_by("-letter"):
        if copy.specimen_id is not None:
            used[copy.specimen_id] = copy
    entries = [
        Handling(
            copy=copy,
            what=What.JUDGED,
            at=moment,
            condition=Condition(copy.condition),
            recorded_by=by,
        )
        for copy in used.values()
    ]
    if entries:
        append(*entries, moment=moment)
    return len(entries)
