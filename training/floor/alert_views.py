"""Raising an alert: quality says what to look for, on which jobs, until when; signed."""

import datetime as dt

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from training.floor.alert_forms import AlertForm
from training.floor.alerts import raise_alert
from training.floor.models import Alert
from training.floor.selectors import today_at_the_plant
from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret, sign_request
from training.people.views.sign_in import get_or_post

RAISED = "raised an alert"


@sensitive_post_parameters("secret")
@never_cache
@get_or_post
def alert_add(request: HttpRequest) -> HttpResponse:
    """Raise an alert; nobody runs its jobs on their own before having read it."""
    moment = timezone.now()
    day = today_at_the_plant(moment)
    sent = request.method == "POST"
    form = (
        AlertForm(request.POST, today=day)
        if sent
        else AlertForm(today=day, initial={"jobs": request.GET.getlist("job")})
    )
    if sent and form.is_valid():
        alert = _raised(request, form, day, moment)
        if alert is not None:
            messages.success(
                request,
                _("Alert %(number)s is raised. Everyone reads it before the next run.")
                % {"number": alert.number},
            )
            return redirect("floor:job_sheet", number=form.chosen()[0].number)
    return render(request, "floor/alert_form.html", {"form": form}, status=400 if sent else 200)


def _raised(
    request: HttpRequest, form: AlertForm, day: dt.date, moment: dt.datetime
) -> Alert | None:
    """Write alert and signature, both or neither; problems stand in the form."""
    given = form.cleaned_data
    try:
        # Outside the transaction: a wrong secret is counted even though nothing is written.
        method = confirm_secret(request, given["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return None
    try:
        with transaction.atomic():
            alert = raise_alert(
                number=given["number"],
                jobs=form.chosen(),
                family=given["family"],
                zone=given["zone"],
                text=form.text(),
                from_day=given["from_day"],
                to_day=given["to_day"],
                written_day=day,
                written_by=signed_in_person(request),
                reason=given["reason"],
            )
            sign_request(request, meaning=RAISED, subject=alert, method=method, moment=moment)
    except ValidationError as error:
        form.add_error(None, error)
        return None
    return alert
