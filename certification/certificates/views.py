"""The pages about certificates: what waits for a decision, the decision, and the certificate."""

import datetime as dt
import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from certification.certificates.certificate_page import certificate_context
from certification.certificates.corrected import follows
from certification.certificates.deciders import AT_EVERY_LEVEL, tie_text, ties_to
from certification.certificates.deciding_page import decide_context, papers_to_sign, waiting_context
from certification.certificates.document import document_of, find_certificate
from certification.certificates.evidence import showing_of, shown_in
from certification.certificates.forms import DecideForm
from certification.certificates.granting import prospects, reopened_sitting, undecided_sittings
from certification.certificates.models import Certificate, CertificateEvent, SittingDecision
from certification.certificates.page_days import moment_text
from certification.certificates.person_page import person_context
from certification.certificates.selectors import today_at_the_plant
from certification.certificates.services import (
    grant_by_rule,
    grant_from_sitting,
    refuse_sitting,
    rule_grants,
)
from certification.certificates.stopping import close_requalification
from certification.certificates.waiting import open_needs, waiting_sittings
from training.floor.models import Level
from training.people.devices import device_of
from training.people.models import Person, Role
from training.people.sessions import is_floor_session, signed_in_person
from training.people.signing import confirm_secret, sign_request
from training.quizzes.models import Sitting
from training.quizzes.selectors.turned import counted_now, newest_correction

Outcome = SittingDecision.Outcome
MEANINGS = {
    Outcome.GRANTED: "granted a sitting",
    Outcome.ORDINARY_ONLY: "granted a sitting at ordinary level only",
    Outcome.NOT_GRANTED: "did not grant a sitting",
}
# Who may read the certificates of others.
READERS = frozenset({Role.TRAINER, Role.SUPERVISOR, Role.QUALITY, Role.AUDITOR, Role.ADMINISTRATOR})


@never_cache
@require_safe
def waiting(request: HttpRequest) -> HttpResponse:
    """The passed sittings nobody has decided about, the most urgent first."""
    moment = timezone.now()
    rows = waiting_sittings(moment)
    context = waiting_context(rows, moment)
    by_rule = [row for row in rows if len(row.critical) < len(row.families)]
    context["by_rule"] = len(by_rule) if by_rule and rule_grants(moment) else 0
    context["papers"] = papers_to_sign(today_at_the_plant(moment), signed_in_person(request))
    return render(request, "certificates/waiting.html", context)


@require_POST
def grant_what_the_rule_grants(request: HttpRequest) -> HttpResponse:
    """Let the published rule grant at ordinary level what waits; the critical level goes on waiting."""
    granted = grant_by_rule(moment=timezone.now())
    said = ngettext(
        "%(n)d certificate granted by the published rule.",
        "%(n)d certificates granted by the published rule.",
        len(granted),
    )
    messages.success(request, said % {"n": len(granted)})
    return redirect("certificates:waiting")


