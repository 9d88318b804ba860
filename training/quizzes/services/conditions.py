"""Recording the conditions of an exam: its screen, glasses, extra time, reading aloud."""

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from training.people.models import Device, Person
from training.people.record.chain import append, erasable
from training.people.signing import sign
from training.quizzes.kinds import EXAMS
from training.quizzes.models import ExamConditions, Sitting, SittingEnd
from training.quizzes.screen_check import ScreenAnswer, ScreenTest, faults

ANYWAY = "let an exam begin on a screen that did not pass its check"
# Twice the time is the most that is usual; common practice, no source.
MOST_EXTRA_PERCENT = 100


@transaction.atomic
def record_conditions(
    *,
    sitting: Sitting,
    shown: ScreenTest,
    seen: ScreenAnswer,
    glasses: str,
    extra_time_percent: int,
    read_aloud: bool,
    note: str,
    invigilator: Person,
    moment: dt.datetime,
    signature_method: str = "",
    device: Device | None = None,
) -> ExamConditions:
    """Record under which conditions an exam begins; from then on its parts are handed out.

    A screen that did not pass its check needs a note with the reason and the invigilator's
    signature, just confirmed by `signature_method`. Glasses prescribed and not worn need a note.
    """
    _check(sitting, invigilator, glasses, extra_time_percent, note)
    wrong = faults(shown, seen)
    if wrong and not (signature_method and note.strip()):
        raise ValidationError(
            _("The screen did not pass its check: repeat it, or sign with the reason."),
            code="screen",
        )
    conditions = ExamConditions(
        sitting=sitting,
        grey_steps_seen=seen.squares,
        grey_steps_shown=shown.shown,
        line_seen=seen.line == shown.line,
        card_width_px=seen.card_width_px if seen.card_fits else None,
        density_percent=seen.density_percent if seen.card_fits else None,
        glasses=glasses,
        extra_time_percent=extra_time_percent,
        read_aloud=read_aloud,
        note=erasable(note.strip()) if note.strip() else None,
        recorded_by=invigilator,
    )
    append(conditions, chain=sitting.own_chain, moment=moment)
    if wrong:
        sign(
            person=invigilator,
            meaning=ANYWAY,
            subject=conditions,
            method=signature_method,
            moment=moment,
            device=device,
        )
    return conditions


def _check(
    sitting: Sitting, invigilator: Person, glasses: str, extra_time_percent: int, note: str
) -> None:
    if sitting.kind not in EXAMS or SittingEnd.objects.filter(sitting=sitting).exists():
        raise ValidationError(_("Only an exam that is open has conditions."))
    if ExamConditions.objects.filter(sitting=sitting).exists():
        raise ValidationError(_("The conditions of this exam are recorded already."), code="twice")
    if sitting.person_id == invigilator.pk:
        raise ValidationError(_("Nobody opens an exam for themselves: ask another invigilator."))
    if not 0 <= extra_time_percent <= MOST_EXTRA_PERCENT:
        raise ValidationError(
            {
                "extra_time_percent": _("Extra time is 0 to %(most)s per cent.")
                % {"most": MOST_EXTRA_PERCENT}
            }
        )
    if glasses not in ExamConditions.Glasses.values:
        raise ValidationError({"glasses": _("Say whether glasses are worn.")})
    if glasses == ExamConditions.Glasses.NOT_WORN and not note.strip():
        raise ValidationError(
            {"note": _("Prescribed glasses are not worn: say why the exam is sat all the same.")}
        )
