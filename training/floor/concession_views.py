"""Concessions: the list, one of them, writing one, its second signature, its parts, its early end."""

import datetime as dt
import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_safe

from training.floor.concession_forms import (
    ConcessionForm,
    ConcessionLineSet,
    CountForm,
    SecondSignatureForm,
    WithdrawForm,
)
from training.floor.concession_selectors import quantity_left
from training.floor.concessions import (
    count_parts,
    sign_concession,
    withdraw_concession,
    write_concession,
)
from training.floor.models import Concession, Job
from training.floor.paper_selectors import (
    OPEN,
    Concedable,
    PaperState,
    concedable,
    concession_with_lines,
    list_concessions,
    newest_number,
    state_of_concession,
)
from training.floor.paper_words import paper_lines, paper_rows, state_words
from training.floor.selectors import today_at_the_plant
from training.floor.sheet_words import language_code, next_revision
from training.floor.signed_steps import signed_step
from training.people.models import Role
from training.people.sessions import signed_in_person
from training.people.signing import signatures_of
from training.people.views.sign_in import get_or_post

WROTE = "wrote a concession"
SIGNED = "second signature of a concession"
WITHDREW = "withdrew a concession"
COUNTERS = frozenset({Role.QUALITY, Role.SUPERVISOR})


@require_safe
def concession_list(request: HttpRequest) -> HttpResponse:
    """Every concession: those that wait for a signature, those in force, those that ended."""
    moment = timezone.now()
    number = request.GET.get("job", "").strip()
    rows = list_concessions(today_at_the_plant(moment), number)
    language = language_code()
    waiting = [row for row in rows if row.state is PaperState.WAITING]
    standing = [row for row in rows if row.state in OPEN and row not in waiting]
    context = {
        "waiting": paper_rows(waiting, language),
        "standing": paper_rows(standing, language),
        "ended": paper_rows([row for row in rows if row.state not in OPEN], language),
        "total": len(rows),
        "number": number,
        "may_write": Role.QUALITY in signed_in_person(request).roles(),
        "as_of": moment,
    }
    return render(request, "floor/concession_list.html", context)


