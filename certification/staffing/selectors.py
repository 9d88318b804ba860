"""Questions about shifts: who is away, what a press runs, who stands where."""

import datetime as dt
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Q

from certification.certificates.facts import job_facts, person_facts, rules_in_force
from certification.certificates.selectors import shift_at, today_at_the_plant
from certification.certificates.standing import Asked, buddy_may
from certification.staffing.models import Attendance, ProductionOrder
from training.floor.models import Alert, FirstPiece, Job, Press, Turn, WorkInstruction
from training.people.models import Person

AWAY = (Attendance.Presence.ABSENT, Attendance.Presence.LEAVE)


def absences_at(moment: dt.datetime) -> dict[UUID, str]:
    """Return who is away on the plant day of the moment, and the word for it. One query."""
    rows = Attendance.objects.filter(day=today_at_the_plant(moment), actual__in=AWAY)
    return {row.person_id: row.reason or row.actual for row in rows}


def running_order(press: Press, moment: dt.datetime) -> ProductionOrder | None:
    """Return the order that the press runs at the moment. One query."""
    return (
        ProductionOrder.objects.filter(press=press, starts_at__lte=moment)
        .filter(Q(ends_at=None) | Q(ends_at__gt=moment))
        .select_related("job__group", "press")
        .order_by("-starts_at")
        .first()
    )


def open_turns(press: Press) -> list[Turn]:
    """Return the turns at the press that have not ended, oldest first. One query."""
    turns = Turn.objects.filter(press=press, end=None, corrections=None)
    return list(
        turns.exclude(kind=Turn.Kind.LEARNING)
        .select_related("person", "job")
        .order_by("started_at")
    )


def open_turn_of(person: Person) -> Turn | None:
    """Return where the person stands now, or None. One query."""
    turns = Turn.objects.filter(person=person, end=None, corrections=None)
    return turns.select_related("press", "job").order_by("-started_at").first()


@dataclass(frozen=True)
class PressPapers:
    """What lies at a press for a job on a day: sheet, alerts in force, approved first piece."""

    sheet: WorkInstruction | None
    alerts: tuple[Alert, ...]
    first_piece: FirstPiece | None


def papers_at(job: Job, day: dt.date) -> PressPapers:
    """Return the papers that hold for the job on the day. Costs three queries."""
    sheets = WorkInstruction.objects.filter(job=job, day__lte=day).order_by("day")
    pieces = FirstPiece.objects.filter(job=job).order_by("approved_at")
    return PressPapers(sheets.last(), tuple(Alert.objects.on(day).filter(jobs=job)), pieces.last())


def possible_buddies(person: Person, job: Job, press: Press | None, asked: Asked) -> list[Person]:
    """Return who stands at this press or the next one now and may be the named buddy.

    Costs a fixed number of queries.
    """
    if press is None:
        return []
    places = [press.pk, press.next_press_id] if press.next_press_id else [press.pk]
    turns = Turn.objects.filter(press_id__in=places, end=None, corrections=None)
    beside = [
        turn.person
        for turn in turns.exclude(kind=Turn.Kind.LEARNING).select_related("person__crew")
        if turn.person_id != person.pk
    ]
    facts = person_facts([person, *beside])
    needed = job_facts([job])[job.pk]
    rules = rules_in_force(asked.day)
    return [
        other
        for other in beside
        if buddy_may(
            facts[other.pk], facts[person.pk], needed, rules, asked, same_shift=True, beside=True
        ).may
    ]


def shift_end(moment: dt.datetime) -> dt.datetime | None:
    """Return when the shift that runs at the moment ends. One query."""
    shift = shift_at(moment)
    return shift.ends if shift else None
