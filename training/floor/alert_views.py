"""Alerts: the list, one of them, raising one with the limits it tightens, ending one early."""

import uuid
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_safe

from training.floor.alert_forms import AlertForm, AlertLineSet
from training.floor.alerts import raise_alert, withdraw_alert
from training.floor.concession_forms import WithdrawAlertForm
from training.floor.limits import Line
from training.floor.models import Alert
from training.floor.paper_selectors import (
    OPEN,
    alert_with_lines,
    list_alerts,
    newest_number,
    state_of_alert,
)
from training.floor.paper_words import paper_lines, paper_rows, state_words
from training.floor.selectors import today_at_the_plant
from training.floor.sheet_words import language_code, next_revision
from training.floor.signed_steps import signed_step
from training.people.models import Role
from training.people.sessions import signed_in_person
from training.people.signing import signatures_of
from training.people.views.sign_in import get_or_post

RAISED = "raised an alert"
WITHDREW = "withdrew an alert"


@require_safe
def alert_list(request: HttpRequest) -> HttpResponse:
    """Every alert, those in force first."""
    moment = timezone.now()
    rows = list_alerts(today_at_the_plant(moment))
    language = language_code()
    context = {
        "standing": paper_rows([row for row in rows if row.state in OPEN], language),
        "ended": paper_rows([row for row in rows if row.state not in OPEN], language),
        "total": len(rows),
        "may_raise": Role.QUALITY in signed_in_person(request).roles(),
        "as_of": moment,
    }
    return render(request, "floor/alert_list.html", context)


@require_safe
def alert_detail(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """One alert: what to look for, what it tightens, on which jobs, until when, who signed it."""
    return render(request, "floor/alert_detail.html", _detail(request, _alert(pk)))


def _detail(request: HttpRequest, paper: Alert) -> dict[str, Any]:
    moment = timezone.now()
    state = state_of_alert(paper, today_at_the_plant(moment))
    return {
        "paper": paper,
        "jobs": paper.jobs.all(),
        "lines": paper_lines(paper, language_code()),
        "state": state_words(state),
        "signatures": signatures_of(paper),
        "may_withdraw": Role.QUALITY in signed_in_person(request).roles()
        and state in OPEN
        and paper.withdrawn_day is None,
        "as_of": moment,
    }


@sensitive_post_parameters("secret")
@never_cache
@get_or_post
def alert_add(request: HttpRequest) -> HttpResponse:
    """Raise an alert; nobody runs its jobs on their own before having read it."""
    moment = timezone.now()
    day = today_at_the_plant(moment)
    sent = request.method == "POST"
    if sent:
        form, rows = AlertForm(request.POST, today=day), AlertLineSet(request.POST, prefix="lines")
    else:
        newest = newest_number(Alert.objects.values_list("number", flat=True))
        initial = {
            "jobs": request.GET.getlist("job"),
            "number": next_revision(newest) if newest else "A-01",
        }
        form, rows = AlertForm(today=day, initial=initial), AlertLineSet(prefix="lines")
    if sent and all([form.is_valid(), rows.is_valid()]):
        lines = form.lines_of(rows)
        alert = None
        if not any(row.errors for row in rows.forms):
            alert = signed_step(
                request, form, lambda: _raised(request, form, lines), meaning=RAISED, moment=moment
            )
        if alert is not None:
            said = _("Alert %(number)s is raised. Everyone reads it before the next run.")
            messages.success(request, said % {"number": alert.number})
            return redirect("floor:job_sheet", number=form.chosen()[0].number)
    context = {"form": form, "formset": rows}
    return render(request, "floor/alert_form.html", context, status=400 if sent else 200)


def _raised(request: HttpRequest, form: AlertForm, lines: list[Line]) -> Alert:
    given = form.cleaned_data
    return raise_alert(
        number=given["number"],
        jobs=form.chosen(),
        family=given["family"],
        zone=given["zone"],
        text=form.text(),
        from_day=given["from_day"],
        to_day=given["to_day"],
        written_day=form.today,
        written_by=signed_in_person(request),
        lines=lines,
        reason=given["reason"],
    )


@sensitive_post_parameters("secret")
@never_cache
@get_or_post
def alert_withdraw(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """End an alert before its last day, with the reason; signed."""
    paper, moment = _alert(pk), timezone.now()
    today = today_at_the_plant(moment)
    sent = request.method == "POST"
    form = WithdrawAlertForm(request.POST if sent else None, today=today)
    if sent and form.is_valid():
        withdrawn = signed_step(
            request,
            form,
            lambda: withdraw_alert(
                alert=paper,
                last_day=form.cleaned_data["last_day"],
                reason=form.cleaned_data["reason"],
                by=signed_in_person(request),
                today=today,
            ),
            meaning=WITHDREW,
            moment=moment,
        )
        if withdrawn is not None:
            said = _("Alert %(number)s ends with %(day)s.")
            last = date_format(form.cleaned_data["last_day"])
            messages.success(request, said % {"number": paper.number, "day": last})
            return redirect("floor:alert_detail", pk=paper.pk)
    context = _detail(request, paper) | {"form": form}
    return render(request, "floor/alert_withdraw.html", context, status=400 if sent else 200)


def _alert(pk: uuid.UUID) -> Alert:
    paper = alert_with_lines(pk)
    if paper is None:
        raise Http404
    return paper
