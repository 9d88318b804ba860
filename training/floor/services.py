"""Changing what a job accepts and what people have read: sheets, first pieces, readings."""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from training.floor.limits import Line, line_data
from training.floor.models import (
    Acknowledgement,
    Alert,
    Caution,
    Family,
    FirstPiece,
    Job,
    Level,
    LimitLine,
    PaceChange,
    WorkInstruction,
)
from training.floor.selectors import sheet_in_force
from training.people.models import Device, Person
from training.people.record.chain import append, erasable
from training.people.signing import sign
from training.people.texts import validate_text

Readable = WorkInstruction | Alert | Caution
SET_PACE: Final = "set the pace of a job"


@transaction.atomic
def publish_work_instruction(
    *,
    job: Job,
    revision: str,
    day: dt.date,
    needs: Mapping[str, str],
    lines: Iterable[Line],
    steps: Mapping[str, Sequence[str]] | None = None,
    signed_by: Person | None = None,
    reason: str = "",
) -> WorkInstruction:
    """Publish a revision of a job's sheet with its limits; nothing of it is ever changed again.

    `needs` gives the level of each family by its slug; `steps` the steps of work by language. A
    revision that replaces another asks everybody for its 5-specimen check.
    """
    newest = WorkInstruction.objects.filter(job=job).newest_first().first()
    if newest is not None and day < newest.day:
        raise ValidationError(
            {
                "day": _("Revision %(revision)s is of %(day)s; a new one cannot be older.")
                % {"revision": newest.revision, "day": newest.day}
            }
        )
    _check_needs(needs)
    sheet = WorkInstruction(
        job=job,
        revision=revision.strip(),
        day=day,
        replaces_with_check=newest is not None,
        steps={language: list(words) for language, words in (steps or {}).items()},
        needs=dict(needs),
        signed_by=signed_by,
        reason=reason,
    )
    sheet.full_clean()
    sheet.save()
    save_lines(list(lines), work_instruction=sheet)
    return sheet


@transaction.atomic
def set_pace(
    *,
    job: Job,
    seconds: int | None,
    reason: str,
    by: Person,
    signature_method: str,
    moment: dt.datetime,
    device: Device | None = None,
) -> PaceChange:
    """Set how long a part of a job is usually looked at; None shows no pace. It times nothing.

    What it was before, who changed it and why are kept, signed.
    """
    job = Job.objects.select_for_update().get(pk=job.pk)
    if job.pace_s == seconds:
        raise ValidationError({"pace_s": _("This is the pace already: nothing is changed.")})
    if not reason.strip():
        raise ValidationError({"reason": _("Say why the pace is changed.")})
    change = PaceChange(
        job=job,
        before_s=job.pace_s,
        after_s=seconds,
        reason=erasable(reason.strip()),
        recorded_by=by,
    )
    job.pace_s = seconds
    job.save(update_fields=["pace_s"])
    append(change, moment=moment)
    sign(
        person=by,
        meaning=SET_PACE,
        subject=change,
        method=signature_method,
        moment=moment,
        device=device,
    )
    return change


def _check_needs(needs: Mapping[str, str]) -> None:
    if not needs:
        raise ValidationError({"needs": _("A job needs at least one defect family.")})
    known = set(Family.objects.filter(slug__in=needs).values_list("slug", flat=True))
    unknown = sorted(set(needs) - known)
    if unknown:
        raise ValidationError(
            {
                "needs": _("There is no defect family %(families)s.")
                % {"families": ", ".join(unknown)}
            }
        )
    if set(needs.values()) - set(Level.values):
        raise ValidationError({"needs": _("A level is ordinary or critical.")})


def save_lines(lines: Sequence[Line], **source: Any) -> list[LimitLine]:
    """Store lines under their one source: work_instruction, general, alert or concession."""
    families = {
        family.slug: family
        for family in Family.objects.filter(slug__in={line.family for line in lines})
    }
    unknown = sorted({line.family for line in lines} - set(families))
    if unknown:
        raise ValidationError(
            {
                "family": _("There is no defect family %(families)s.")
                % {"families": ", ".join(unknown)}
            }
        )
    rows = [
        LimitLine(
            family=families[line.family],
            zone=line.zone,
            position=position,
            measure=measure_of(line),
            **source,
        )
        for position, line in enumerate(lines)
    ]
    return LimitLine.objects.bulk_create(rows)


