"""Panel rounds: the list, opening one, how far it has come, what it came to, and closing it."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Count
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from training.people.models import Person, Role
from training.people.sessions import is_floor_session, signed_in_person
from training.people.signing import confirm_secret, sign_request
from training.specimens.forms.fields import spread
from training.specimens.forms.panels import CloseForm, PanelForm
from training.specimens.models import PanelRound, Pool, Specimen
from training.specimens.panel_outcomes import agreement_of, members_of, outcomes_of
from training.specimens.panel_turns import due_rounds, member_rows, turn_of
from training.specimens.panel_words import member_lines, outcome_rows, summary_of
from training.specimens.selectors import specimen_rows
from training.specimens.services.panels import ClosedRound, close_round, leave_exams, open_round
from training.specimens.settling import Way, to_settle

CLOSES = "closed a panel round"
SEE_ALL = frozenset({Role.QUALITY, Role.AUDITOR})


@never_cache
@require_safe
def panel_list(request: HttpRequest) -> HttpResponse:
    """A member's own rounds first; quality and auditors see every round."""
    person, today = signed_in_person(request), timezone.localdate()
    roles = set() if is_floor_session(request) else person.roles()
    shown = PanelRound.objects.all() if roles & SEE_ALL else PanelRound.objects.none()
    context = {
        "due": due_rounds(person, today),
        "rounds": shown.select_related("opened_by").annotate(
            specimens=Count("items", distinct=True), people=Count("members", distinct=True)
        ),
        "sees_all": bool(roles & SEE_ALL),
        "may_open": Role.QUALITY in roles,
    }
    return render(request, "specimens/panel_list.html", context)


@require_http_methods(["GET", "POST"])
def panel_open(request: HttpRequest) -> HttpResponse:
    """Choose specimens and members; without a choice, everything that only a panel can settle."""
    moment = timezone.now()
    chosen = _chosen(request)
    sent = request.method == "POST"
    people = _likely_members()
    form = PanelForm(request.POST if sent else None, specimens=chosen, people=people)
    if sent and form.is_valid():
        try:
            round_ = open_round(
                specimens=list(form.cleaned_data["specimens"]),
                members=form.everybody(),
                by=signed_in_person(request),
                moment=moment,
                day=timezone.localdate(moment),
                looks=form.cleaned_data["looks"],
                gap_days=form.cleaned_data["gap_days"],
                note=form.cleaned_data["note"],
            )
        except ValidationError as error:
            spread(form, error)
        else:
            messages.success(
                request,
                _("Round %(number)s is open: its members find it on their own page.")
                % {"number": round_.number},
            )
            return redirect("specimens:panel_round", pk=round_.pk)
    found = Specimen.objects.filter(pk__in=[each.pk for each in chosen])
    ticked = request.POST.getlist("specimens") if sent else [str(each.pk) for each in chosen]
    context = {
        "form": form,
        "rows": specimen_rows(found.with_decision(timezone.localdate(moment)).order_by("number")),
        "ticked": ticked,
        "by_need": not request.GET.getlist("specimen") and not sent,
    }
    return render(request, "specimens/panel_open.html", context, status=400 if sent else 200)


def _chosen(request: HttpRequest) -> Sequence[Specimen]:
    """Return the specimens asked for, or all that only a panel can settle."""
    keys = request.POST.getlist("specimens") or request.GET.getlist("specimen")
    if keys:
        try:
            return list(Specimen.objects.kept().filter(pk__in=[UUID(key) for key in keys]))
        except ValueError as error:
            raise Http404 from error
    waiting = to_settle(timezone.localdate())
    return [each.specimen for each in waiting if each.way in (Way.NEAR, Way.PANEL)]


def _likely_members() -> list[Person]:
    roles = (Role.QUALITY, Role.TRAINER)
    return list(Person.objects.filter(groups__name__in=roles, is_active=True).distinct())


