"""Moving a specimen between pools, and retiring it."""

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from training.specimens.models import Specimen
from training.specimens.services.pools import move_pool, retire_specimen


@require_POST
def pool(request: HttpRequest, pk: UUID) -> HttpResponse:
    specimen = get_object_or_404(Specimen, pk=pk)
    try:
        moved = move_pool(
            specimen=specimen, pool=request.POST.get("pool", ""), day=timezone.localdate()
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        messages.success(
            request,
            _("%(number)s is now in the pool: %(pool)s.")
            % {"number": moved.number, "pool": moved.get_pool_display()},
        )
    return _back(request, pk)


@require_POST
def retire(request: HttpRequest, pk: UUID) -> HttpResponse:
    specimen = get_object_or_404(Specimen, pk=pk)
    retire_specimen(specimen=specimen, day=timezone.localdate())
    messages.success(
        request,
        _("%(number)s is retired: nothing draws it any more.") % {"number": specimen.number},
    )
    return _back(request, pk)


def _back(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Return to the page of this site that the step was taken on, or to the specimen."""
    address = request.POST.get("next", "")
    if url_has_allowed_host_and_scheme(
        address, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    ):
        return redirect(address)
    return redirect("specimens:specimen_detail", pk)