def measure_of(line: Line) -> dict[str, Any]:
    """Return what is stored of a line beside its family and zone."""
    return {key: value for key, value in line_data(line).items() if key not in ("family", "zone")}


def acknowledge(
    *, person: Person, subject: Readable, moment: dt.datetime, day: dt.date, basis: str = "tablet"
) -> Acknowledgement:
    """Record that a person has read a sheet, an alert or a caution; once is enough.

    `day` is the plant day of the moment. Reading again gives back the first reading.
    """
    name, kind = {
        WorkInstruction: ("work_instruction", Acknowledgement.Kind.WORK_INSTRUCTION),
        Alert: ("alert", Acknowledgement.Kind.ALERT),
        Caution: ("caution", Acknowledgement.Kind.CAUTION),
    }[type(subject)]
    with transaction.atomic():
        # Held while looking, so that two taps make one fact.
        Person.objects.select_for_update(of=("self",)).get(pk=person.pk)
        known = Acknowledgement.objects.filter(person=person, **{name: subject}).first()
        if known is not None:
            return known
        reading = Acknowledgement(
            person=person,
            kind=kind,
            day=day,
            read_at=moment,
            basis=basis,
            recorded_by=person,
            **{name: subject},
        )
        append(reading, moment=moment)
    return reading


CHECK_SHOWN = 5


def record_reading_check(
    *,
    person: Person,
    sheet: WorkInstruction,
    right: int,
    by: Person,
    moment: dt.datetime,
    day: dt.date,
) -> Acknowledgement:
    """Record how many of the five parts of a replacing revision's check a person judged right.

    It is shown after the reading and by somebody else; all five right pass it. One that did not
    pass is kept, and the check may be shown again.
    """
    if person.pk == by.pk:
        raise ValidationError({"person": _("Nobody shows the check to themselves.")})
    if not 0 <= right <= CHECK_SHOWN:
        raise ValidationError({"right": _("Five parts are shown: give 0 to 5.")})
    if not Acknowledgement.objects.filter(person=person, work_instruction=sheet).exists():
        raise ValidationError(
            {
                "person": _("%(person)s has not read revision %(revision)s yet.")
                % {"person": person, "revision": sheet.revision}
            }
        )
    check = Acknowledgement(
        person=person,
        kind=Acknowledgement.Kind.WORK_INSTRUCTION,
        work_instruction=sheet,
        day=day,
        read_at=moment,
        check_right=right,
        check_shown=CHECK_SHOWN,
        basis="parts shown",
        recorded_by=by,
    )
    append(check, moment=moment)
    return check


@transaction.atomic
def approve_first_piece(
    *,
    job: Job,
    revision: str,
    tag: Mapping[str, object],
    marks: Sequence[Mapping[str, object]] = (),
    approved_by: Person,
    checked_by: Person | None = None,
    moment: dt.datetime,
    day: dt.date,
) -> FirstPiece:
    """Record the part that quality approves for a run, made by the sheet in force on the day.

    Each mark is {"x": share of the width, "y": share of the height, "note": text or None}.
    """
    sheet = sheet_in_force(job, day)
    if sheet is None:
        raise ValidationError(_("Job %(job)s has no work instruction yet.") % {"job": job})
    if checked_by is not None and checked_by.pk == approved_by.pk:
        raise ValidationError(_("Who approves the first piece is not who checked it."))
    for mark in marks:
        _check_mark(mark)
    piece = FirstPiece(
        job=job,
        revision=revision.strip(),
        work_instruction=sheet,
        approved_at=moment,
        approved_by=approved_by,
        checked_by=checked_by,
        tag={**tag, "wi_revision": sheet.revision},
        marks=[dict(mark) for mark in marks],
    )
    piece.full_clean()
    piece.save()
    return piece


def _check_mark(mark: Mapping[str, object]) -> None:
    for axis in ("x", "y"):
        share = mark.get(axis)
        if not isinstance(share, int | float) or not 0 <= share <= 1:
            raise ValidationError(
                {"marks": _("A mark lies on the picture: x and y are shares from 0 to 1.")}
            )
    if mark.get("note") is not None:
        validate_text(mark["note"])
