"""Approving the first piece of a job: its pictures and its tag, signed."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from training.floor.models import FirstPiece, Job
from training.floor.selectors import first_piece_of, sheet_in_force
from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret, sign_request
from training.specimens.forms.fields import spread
from training.specimens.forms.first_piece import FirstPieceForm
from training.specimens.services.first_pieces import approve_pictured

MEANING = "approves first piece"


@sensitive_post_parameters("secret")
@require_http_methods(["GET", "POST"])
def first_piece_approve(request: HttpRequest, number: str) -> HttpResponse:
    """Approve a part for the runs of a job; it stands beside every part judged from now on."""
    jobs = Job.objects.select_related("press").prefetch_related("alternates")
    job = get_object_or_404(jobs, number=number)
    moment = timezone.now()
    last = first_piece_of(job, moment)
    sent = request.method == "POST"
    form = FirstPieceForm(
        request.POST if sent else None,
        request.FILES if sent else None,
        job=job,
        initial={"revision": last.revision if last else "A", "tool": job.tool},
    )
    if sent and form.is_valid() and _approved(request, job, form) is not None:
        messages.success(request, _("Signed: the first piece is approved."))
        return redirect("floor:job_sheet", job.number)
    context = {
        "form": form,
        "job": job,
        "last": last,
        "sheet": sheet_in_force(job, timezone.localdate(moment)),
    }
    return render(request, "specimens/first_piece_form.html", context, status=400 if sent else 200)


def _approved(request: HttpRequest, job: Job, form: FirstPieceForm) -> FirstPiece | None:
    """Write first piece, pictures and signature, all or none; problems stand in the form."""
    moment = timezone.now()
    given = form.cleaned_data
    try:
        method = confirm_secret(request, given["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return None
    try:
        with transaction.atomic():
            piece = approve_pictured(
                job=job,
                revision=given["revision"],
                tag=form.tag(),
                pictures=given["pictures"],
                px_per_mm=given["px_per_mm"],
                approved_by=signed_in_person(request),
                checked_by=given["checked_by"],
                moment=moment,
                day=timezone.localdate(moment),
            )
            sign_request(request, meaning=MEANING, subject=piece, method=method, moment=moment)
    except ValidationError as error:
        spread(form, error)
        return None
    return piece
