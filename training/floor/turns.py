"""Recording turns at the press: taking over, leaving, and what cannot have been."""

import datetime as dt
from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from training.floor.models import Alert, Job, Press, Turn, TurnEnd, WorkInstruction
from training.floor.turn_selectors import open_turns_at, open_turns_of
from training.people.models import Crew, Person
from training.people.record.chain import append, erasable


@transaction.atomic
def start_turn(
    *,
    press: Press,
    job: Job,
    person: Person,
    moment: dt.datetime,
    day: dt.date,
    crew: Crew | None = None,
    kind: str = Turn.Kind.TURN,
    buddy: Person | None = None,
    takes_over_from: Person | None = None,
    first_piece_seen: bool = False,
    work_instruction: WorkInstruction | None = None,
    alerts: Sequence[str] = (),
    exception_no: str = "",
    note: str = "",
    recorded_by: Person | None = None,
) -> Turn:
    """Record that a person takes a press; `day` is the day the shift began.

    `takes_over_from` ends that person's turn at this press at the same moment. Whether the person
    may run the job is asked before, by who calls; here only what cannot have been is refused.
    """
    # One after the other: two tablets must not fill the same place at the same moment.
    press = Press.objects.select_for_update().get(pk=press.pk)
    person = Person.objects.select_for_update(of=("self",)).get(pk=person.pk)
    _check_kind(job, press, kind, person, buddy)
    if takes_over_from is not None:
        _hand_over(press, takes_over_from, moment, recorded_by or person)
    _check_elsewhere(person, press, job, day)
    if kind != Turn.Kind.LEARNING:
        _check_place(press, job)
    turn = Turn(
        press=press,
        job=job,
        person=person,
        kind=kind,
        buddy=buddy,
        day=day,
        crew=crew,
        started_at=moment,
        first_piece_seen=first_piece_seen,
        work_instruction=work_instruction,
        alerts=list(alerts),
        exception_no=exception_no,
        note=erasable(note) if note else None,
        recorded_by=recorded_by or person,
    )
    append(turn, moment=moment)
    return turn


@transaction.atomic
def end_turn(*, turn: Turn, moment: dt.datetime, recorded_by: Person | None = None) -> TurnEnd:
    """Record that a turn ends; a turn ends once, and not before it began."""
    Press.objects.select_for_update().get(pk=turn.press_id)
    ended = TurnEnd.objects.filter(turn=turn).first()
    if ended is not None:
        raise ValidationError(
            _("This turn ended at %(clock)s already.") % {"clock": _clock(ended.ended_at)}
        )
    if moment < turn.started_at:
        raise ValidationError(
            _("The turn began at %(clock)s; it cannot end before.")
            % {"clock": _clock(turn.started_at)}
        )
    end = TurnEnd(turn=turn, ended_at=moment, recorded_by=recorded_by)
    append(end, moment=moment)
    return end


def _hand_over(press: Press, giver: Person, moment: dt.datetime, by: Person) -> None:
    turn = next((turn for turn in open_turns_at(press) if turn.person_id == giver.pk), None)
    if turn is None:
        raise ValidationError(
            _("%(name)s does not stand at press %(press)s.") % {"name": giver, "press": press}
        )
    end_turn(turn=turn, moment=moment, recorded_by=by)


def _check_kind(job: Job, press: Press, kind: str, person: Person, buddy: Person | None) -> None:
    if kind not in Turn.Kind.values:
        raise ValidationError(_("There is no turn of the kind %(kind)s.") % {"kind": kind})
    named = kind in (Turn.Kind.UNDER_SUPERVISION, Turn.Kind.LEARNING)
    if kind == Turn.Kind.UNDER_SUPERVISION and buddy is None:
        raise ValidationError(_("A turn under supervision names its buddy."))
    if buddy is not None and (not named or buddy.pk == person.pk):
        raise ValidationError(_("A buddy is somebody else, and only for who is still learning."))
    allowed = {job.press_id, *job.alternates.values_list("pk", flat=True)}
    if None not in allowed and press.pk not in allowed:
        raise ValidationError(
            _("Job %(job)s does not run on press %(press)s.") % {"job": job, "press": press}
        )


def _check_place(press: Press, job: Job) -> None:
    standing = [turn for turn in open_turns_at(press) if turn.kind != Turn.Kind.LEARNING]
    other = next((turn for turn in standing if turn.job_id != job.pk), None)
    if other is not None:
        raise ValidationError(
            _("%(name)s still runs job %(job)s on press %(press)s. Let that turn end first.")
            % {"name": other.person, "job": other.job, "press": press}
        )
    if len(standing) >= job.persons:
        names = ", ".join(str(turn.person) for turn in standing)
        raise ValidationError(
            _("Press %(press)s is taken: %(names)s, since %(clock)s. Take it over from them.")
            % {"press": press, "names": names, "clock": _clock(standing[0].started_at)}
        )


def _check_elsewhere(person: Person, press: Press, job: Job, day: dt.date) -> None:
    for turn in open_turns_of(person):
        if turn.press_id == press.pk:
            raise ValidationError(
                _("%(name)s stands at press %(press)s already, since %(clock)s.")
                % {"name": person, "press": press, "clock": _clock(turn.started_at)}
            )
        if not _may_tend_both(turn, press, job, day):
            raise ValidationError(
                _("%(name)s stands at press %(press)s since %(clock)s. Leave it first.")
                % {"name": person, "press": turn.press, "clock": _clock(turn.started_at)}
            )


def _may_tend_both(turn: Turn, press: Press, job: Job, day: dt.date) -> bool:
    """Two neighbouring presses may be tended together where the jobs say so and no alert forbids it."""
    if press.next_press_id != turn.press_id or turn.kind == Turn.Kind.LEARNING:
        return False
    if not job.tended_with.filter(pk=turn.job_id).exists():
        return False
    return (
        not Alert.objects.on(day).filter(jobs__in=[job.pk, turn.job_id], tend_alone=True).exists()
    )


def _clock(moment: dt.datetime) -> str:
    return f"{timezone.localtime(moment, timezone.get_default_timezone()):%H:%M}"
