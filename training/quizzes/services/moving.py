"""Moving a running exam to another tablet: same person, same draw, signed by an invigilator."""

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from training.people.models import Device, Person, Signature
from training.people.signing import sign, signatures_of
from training.quizzes.kinds import EXAMS
from training.quizzes.models import Sitting, SittingEnd

MOVED = "moved an exam to another tablet"


@transaction.atomic
def move_exam(
    *,
    sitting: Sitting,
    device: Device,
    invigilator: Person,
    signature_method: str,
    moment: dt.datetime,
) -> Signature:
    """Let a running exam go on on another device; the invigilator there has just signed.

    What was drawn stays as it is. Answers that wait on the tablet before are still taken from it.
    """
    if sitting.kind not in EXAMS or SittingEnd.objects.filter(sitting=sitting).exists():
        raise ValidationError(_("Only an exam that is running is moved."))
    if sitting.person_id == invigilator.pk:
        raise ValidationError(_("Nobody moves their own exam: ask another invigilator."))
    if sitting.device_id is None or was_opened_or_moved_to(sitting, device):
        raise ValidationError(_("This exam may be sat on this tablet already."))
    return sign(
        person=invigilator,
        meaning=MOVED,
        subject=sitting,
        method=signature_method,
        moment=moment,
        device=device,
    )


def was_opened_or_moved_to(sitting: Sitting, device: Device) -> bool:
    """Return whether an exam may be sat on a device. No query where it was opened for it."""
    if sitting.device_id == device.pk:
        return True
    return signatures_of(sitting).filter(meaning=MOVED, device=device).exists()
