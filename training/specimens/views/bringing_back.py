"""Bringing back a retired specimen or set: quality says why and signs."""

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from training.people.signing import confirm_secret, sign_request
from training.specimens.forms.bringing_back import BringBackForm
from training.specimens.forms.fields import spread
from training.specimens.keeping_out import what_keeps_out
from training.specimens.models import Specimen, SpecimenSet
from training.specimens.series_rows import set_rows
from training.specimens.services.bringing_back import bring_back_set, bring_back_specimen


@never_cache
@sensitive_post_parameters("secret")
@require_http_methods(["GET", "POST"])
def bring_back(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Use a retired specimen again; one whose picture is known stays out, and the page says so."""
    specimen = get_object_or_404(Specimen.objects.select_related("family", "job"), pk=pk)
    if specimen.retired_day is None:
        return redirect("specimens:specimen_detail", pk)
    moment = timezone.now()
    form = BringBackForm(request.POST or None)
    given: dict[str, Any] = {"specimen": specimen, "moment": moment}
    if form.is_valid() and _signed(request, form, specimen, bring_back_specimen, given):
        messages.success(request, _("%(number)s is used again.") % {"number": specimen.number})
        return redirect("specimens:specimen_detail", pk)
    context = {
        "form": form,
        "what": specimen,
        "specimen": specimen,
        "kept_out": what_keeps_out(specimen.pk, moment),
    }
    return _page(request, context)


@never_cache
@sensitive_post_parameters("secret")
@require_http_methods(["GET", "POST"])
def series_bring_back(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Show a retired set again; one whose members are no such set any more says why it cannot be."""
    made = get_object_or_404(SpecimenSet.objects.select_related("family", "job"), pk=pk)
    if made.retired_day is None:
        return redirect("specimens:series_list")
    moment = timezone.now()
    form = BringBackForm(request.POST or None)
    given: dict[str, Any] = {"made": made, "moment": moment}
    if form.is_valid() and _signed(request, form, made, bring_back_set, given):
        messages.success(request, _("The set is shown again."))
        return redirect("specimens:series_list")
    (standing,) = set_rows([made], timezone.localdate(moment))
    context = {
        "form": form,
        "what": made,
        "members": standing.members,
        "kept_out": [standing.problem] if standing.problem else [],
    }
    return _page(request, context)


def _page(request: HttpRequest, context: dict[str, Any]) -> HttpResponse:
    status = 400 if request.method == "POST" else 200
    return render(request, "specimens/bring_back.html", context, status=status)


def _signed(
    request: HttpRequest,
    form: BringBackForm,
    subject: Specimen | SpecimenSet,
    bring: Callable[..., object],
    given: dict[str, Any],
) -> bool:
    """Bring it back and sign, both or neither; problems stand in the form."""
    try:
        # Outside the transaction: a wrong secret is counted even though nothing is written.
        method = confirm_secret(request, form.cleaned_data["secret"], moment=given["moment"])
    except ValidationError as error:
        form.add_error("secret", error)
        return False
    try:
        with transaction.atomic():
            bring(**given)
            meaning = form.cleaned_data["why"]
            sign_request(
                request, meaning=meaning, subject=subject, method=method, moment=given["moment"]
            )
    except ValidationError as error:
        spread(form, error)
        return False
    return True
