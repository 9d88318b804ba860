"""What rests on a specimen, and scoring an ended exam again where its decision was turned."""

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret, sign_request
from training.quizzes.booth_words import exam_title
from training.quizzes.kinds import EXAMS
from training.quizzes.models import ScoreCorrection, Sitting
from training.quizzes.rescoring_forms import RescoreForm
from training.quizzes.selectors.turned import counted_now, pending_of, resting_on
from training.quizzes.services.rescoring import preview, rescore
from training.quizzes.turned_words import family_names, resting_lines, said_of
from training.specimens.models import Specimen
from training.specimens.resting import what_rests

MEANING = "scored an exam again"


@never_cache
@require_safe
def what_rests_on(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """List the ended exams that presented a specimen, those to be scored again first."""
    specimen = get_object_or_404(Specimen.objects.select_related("family", "job"), pk=pk)
    lines = resting_lines(resting_on(pk))
    context = {
        "specimen": specimen,
        "lines": lines,
        "to_score": sum(line.may_score for line in lines),
        # The exams stand in the table; other apps add what rests on them.
        "rests": what_rests(pk, besides="quizzes"),
    }
    return render(request, "quizzes/resting_on.html", context)


@never_cache
@sensitive_post_parameters("secret")
@require_http_methods(["GET", "POST"])
def rescore_exam(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Show what an exam comes to under the turned decisions beside its own record; signed."""
    found = Sitting.objects.filter(kind__in=EXAMS, end__isnull=False)
    sitting = get_object_or_404(found.select_related("person", "plan", "end"), pk=pk)
    pending = pending_of(sitting)
    if not pending:
        messages.warning(request, _("Nothing this exam rests on was turned since it was scored."))
        return redirect("quizzes:result", pk=pk)
    sent = request.method == "POST"
    form = RescoreForm(request.POST if sent else None)
    if sent and form.is_valid():
        facts = _signed(request, sitting, form)
        if facts is not None:
            messages.success(
                request,
                _("Signed: %(number)s is scored again. Its own record stands as it was.")
                % {"number": sitting.number},
            )
            return redirect("quizzes:result", pk=pk)
    names = family_names()
    context: dict[str, Any] = {
        "sitting": sitting,
        "title": exam_title(sitting),
        "form": form,
        "pending": pending,
        "before": said_of(counted_now(sitting), names),
        "after": said_of(preview(sitting, pending), names),
    }
    return render(request, "quizzes/rescore.html", context, status=400 if sent else 200)


def _signed(
    request: HttpRequest, sitting: Sitting, form: RescoreForm
) -> list[ScoreCorrection] | None:
    """Write corrections and signatures, all or none; problems stand in the form."""
    moment = timezone.now()
    try:
        method = confirm_secret(request, form.cleaned_data["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return None
    try:
        with transaction.atomic():
            facts = rescore(
                sitting=sitting,
                by=signed_in_person(request),
                moment=moment,
                words=form.cleaned_data["words"],
            )
            for fact in facts:
                sign_request(request, meaning=MEANING, subject=fact, method=method, moment=moment)
    except ValidationError as error:
        form.add_error(None, error)
        return None
    return facts
