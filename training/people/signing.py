"""Signing: the secret is asked again, and name, moment and meaning are written as a fact."""

import datetime as dt
import uuid

from django.contrib.auth import authenticate
from django.core.exceptions import ValidationError
from django.db import models
from django.http import HttpRequest
from django.utils.translation import gettext as _

from training.people.devices import device_of
from training.people.models import Device, Person, Signature
from training.people.record.chain import append
from training.people.selectors import current_badge
from training.people.sessions import is_floor_session


def confirm_secret(request: HttpRequest, secret: str, *, moment: dt.datetime) -> str:
    """Check the signer's own secret again; return how, or raise ValidationError.

    Wrong secrets count towards the same lock as wrong sign-ins, because the same backends check them.
    """
    person = request.user
    if not isinstance(person, Person):
        raise ValidationError(_("Sign in first."))
    if is_floor_session(request):
        badge = current_badge(person, moment.date())
        known = authenticate(request, badge=badge, pin=secret)
        method, what = Signature.Method.PIN, _("The PIN is not right. Nothing was signed.")
    else:
        known = authenticate(request, username=person.personnel_no, password=secret)
        method, what = (
            Signature.Method.PASSWORD,
            _("The password is not right. Nothing was signed."),
        )
    if known is None or known.pk != person.pk:
        raise ValidationError(what)
    return method


def sign(
    *,
    person: Person,
    meaning: str,
    subject: models.Model,
    method: str,
    moment: dt.datetime,
    device: Device | None = None,
) -> Signature:
    """Write the signature of somebody whose secret has just been confirmed."""
    signature = Signature(
        person=person,
        meaning=meaning,
        subject_kind=subject._meta.label_lower,
        subject_id=uuid.UUID(str(subject.pk)),
        method=method,
        device=device,
        recorded_by=person,
    )
    append(signature, moment=moment)
    return signature


def sign_request(
    request: HttpRequest, *, meaning: str, subject: models.Model, method: str, moment: dt.datetime
) -> Signature:
    """Write the signature of the person who made this request, from the device they made it on."""
    if not isinstance(request.user, Person):
        raise ValidationError(_("Sign in first."))
    return sign(
        person=request.user,
        meaning=meaning,
        subject=subject,
        method=method,
        moment=moment,
        device=device_of(request),
    )


def signatures_of(subject: models.Model) -> models.QuerySet[Signature]:
    """Return who signed this, oldest first. Costs one query."""
    return (
        Signature.objects.filter(
            subject_kind=subject._meta.label_lower, subject_id=uuid.UUID(str(subject.pk))
        )
        .select_related("person")
        .order_by("recorded_at")
    )
