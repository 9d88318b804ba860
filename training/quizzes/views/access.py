"""Whose sitting may be seen: one's own, and an exam only on the device it was opened for."""

import uuid

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _

from training.people.devices import device_of
from training.people.models import Person, Role
from training.people.sessions import signed_in_person
from training.quizzes.kinds import EXAMS, PRACTICE
from training.quizzes.models import Sitting, SittingEnd
from training.quizzes.services.moving import was_opened_or_moved_to

# Who may see the results of others.
SEE_OTHERS = frozenset({Role.TRAINER, Role.QUALITY, Role.AUDITOR, Role.SUPERVISOR})


def own_sitting(request: HttpRequest, pk: uuid.UUID) -> Sitting:
    """Return the person's own sitting, or raise 404: others' sittings do not exist for them."""
    sittings = Sitting.objects.select_related("person", "plan", "device", "conditions")
    return get_object_or_404(sittings, pk=pk, person=signed_in_person(request))


def sitting_in_use(request: HttpRequest, pk: uuid.UUID) -> Sitting:
    """Return the person's own sitting whose pictures may be shown now.

    An exam must be running; a practice round may be looked at again.
    """
    sitting = own_sitting(request, pk)
    if sitting.kind not in PRACTICE and end_of(sitting) is not None:
        raise Http404
    check_device(request, sitting)
    if waits_for_screen(sitting):
        raise PermissionDenied(_("The invigilator checks the screen before the first part."))
    return sitting


def waits_for_screen(sitting: Sitting) -> bool:
    """Return whether an exam's screen is still to be checked; no part is handed out before.

    No query where the conditions were selected with the sitting.
    """
    if sitting.kind not in EXAMS or sitting.device_id is None:
        return False
    return not hasattr(sitting, "conditions")


def check_device(request: HttpRequest, sitting: Sitting) -> None:
    """Refuse an exam on another device than the one it was opened for, or moved to."""
    if sitting.device_id is None or sitting.kind in PRACTICE:
        return
    device = device_of(request)
    if device is None or not was_opened_or_moved_to(sitting, device):
        raise PermissionDenied(
            _("This exam was opened for %(device)s. Sit it there.") % {"device": sitting.device}
        )
    if device.pk != sitting.device_id and hasattr(sitting, "conditions"):
        # The card was held to the other screen: of this one no size is known.
        sitting.conditions.card_width_px = None


def end_of(sitting: Sitting) -> SittingEnd | None:
    """Return how the sitting ended, or None while it runs. Costs one query."""
    return SittingEnd.objects.filter(sitting=sitting).first()


def visible_sitting(request: HttpRequest, pk: uuid.UUID) -> Sitting:
    """Return a sitting whose result the person may see: their own, or anybody's by role."""
    person = signed_in_person(request)
    sittings = Sitting.objects.select_related("person", "plan", "invigilator", "device")
    if not person.roles() & SEE_OTHERS:
        sittings = sittings.filter(person=person)
    return get_object_or_404(sittings, pk=pk)


def visible_person(request: HttpRequest, pk: uuid.UUID) -> Person:
    """Return a person whose results may be seen: oneself, or anybody by role."""
    person = signed_in_person(request)
    people = Person.objects.all()
    if not person.roles() & SEE_OTHERS:
        people = people.filter(pk=person.pk)
    return get_object_or_404(people, pk=pk)
