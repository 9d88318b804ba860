"""The press check and taking a press: asking the rule, writing the answer down, recording turns."""

import datetime as dt
import uuid
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from certification.certificates.selectors import (
    Explained,
    asked_at,
    in_words,
    language_now,
    may_run,
    names,
    shift_at,
    today_at_the_plant,
)
from certification.certificates.standing import Answer, Verdict
from certification.staffing.models import PressCheck
from certification.staffing.selectors import (
    open_turn_of,
    papers_at,
    possible_buddies,
    shift_end,
)
from training.floor.models import Job, Press, Turn
from training.floor.turns import end_turn, start_turn
from training.people.models import Device, Person
from training.people.selectors import person_with_badge


@dataclass(frozen=True)
class CheckResult:
    """The answer to "may badge N run job J now?", in facts and in words."""

    badge: str
    person: Person | None
    job: Job
    press: Press | None
    asked_at: dt.datetime
    answer: Answer | None
    words: Explained | None
    buddies: tuple[Person, ...]

    @property
    def verdict(self) -> str:
        return str(self.answer.verdict) if self.answer else PressCheck.Verdict.UNKNOWN_BADGE


def check_press(
    *,
    badge: str,
    job: Job,
    press: Press | None,
    moment: dt.datetime,
    device: Device | None = None,
    asked_by: Person | None = None,
) -> CheckResult:
    """Answer and log the question; the log is append-only. A fixed number of queries."""
    day = today_at_the_plant(moment)
    person = person_with_badge(badge, day)
    answer, words = None, None
    buddies: tuple[Person, ...] = ()
    if person is not None:
        asked = asked_at(moment, shift_end(moment))
        answer = may_run(person, job, asked)
        words = in_words(answer, day=day, known=names(), language=language_now())
        if answer.verdict is Verdict.BUDDY:
            buddies = tuple(possible_buddies(person, job, press, asked))
    result = CheckResult(badge, person, job, press, moment, answer, words, buddies)
    PressCheck.objects.create(
        id=uuid.uuid4(),
        recorded_at=moment,
        badge=badge[:20],
        person=person,
        job=job,
        press=press,
        asked_at=moment,
        verdict=result.verdict,
        reason_codes=[str(reason.code) for reason in answer.reasons] if answer else [],
        device=device,
        asked_by=asked_by,
    )
    return result


@transaction.atomic
def take_press(
    *,
    person: Person,
    badge: str,
    press: Press,
    job: Job,
    moment: dt.datetime,
    device: Device | None,
    relief: bool = False,
    first_piece_seen: bool = False,
    buddy: Person | None = None,
    takes_over_from: Person | None = None,
) -> Turn:
    """Check that the person may run the job now and record the turn; refuse with every reason."""
    result = check_press(
        badge=badge, job=job, press=press, moment=moment, device=device, asked_by=person
    )
    if result.answer is None or result.words is None or result.person != person:
        raise ValidationError(_("This badge is not yours today."))
    kind = Turn.Kind.RELIEF if relief else Turn.Kind.TURN
    if result.answer.verdict is Verdict.NO:
        raise ValidationError([text for text, _remedy in result.words.reasons])
    if result.answer.verdict is Verdict.BUDDY:
        if buddy is None or buddy not in result.buddies:
            raise ValidationError(
                _("Name a buddy who runs this job alone and stands at this press or the next one.")
            )
        kind = Turn.Kind.UNDER_SUPERVISION
    if not first_piece_seen:
        raise ValidationError(_("Look at the approved first piece before you take the press."))
    day = today_at_the_plant(moment)
    papers, shift = papers_at(job, day), shift_at(moment)
    return start_turn(
        press=press,
        job=job,
        person=person,
        moment=moment,
        day=day,
        crew=shift.crew if shift else None,
        kind=kind,
        buddy=buddy if kind == Turn.Kind.UNDER_SUPERVISION else None,
        takes_over_from=takes_over_from,
        first_piece_seen=True,
        work_instruction=papers.sheet,
        alerts=tuple(alert.number for alert in papers.alerts),
    )


def leave_press(*, person: Person, moment: dt.datetime) -> Turn:
    """End the person's own turn."""
    turn = open_turn_of(person)
    if turn is None:
        raise ValidationError(_("You stand at no press."))
    end_turn(turn=turn, moment=moment, recorded_by=person)
    return turn