@never_cache
@require_safe
def panel_round(request: HttpRequest, pk: UUID) -> HttpResponse:
    """How far a round has come; once it is closed, every look and what it came to."""
    person, today = signed_in_person(request), timezone.localdate()
    round_ = get_object_or_404(PanelRound.objects.select_related("opened_by", "closed_by"), pk=pk)
    members = members_of(round_)
    roles = set() if is_floor_session(request) else person.roles()
    is_member = person.pk in {member.pk for member in members}
    if not is_member and not roles & SEE_ALL:
        raise Http404
    context: dict[str, Any] = {
        "round": round_,
        "members": member_rows(round_, today) if roles & SEE_ALL else [],
        "specimens": round_.items.count(),
        "may_close": Role.QUALITY in roles and round_.closed_at is None,
        "may_change": Role.QUALITY in roles,
        "sees_specimens": bool(roles & SEE_ALL),
    }
    if is_member and round_.closed_at is None:
        turn = turn_of(round_, person)
        context["own"] = {
            "due": len(turn.due(today)),
            "left": len(turn.left),
            "next_day": turn.next_day(today),
        }
    if round_.closed_at is not None:
        context |= _result(round_, members)
    return render(request, "specimens/panel_round.html", context)


def _result(round_: PanelRound, members: Sequence[Person]) -> dict[str, Any]:
    """Return the looks of a closed round, by the limits of the day it was closed."""
    if round_.closed_at is None:
        return {}
    outcomes = outcomes_of(round_, timezone.localdate(round_.closed_at))
    agreement = agreement_of(round_, outcomes)
    left = [each for each in outcomes if not each.decides and each.specimen.pool == Pool.EXAM]
    return {
        "people": members,
        "rows": outcome_rows(outcomes, round_.looks),
        "summary": summary_of(outcomes),
        "agreement": agreement,
        "leaning": member_lines(agreement),
        "left_in_exams": len(left),
    }


@sensitive_post_parameters("secret")
@require_http_methods(["GET", "POST"])
def panel_close(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Close a round with a signature; the looks are shown only afterwards."""
    round_ = get_object_or_404(PanelRound, pk=pk)
    if round_.closed_at is not None:
        messages.warning(request, _("This round is closed already."))
        return redirect("specimens:panel_round", pk=pk)
    sent = request.method == "POST"
    form = CloseForm(request.POST if sent else None)
    if sent and form.is_valid():
        closed = _closed(request, round_, form)
        if closed is not None:
            messages.success(request, _said(closed))
            return redirect("specimens:panel_round", pk=pk)
    rows = member_rows(round_, timezone.localdate())
    context = {
        "form": form,
        "round": round_,
        "members": rows,
        "missing": sum(row.wanted - row.given for row in rows),
    }
    return render(request, "specimens/panel_close.html", context, status=400 if sent else 200)


def _closed(request: HttpRequest, round_: PanelRound, form: CloseForm) -> ClosedRound | None:
    """Write decisions and signature, all or none; problems stand in the form."""
    moment = timezone.now()
    try:
        method = confirm_secret(request, form.cleaned_data["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return None
    try:
        with transaction.atomic():
            closed = close_round(
                round_=round_,
                by=signed_in_person(request),
                moment=moment,
                day=timezone.localdate(moment),
                unsettled_to=form.cleaned_data["unsettled_to"],
                note=form.cleaned_data["note"],
            )
            sign_request(request, meaning=CLOSES, subject=round_, method=method, moment=moment)
    except ValidationError as error:
        spread(form, error)
        return None
    return closed


def _said(closed: ClosedRound) -> str:
    decided, left = len(closed.decisions), len(closed.unsettled)
    settled = ngettext(
        "Signed: %(n)d specimen is decided", "Signed: %(n)d specimens are decided", decided
    )
    not_settled = ngettext("%(n)d is not settled.", "%(n)d are not settled.", left)
    return f"{settled % {'n': decided}}, {not_settled % {'n': left}}"


@require_POST
def panel_unsettled(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Move what a closed round did not settle out of the exams."""
    round_ = get_object_or_404(PanelRound, pk=pk, closed_at__isnull=False)
    day = timezone.localdate(round_.closed_at)
    left = [each.specimen for each in outcomes_of(round_, day) if not each.decides]
    try:
        moved = leave_exams(specimens=left, pool=request.POST.get("pool", ""))
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    else:
        said = ngettext("%(n)d specimen was moved.", "%(n)d specimens were moved.", moved)
        messages.success(request, said % {"n": moved})
    return redirect("specimens:panel_round", pk=pk)
