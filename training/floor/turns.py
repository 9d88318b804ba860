"""Turns at the press: taking over, relieving and leaving, each a fact of its own."""

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from training.floor.models import Job, Press, Turn, TurnEnd, WorkInstruction
from training.people.models import Crew, Person
from training.people.record.chain import append


@transaction.atomic
def start_turn(
    *,
    press: Press,
    job: Job,
    person: Person,
    moment: dt.datetime,
    day: dt.date,
    crew: Crew | None,
    kind: str = Turn.Kind.TURN,
    buddy: Person | None = None,
    takes_over_from: Person | None = None,
    first_piece_seen: bool = False,
    work_instruction: WorkInstruction | None = None,
    alerts: tuple[str, ...] = (),
) -> Turn:
    """Record that somebody stands at the press from this moment on.

    `day` is the plant day of which the rule was asked. Somebody who still stands elsewhere must
    leave there first; a press that has its people must be taken over from one of them.
    """
    elsewhere = Turn.objects.filter(person=person, end=None, corrections=None).first()
    if elsewhere is not None:
        raise ValidationError(
            _("%(name)s still stands at %(press)s. Leave that press first.")
            % {"name": person.name, "press": elsewhere.press.code}
        )
    standing = _standing_at(press)
    if takes_over_from is not None:
        held = next((turn for turn in standing if turn.person_id == takes_over_from.pk), None)
        if held is None:
            raise ValidationError(
                _("%(name)s does not stand at %(press)s.")
                % {"name": takes_over_from.name, "press": press.code}
            )
        end_turn(turn=held, moment=moment, recorded_by=person)
    elif kind != Turn.Kind.LEARNING and len(standing) >= job.persons:
        raise ValidationError(
            _("%(press)s has its people: %(names)s. Take over from one of them.")
            % {"press": press.code, "names": ", ".join(turn.person.name for turn in standing)}
        )
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
        recorded_by=person,
    )
    append(turn, moment=moment)
    return turn


def end_turn(*, turn: Turn, moment: dt.datetime, recorded_by: Person) -> TurnEnd:
    """Record that a turn ended; a turn ends once, and not before it began."""
    if moment < turn.started_at:
        raise ValidationError(_("A turn cannot end before it began."))
    if TurnEnd.objects.filter(turn=turn).exists():
        raise ValidationError(_("This turn has ended already."))
    end = TurnEnd(turn=turn, ended_at=moment, recorded_by=recorded_by)
    append(end, moment=moment)
    return end


def _standing_at(press: Press) -> list[Turn]:
    turns = Turn.objects.filter(press=press, end=None, corrections=None)
    return list(turns.exclude(kind=Turn.Kind.LEARNING).select_related("person"))
