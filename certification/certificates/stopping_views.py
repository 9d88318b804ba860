"""Suspending a certificate and lifting it, signed; and the certificates that rest on corrected exams."""

import uuid
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from certification.certificates.corrected import no_longer_following, would_now_follow
from certification.certificates.models import Certificate, CertificateEvent
from certification.certificates.selectors import language_now, names, today_at_the_plant
from certification.certificates.stopping import restore_certificate, suspend_certificate
from certification.certificates.stopping_forms import StopForm
from training.people.devices import device_of
from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret
from training.people.texts import in_language
from training.quizzes.selectors.turned import newest_correction, to_score_again

Write = Callable[..., CertificateEvent]


@never_cache
@require_safe
def corrected(request: HttpRequest) -> HttpResponse:
    """What quality decides after exams were scored again: certificates, and what is to be scored."""
    day, known = today_at_the_plant(timezone.now()), names()
    language = language_now()
    more = would_now_follow()
    context = {
        "no_longer": no_longer_following(day),
        "would_now": [
            (
                each,
                ", ".join(
                    in_language(known.families.get(slug), language) or slug
                    for slug in each.families
                ),
            )
            for each in more
        ],
        "to_score": to_score_again(),
    }
    return render(request, "certificates/corrected.html", context)


@never_cache
@sensitive_post_parameters("secret")
@require_http_methods(["GET", "POST"])
def suspend(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Let a certificate count for nothing until it is lifted; the person reads why."""
    return _page(request, pk, suspend_certificate, lifts=False)


@never_cache
@sensitive_post_parameters("secret")
@require_http_methods(["GET", "POST"])
def lift(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Give a suspended certificate its worth back; its last day stays what it was."""
    return _page(request, pk, restore_certificate, lifts=True)


def _page(request: HttpRequest, pk: uuid.UUID, write: Write, *, lifts: bool) -> HttpResponse:
    found = Certificate.objects.filter(corrections=None).select_related("person", "family")
    certificate = get_object_or_404(found, pk=pk)
    sent = request.method == "POST"
    form = StopForm(request.POST if sent else None)
    family = in_language(certificate.family.short, language_now())
    if sent and form.is_valid() and _written(request, form, certificate, write):
        said = (
            _("%(name)s: %(family)s counts again.")
            if lifts
            else _("%(name)s: %(family)s is suspended, from now on.")
        )
        messages.success(request, said % {"name": certificate.person.name, "family": family})
        return redirect("certificates:person_certificates", certificate.person.personnel_no)
    correction = newest_correction(certificate.sitting) if certificate.sitting else None
    context: dict[str, Any] = {
        "form": form,
        "certificate": certificate,
        "family": family,
        "lifts": lifts,
        "correction": correction,
        "events": certificate.events.select_related("reason", "recorded_by").order_by("position"),
    }
    return render(request, "certificates/stop.html", context, status=400 if sent else 200)


def _written(request: HttpRequest, form: StopForm, certificate: Certificate, write: Write) -> bool:
    """Write event and signature, or put what is wrong on the form."""
    moment = timezone.now()
    try:
        method = confirm_secret(request, form.cleaned_data["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return False
    try:
        write(
            certificate=certificate,
            reason=form.cleaned_data["reason"],
            decided_by=signed_in_person(request),
            method=method,
            moment=moment,
            device=device_of(request),
        )
    except ValidationError as error:
        form.add_error(None if not hasattr(error, "error_dict") else "reason", error.messages)
        return False
    return True
