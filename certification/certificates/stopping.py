"""Taking the worth of a certificate away before its last day, and giving it back; requalified."""

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from certification.certificates.models import (
    Certificate,
    CertificateEvent,
    RequalificationClosure,
    RequalificationNeed,
)
from certification.certificates.selectors import today_at_the_plant
from training.people.models import ChainHead, Device, Person, Role
from training.people.record.chain import append, erasable
from training.people.record.models import PLANT
from training.people.signing import sign
from training.quizzes.models import Sitting, SittingEnd
from training.quizzes.selectors.turned import newest_correction

Event = CertificateEvent.Kind
MEANINGS = {
    Event.SUSPENDED: "suspended a certificate",
    Event.RESTORED: "restored a certificate",
    Event.WITHDRAWN: "withdrew a certificate",
}
CLOSED_AS = "closed a requalification"


def suspend_certificate(
    *,
    certificate: Certificate,
    reason: str,
    decided_by: Person,
    method: str,
    moment: dt.datetime,
    device: Device | None = None,
) -> CertificateEvent:
    """Let a certificate count for nothing, from today, until a named person restores it.

    ``method`` says how the decider's secret was confirmed; the reason can be erased later.
    """
    return _write(
        Event.SUSPENDED,
        certificate=certificate,
        reason=reason,
        decided_by=decided_by,
        method=method,
        moment=moment,
        device=device,
    )


def restore_certificate(
    *,
    certificate: Certificate,
    reason: str,
    decided_by: Person,
    method: str,
    moment: dt.datetime,
    device: Device | None = None,
) -> CertificateEvent:
    """Give a suspended certificate its worth back; its last day stays what it was."""
    return _write(
        Event.RESTORED,
        certificate=certificate,
        reason=reason,
        decided_by=decided_by,
        method=method,
        moment=moment,
        device=device,
    )


def withdraw_certificate(
    *,
    certificate: Certificate,
    reason: str,
    decided_by: Person,
    method: str,
    moment: dt.datetime,
    device: Device | None = None,
) -> CertificateEvent:
    """End a certificate for good, from today; nothing brings it back but another sitting."""
    return _write(
        Event.WITHDRAWN,
        certificate=certificate,
        reason=reason,
        decided_by=decided_by,
        method=method,
        moment=moment,
        device=device,
    )


@transaction.atomic
def _write(
    kind: Event,
    *,
    certificate: Certificate,
    reason: str,
    decided_by: Person,
    method: str,
    moment: dt.datetime,
    device: Device | None,
) -> CertificateEvent:
    ChainHead.objects.select_for_update().filter(name=PLANT).first()
    day = today_at_the_plant(moment)
    _check_decider(decided_by, certificate.person)
    _check_state(kind, certificate, day)
    if not reason.strip():
        raise ValidationError({"reason": _("Say why: the person will read it.")})
    event = CertificateEvent(
        certificate=certificate,
        kind=kind,
        day=day,
        reason=erasable(reason.strip()),
        recorded_by=decided_by,
    )
    append(event, moment=moment)
    sign(
        person=decided_by,
        meaning=MEANINGS[kind],
        subject=event,
        method=method,
        moment=moment,
        device=device,
    )
    return event


def _check_decider(decider: Person, person: Person) -> None:
    if decider.pk == person.pk:
        raise ValidationError(
            _("Nobody decides about themselves: ask another person of quality."), code="self"
        )
    if Role.QUALITY not in decider.roles():
        raise ValidationError(
            _("Only a person of quality decides about certificates."), code="not_quality"
        )


def _check_state(kind: Event, certificate: Certificate, day: dt.date) -> None:
    last = CertificateEvent.objects.filter(certificate=certificate).order_by("position").last()
    before = last.kind if last else ""
    if before == Event.WITHDRAWN:
        raise ValidationError(_("This certificate has been withdrawn."), code="withdrawn")
    if kind == Event.RESTORED:
        if before != Event.SUSPENDED:
            raise ValidationError(_("This certificate is not suspended."), code="not_suspended")
    elif certificate.expires_day < day:
        raise ValidationError(_("This certificate has ended already."), code="ended")
    elif before == kind:
        raise ValidationError(_("This certificate is suspended already."), code="suspended")


@transaction.atomic
def close_requalification(
    *,
    need: RequalificationNeed,
    closed_by: Person,
    method: str,
    moment: dt.datetime,
    sitting: Sitting | None = None,
    device: Device | None = None,
) -> RequalificationClosure:
    """Free a person from a requalification order, from today on; a person of quality signs.

    A sitting that is named as proof was passed by the person in every family of the order, after it
    was raised.
    """
    ChainHead.objects.select_for_update().filter(name=PLANT).first()
    _check_decider(closed_by, need.person)
    if RequalificationClosure.objects.filter(need=need).exists():
        raise ValidationError(_("This requalification is closed already."), code="closed")
    if sitting is not None and not fulfils(sitting, need):
        raise ValidationError(
            _("Sitting %(number)s does not fulfil order %(order)s.")
            % {"number": sitting.number, "order": need.order.number},
            code="not_fulfilled",
        )
    closure = RequalificationClosure(
        need=need,
        closed_day=today_at_the_plant(moment),
        sitting=sitting,
        recorded_by=closed_by,
    )
    append(closure, moment=moment)
    sign(
        person=closed_by,
        meaning=CLOSED_AS,
        subject=closure,
        method=method,
        moment=moment,
        device=device,
    )
    return closure


def fulfils(sitting: Sitting, need: RequalificationNeed) -> bool:
    """Return whether a sitting shows what an order asks of a person. One query."""
    end = SittingEnd.objects.filter(sitting=sitting).first()
    return (
        end is not None
        and sitting.person_id == need.person_id
        and today_at_the_plant(sitting.opened_at) >= need.order.raised_day
        and set(need.order.families) <= set((newest_correction(sitting) or end).families_passed)
    )