@require_safe
def concession_detail(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """One concession: what it loosens, until when, who signed it, and what it does not do."""
    paper, moment = _paper(pk), timezone.now()
    context = _detail(request, paper, moment) | {"form": CountForm()}
    return render(request, "floor/concession_detail.html", context)


def _detail(request: HttpRequest, paper: Concession, moment: dt.datetime) -> dict[str, Any]:
    day = today_at_the_plant(moment)
    state = state_of_concession(paper, day)
    person = signed_in_person(request)
    roles = person.roles()
    counting = (PaperState.IN_FORCE, PaperState.USED_UP)
    return {
        "paper": paper,
        "job": paper.job,
        "lines": paper_lines(paper, language_code()),
        "state": state_words(state),
        "is_waiting": state is PaperState.WAITING,
        "left": quantity_left(paper, day),
        "counts": sorted(paper.counts.all(), key=lambda count: count.position, reverse=True),
        "signatures": signatures_of(paper),
        "may_count": bool(roles & COUNTERS) and paper.max_quantity and state in counting,
        "may_sign": Role.QUALITY in roles
        and state is PaperState.WAITING
        and paper.signed_by_id != person.pk,
        "wrote_it": paper.signed_by_id == person.pk,
        "may_withdraw": Role.QUALITY in roles and state in (*OPEN, PaperState.USED_UP),
        "as_of": moment,
    }


@sensitive_post_parameters("secret")
@never_cache
@get_or_post
def concession_add(request: HttpRequest) -> HttpResponse:
    """Write a concession on a job and give the first signature."""
    moment = timezone.now()
    today = today_at_the_plant(moment)
    number = request.GET.get("job", "")
    if not number:
        jobs = Job.objects.running(today)
        return render(request, "floor/concession_job.html", {"jobs": jobs})
    job = get_object_or_404(Job.objects.running(today).select_related("group"), number=number)
    sent = request.method == "POST"
    choice = concedable(job, _first_day(request, today))
    if choice is None:
        messages.warning(request, _("This job has no work instruction, so nothing is limited yet."))
        return redirect("floor:job_sheet", number=job.number)
    form, lines = _forms(request, choice, today)
    if sent and all([form.is_valid(), lines.is_valid()]):
        paper = signed_step(
            request,
            form,
            lambda: write_concession(
                number=form.cleaned_data["number"],
                job=job,
                lines=lines.conceded(),
                from_day=form.cleaned_data["from_day"],
                to_day=form.cleaned_data["to_day"],
                max_quantity=form.cleaned_data["max_quantity"],
                reason=form.cleaned_data["reason"],
                written_by=signed_in_person(request),
                today=today,
            ),
            meaning=WROTE,
            moment=moment,
        )
        if paper is not None:
            said = _(
                "Concession %(number)s is written. It does nothing before somebody else signs."
            )
            messages.success(request, said % {"number": paper.number})
            return redirect("floor:concession_detail", pk=paper.pk)
    context = {"job": job, "form": form, "formset": lines, "choice": choice, "as_of": moment}
    return render(request, "floor/concession_form.html", context, status=400 if sent else 200)


def _first_day(request: HttpRequest, today: dt.date) -> dt.date:
    """Return the day whose lines are chosen from: the first one of the concession."""
    try:
        first = parse_date(request.POST.get("from_day", ""))
    except ValueError:
        first = None
    return max(first or today, today)


def _forms(request: HttpRequest, choice: Concedable, today: dt.date) -> tuple[ConcessionForm, Any]:
    given = {"choice": choice}
    if request.method == "POST":
        form = ConcessionForm(request.POST, today=today)
        return form, ConcessionLineSet(request.POST, prefix="lines", form_kwargs=given)
    newest = newest_number(Concession.objects.values_list("number", flat=True))
    initial = {"number": next_revision(newest) if newest else "CN-01"}
    form = ConcessionForm(today=today, initial=initial)
    return form, ConcessionLineSet(prefix="lines", form_kwargs=given)


@sensitive_post_parameters("secret")
@never_cache
@get_or_post
def concession_sign(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Give the second signature, never one's own; from then on the concession holds."""
    paper, moment = _paper(pk), timezone.now()
    sent = request.method == "POST"
    form = SecondSignatureForm(request.POST) if sent else SecondSignatureForm()
    if sent and form.is_valid():
        signed = signed_step(
            request,
            form,
            lambda: sign_concession(
                concession=paper, person=signed_in_person(request), today=today_at_the_plant(moment)
            ),
            meaning=SIGNED,
            moment=moment,
        )
        if signed is not None:
            said = _("Concession %(number)s is signed and holds from %(day)s on.")
            day = max(signed.from_day, today_at_the_plant(moment))
            messages.success(request, said % {"number": paper.number, "day": date_format(day)})
            return redirect("floor:concession_detail", pk=paper.pk)
    return _step(request, paper, form, moment, step="sign")


@sensitive_post_parameters("secret")
@never_cache
@get_or_post
def concession_withdraw(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """End a concession now, or take back one that waits."""
    paper, moment = _paper(pk), timezone.now()
    sent = request.method == "POST"
    form = WithdrawForm(request.POST) if sent else WithdrawForm()
    if sent and form.is_valid():
        withdrawn = signed_step(
            request,
            form,
            lambda: withdraw_concession(
                concession=paper,
                reason=form.cleaned_data["reason"],
                by=signed_in_person(request),
                today=today_at_the_plant(moment),
            ),
            meaning=WITHDREW,
            moment=moment,
        )
        if withdrawn is not None:
            said = _("Concession %(number)s is withdrawn. The sheet's own limits hold again.")
            messages.success(request, said % {"number": paper.number})
            return redirect("floor:concession_detail", pk=paper.pk)
    return _step(request, paper, form, moment, step="withdraw")


def _step(
    request: HttpRequest, paper: Concession, form: Any, moment: dt.datetime, *, step: str
) -> HttpResponse:
    context = _detail(request, paper, moment) | {"form": form, "step": step}
    status = 400 if request.method == "POST" else 200
    return render(request, "floor/concession_step.html", context, status=status)


@get_or_post
def concession_count(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Write down how many parts have been made under a concession so far."""
    paper, moment = _paper(pk), timezone.now()
    if request.method != "POST":
        return redirect("floor:concession_detail", pk=paper.pk)
    form = CountForm(request.POST)
    if form.is_valid():
        try:
            count = count_parts(
                concession=paper,
                parts=form.cleaned_data["parts"],
                by=signed_in_person(request),
                moment=moment,
                day=today_at_the_plant(moment),
            )
        except ValidationError as error:
            form.add_error("parts", error.messages)
        else:
            left = max(0, (paper.max_quantity or 0) - count.parts)
            messages.success(
                request,
                _("Written down. %(left)s parts are left.") % {"left": left}
                if left
                else _("Written down. All its parts are made; it does not hold any more."),
            )
            return redirect("floor:concession_detail", pk=paper.pk)
    context = _detail(request, paper, moment) | {"form": form}
    return render(request, "floor/concession_detail.html", context, status=400)


def _paper(pk: uuid.UUID) -> Concession:
    paper = concession_with_lines(pk)
    if paper is None:
        raise Http404
    return paper
