"""Closing an agreement study for good, with a signature."""

import datetime as dt
import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from training.people.forms import SignatureFields
from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret, sign_request
from training.people.views.sign_in import get_or_post
from training.quizzes.models import AgreementStudy
from training.quizzes.selectors.studies import find_study, progress_of_study
from training.quizzes.services.studies import close_study

CLOSES = "closed an agreement study"


@sensitive_post_parameters("secret")
@never_cache
@get_or_post
def study_close(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Say what closing means for the rounds that are missing, and close with a signature."""
    study, moment = find_study(pk), timezone.now()
    if study is None:
        raise Http404
    if study.closed_at is not None:
        messages.warning(request, _("This study is closed."))
        return redirect("quizzes:study", pk=pk)
    sent = request.method == "POST"
    form = SignatureFields(request.POST if sent else None)
    if sent and form.is_valid() and _closed(request, study, form, moment):
        messages.success(request, _("Study %(number)s is closed.") % {"number": study.number})
        return redirect("quizzes:study", pk=pk)
    progress = progress_of_study(study, moment)
    context = {
        "study": study,
        "form": form,
        "progress": progress,
        "missing": progress.wanted - progress.done,
    }
    return render(request, "quizzes/study_close.html", context, status=400 if sent else 200)


def _closed(
    request: HttpRequest, study: AgreementStudy, form: SignatureFields, moment: dt.datetime
) -> bool:
    """Close and sign, both or neither; what is in the way stands on the form."""
    try:
        method = confirm_secret(request, form.cleaned_data["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return False
    try:
        with transaction.atomic():
            close_study(study=study, closed_by=signed_in_person(request), moment=moment)
            sign_request(request, meaning=CLOSES, subject=study, method=method, moment=moment)
    except ValidationError as error:
        form.add_error(None, error)
        return False
    return True