@never_cache
@require_http_methods(["GET", "POST"])
def decide(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Show what a sitting was passed with, and take the decision with its signature."""
    sitting = undecided_sittings().filter(pk=pk).first() or reopened_sitting(pk)
    if sitting is None:
        get_object_or_404(Sitting, pk=pk)
        messages.warning(request, _("Nothing waits for a decision about this sitting."))
        return redirect("certificates:waiting")
    decider, moment = signed_in_person(request), timezone.now()
    offered, ties = prospects(sitting, sitting.end, moment), ties_to(decider, sitting)
    form = DecideForm(
        request.POST or None,
        critical=any(each.level == Level.CRITICAL for each in offered),
        may_grant_critical=not ties,
        needs=open_needs(sitting),
        signing=_("%(name)s, %(moment)s: decided about sitting %(number)s. Kept for good.")
        % {"name": decider.name, "moment": moment_text(moment), "number": sitting.number},
    )
    if request.method == "POST" and form.is_valid():
        try:
            _decide(request, form, sitting, decider, moment)
        except ValidationError as error:
            form.add_error("secret" if "secret" in form.changed_data else None, error)
        else:
            return redirect("certificates:waiting")
    words = [tie_text(tie, decider=decider.name, person=sitting.person.name) for tie in ties]
    context = decide_context(
        showing_of(sitting, counted_now(sitting)), shown_in(sitting), offered, moment
    )
    context |= {"form": form, "ties": words, "barred": any(t in AT_EVERY_LEVEL for t in ties)}
    status = 400 if request.method == "POST" else 200
    return render(request, "certificates/decide.html", context, status=status)


def _decide(
    request: HttpRequest, form: DecideForm, sitting: Sitting, decider: Person, moment: dt.datetime
) -> None:
    """Check the secret, then write decision, certificates, closures and signature, or nothing."""
    given = form.cleaned_data
    method = confirm_secret(request, given["secret"], moment=moment)
    with transaction.atomic():
        decision = _write_decision(sitting, decider, given, moment)
        sign_request(
            request,
            meaning=MEANINGS[Outcome(decision.outcome)],
            subject=decision,
            method=method,
            moment=moment,
        )
        for key in given.get("closes", ()):
            close_requalification(
                need=form.needs[key],
                closed_by=decider,
                method=method,
                moment=moment,
                sitting=sitting,
                device=device_of(request),
            )
    said = {
        Outcome.GRANTED: _("%(name)s is certified."),
        Outcome.ORDINARY_ONLY: _("%(name)s is certified at ordinary level."),
        Outcome.NOT_GRANTED: _("Not granted; %(name)s can read why."),
    }[Outcome(decision.outcome)]
    messages.success(request, said % {"name": sitting.person.name})


def _write_decision(
    sitting: Sitting, decider: Person, given: dict[str, Any], moment: dt.datetime
) -> SittingDecision:
    if given["outcome"] == Outcome.NOT_GRANTED:
        return refuse_sitting(
            sitting=sitting, decided_by=decider, reason=given["reason"], moment=moment
        )
    grant = grant_from_sitting(
        sitting=sitting,
        decided_by=decider,
        moment=moment,
        ordinary_only=given["outcome"] == Outcome.ORDINARY_ONLY,
        reason=given["reason"],
    )
    if grant.decision is None or grant.decision.decided_by_id != decider.pk:
        raise ValidationError(_("This sitting has been decided already."), code="decided")
    return grant.decision


@never_cache
@require_safe
def person_certificates(request: HttpRequest, personnel_no: str) -> HttpResponse:
    """All certificates and observed checks of one person."""
    person = get_object_or_404(Person.objects.select_related("crew"), personnel_no=personnel_no)
    context = person_context(person, timezone.now())
    return render(request, "certificates/person.html", context)


def _stopping(
    request: HttpRequest, found: Certificate, *, day: dt.date, own: bool
) -> dict[str, Any]:
    """Return whether quality may stop a certificate here, and whether its exam was corrected."""
    may = Role.QUALITY in signed_in_person(request).roles() and not own
    last = max(found.events.all(), key=lambda event: event.position, default=None)
    kinds = CertificateEvent.Kind
    gone = last is not None and last.kind == kinds.WITHDRAWN
    correction = newest_correction(found.sitting) if found.sitting is not None else None
    said = ""
    if correction is not None:
        said = _("Its exam was scored again %(day)s; it still follows.")
        if not follows(found, correction):
            said = _("Its exam was scored again %(day)s; it no longer follows from it.")
        said = said % {"day": moment_text(correction.recorded_at)}
    in_time = found.expires_day >= day and not gone
    return {
        "may_stop": may and in_time and not is_floor_session(request),
        "suspended": last is not None and last.kind == kinds.SUSPENDED,
        "corrected": said,
    }


def _others_url(person: Person) -> str:
    return reverse("certificates:person_certificates", args=[person.personnel_no])


@never_cache
@require_safe
def certificate(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """One certificate on one page; one's own, or anybody's for those who look after people."""
    person, moment = signed_in_person(request), timezone.now()
    found = find_certificate(pk)
    own = found is not None and found.person_id == person.pk
    if found is None or not (own or (person.roles() & READERS and not is_floor_session(request))):
        raise Http404
    address = request.build_absolute_uri(request.path)
    context = certificate_context(document_of(found, moment), moment, address)
    context["others_url"] = "" if own else _others_url(found.person)
    context |= _stopping(request, found, day=today_at_the_plant(moment), own=own)
    return render(request, "certificates/certificate.html", context)
