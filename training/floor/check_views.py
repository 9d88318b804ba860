"""The check of five parts that follows a changed sheet: whose is open, and recording one."""

import datetime as dt

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from training.floor.check_forms import ReadingCheckForm
from training.floor.check_selectors import waiting_for_check
from training.floor.models import Job, WorkInstruction
from training.floor.records import Acknowledgement
from training.floor.selectors import sheet_in_force, today_at_the_plant
from training.floor.services import CHECK_SHOWN, record_reading_check
from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret, sign_request
from training.people.views.sign_in import get_or_post

SHOWED = "showed the check of five parts"


@sensitive_post_parameters("secret")
@never_cache
@get_or_post
def reading_check(request: HttpRequest, number: str) -> HttpResponse:
    """Record how a person judged five parts by the sheet in force."""
    job = get_object_or_404(Job, number=number)
    moment = timezone.now()
    day = today_at_the_plant(moment)
    sheet = sheet_in_force(job, day)
    waiting = waiting_for_check(sheet, day) if sheet is not None else []
    waiting = [person for person in waiting if person.pk != signed_in_person(request).pk]
    sent = request.method == "POST"
    form = ReadingCheckForm(request.POST if sent else None, waiting=waiting)
    if sent and sheet is not None and form.is_valid():
        check = _recorded(request, form, sheet, day, moment)
        if check is not None:
            _say(request, check)
            return redirect("floor:reading_check", number=job.number)
    context = {"form": form, "job": job, "sheet": sheet, "waiting": waiting}
    return render(request, "floor/check_form.html", context, status=400 if sent else 200)


def _recorded(
    request: HttpRequest,
    form: ReadingCheckForm,
    sheet: WorkInstruction,
    day: dt.date,
    moment: dt.datetime,
) -> Acknowledgement | None:
    """Write check and signature, both or neither; problems stand in the form."""
    try:
        # Outside the transaction: a wrong secret is counted even though nothing is written.
        method = confirm_secret(request, form.cleaned_data["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return None
    try:
        with transaction.atomic():
            check = record_reading_check(
                person=form.chosen(),
                sheet=sheet,
                right=form.cleaned_data["right"],
                by=signed_in_person(request),
                moment=moment,
                day=day,
            )
            sign_request(request, meaning=SHOWED, subject=check, method=method, moment=moment)
    except ValidationError as error:
        form.add_error(None, error)
        return None
    return check


def _say(request: HttpRequest, check: Acknowledgement) -> None:
    if check.check_right == CHECK_SHOWN:
        said = _("%(person)s passed the check of revision %(revision)s.")
        messages.success(request, said % {"person": check.person, "revision": _revision(check)})
    else:
        said = _("%(person)s has not passed: go through the sheet together and show five others.")
        messages.warning(request, said % {"person": check.person})


def _revision(check: Acknowledgement) -> str:
    return check.work_instruction.revision if check.work_instruction else ""
