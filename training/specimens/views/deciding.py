"""Deciding what a specimen is, under the limits in force today; signed with the secret."""

import datetime as dt
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from training.floor.limit_rulings import Ruling
from training.people.models import Person
from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret, sign_request
from training.specimens.forms.deciding import DecideForm
from training.specimens.forms.fields import spread
from training.specimens.limit_rows import features, limit_rows, measured_text, ratio_text, ruler_of
from training.specimens.models import Action, ReferenceDecision, Specimen
from training.specimens.resting import what_rests
from training.specimens.selectors import views_of
from training.specimens.services.deciding import (
    cannot_measure,
    decide_by_measurement,
    decide_reference,
    too_near_words,
)
from training.specimens.standards import (
    CannotMeasureError,
    Looked,
    Measured,
    Standard,
    standard_of,
    too_near,
)
from training.specimens.views.panes import pane_of

MEANING = "decides specimen"
SEEN = {"yes": True, "no": False}


@sensitive_post_parameters("secret")
@require_http_methods(["GET", "POST"])
def decide(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What the measurement says stands beside the form; people may decide otherwise, with a reason."""
    moment = timezone.now()
    day = timezone.localdate(moment)
    found = Specimen.objects.with_decision(day).select_related("job", "family")
    specimen = get_object_or_404(found, pk=pk)
    standard = standard_of(specimen.job, day)
    said, why_not = _measurement(specimen, standard)
    rests = what_rests(specimen.pk) if specimen.decided else []
    form = DecideForm(
        request.POST if request.method == "POST" else None,
        features=features(_rulings(specimen, standard), get_language() or "en"),
        rests=bool(rests),
        initial=_initial(specimen, said),
    )
    if request.method == "POST" and form.is_valid() and _turn_is_read(specimen, standard, form):
        fact = _signed(request, specimen, standard, form, moment)
        if fact is not None:
            messages.success(
                request,
                _("Signed: %(number)s is decided, %(decision)s.")
                % {"number": specimen.number, "decision": fact.get_decision_display()},
            )
            return redirect("specimens:specimen_detail", pk)
    context = _shown(specimen, standard) | {
        "form": form,
        "said": said,
        "share": ratio_text(said.ratio) if said else "",
        "why_not": why_not,
        "near": too_near_words() if said and too_near(said.ratio) else "",
        "rests": rests,
    }
    status = 400 if request.method == "POST" else 200
    return render(request, "specimens/decide.html", context, status=status)


def _rulings(specimen: Specimen, standard: Standard) -> tuple[Ruling, ...]:
    return standard.rulings(specimen.family.slug, specimen.zone)


def _shown(specimen: Specimen, standard: Standard) -> dict[str, Any]:
    """Return what stands beside the form: the picture, the limit in words and to scale."""
    views = [view for view in views_of([specimen.pk]).get(specimen.pk, ()) if view.frames]
    rulings = _rulings(specimen, standard)
    return {
        "specimen": specimen,
        "pane": pane_of(specimen, views[0], rulings=rulings) if views else None,
        "outlined": any(view.regions for view in views),
        "limits": limit_rows(rulings, get_language() or "en"),
        "ruler": ruler_of(specimen, rulings),
        "sheet": standard.sheet,
        "measured": measured_text(specimen.severity, specimen.unit),
    }


def _measurement(specimen: Specimen, standard: Standard) -> tuple[Measured | None, str]:
    """Return what one mark of the measured severity is by the limits, or why that is not known."""
    try:
        said = standard.measure(
            family=specimen.family.slug,
            zone=specimen.zone,
            severity=specimen.severity,
            unit=specimen.unit,
        )
    except CannotMeasureError as error:
        return None, cannot_measure(error)
    return said, ""


def _initial(specimen: Specimen, said: Measured | None) -> dict[str, Any]:
    return {
        "basis": ReferenceDecision.Basis.MEASURED
        if said and not too_near(said.ratio)
        else ReferenceDecision.Basis.QUALITY,
        "family": specimen.family_id,
        "decision": specimen.decided or "",
        "clear": bool(specimen.decided_clear),
        "count": 1,
        "action": Action.SEGREGATE,
    }


def _turn_is_read(specimen: Specimen, standard: Standard, form: DecideForm) -> bool:
    """Return whether the form may be signed: the opposite of a decision asks for reading and reason.

    Problems stand in the form.
    """
    given = form.cleaned_data
    decision = given["decision"]
    if given["basis"] == ReferenceDecision.Basis.MEASURED:
        try:
            decision = _measure(specimen, standard, given).decision
        except CannotMeasureError:
            # Signing says why it does not decide.
            return True
    if not specimen.decided or decision == specimen.decided:
        return True
    if not given["reason"]:
        form.add_error("reason", _("It was decided the other way: say why that was wrong."))
    if "turned" in form.fields and not given["turned"]:
        form.add_error(
            "turned", _("This turns the decision. Read what rests on it, then tick here.")
        )
    return form.is_valid()


def _looked(given: dict[str, Any]) -> Looked:
    return Looked(
        count=given["count"],
        seen=SEEN.get(given["seen"]),
        present=frozenset(given.get("present", ())),
    )


def _measure(specimen: Specimen, standard: Standard, given: dict[str, Any]) -> Measured:
    return standard.measure(
        family=specimen.family.slug,
        zone=specimen.zone,
        severity=specimen.severity,
        unit=specimen.unit,
        looked=_looked(given),
    )


def _signed(
    request: HttpRequest,
    specimen: Specimen,
    standard: Standard,
    form: DecideForm,
    moment: dt.datetime,
) -> ReferenceDecision | None:
    """Write decision and signature, both or neither; problems stand in the form."""
    try:
        method = confirm_secret(request, form.cleaned_data["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return None
    by = signed_in_person(request)
    try:
        with transaction.atomic():
            fact = _decided(specimen, standard, form.cleaned_data, by, moment)
            sign_request(request, meaning=MEANING, subject=fact, method=method, moment=moment)
    except ValidationError as error:
        spread(form, error)
        return None
    return fact


def _decided(
    specimen: Specimen,
    standard: Standard,
    given: dict[str, Any],
    by: Person,
    moment: dt.datetime,
) -> ReferenceDecision:
    if given["basis"] == ReferenceDecision.Basis.MEASURED:
        return decide_by_measurement(
            specimen=specimen,
            by=by,
            moment=moment,
            day=standard.day,
            action=given["action"],
            looked=_looked(given),
            reason=given["reason"],
        )
    rejected = given["decision"] == ReferenceDecision.Decision.REJECT
    said, _why = _measurement(specimen, standard)
    return decide_reference(
        specimen=specimen,
        work_instruction=standard.sheet,
        general=standard.general_for(specimen.family.slug, specimen.zone),
        decision=given["decision"],
        family=given["family"] if rejected else specimen.family,
        action=given["action"] if rejected else Action.KEEP_RUNNING,
        basis=given["basis"],
        severity_ratio=said.ratio if said else None,
        clear=rejected and given["clear"],
        by=by,
        moment=moment,
        reason=given["reason"],
    )
