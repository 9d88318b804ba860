"""Opening and ending exams: who sits, which families, under which plan, signed by the invigilator."""

import datetime as dt
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST, require_safe

from training.floor.models import Family
from training.people.devices import device_of
from training.people.forms import SignatureFields
from training.people.models import Person, Role
from training.people.sessions import signed_in_person
from training.people.signing import confirm_secret
from training.people.views.sign_in import get_or_post
from training.quizzes.again_words import hold_words, tries_rows, try_words
from training.quizzes.conditions_words import conditions_lines
from training.quizzes.forms import OpenExamForm
from training.quizzes.kinds import PRACTICE
from training.quizzes.ladder import ladder_of
from training.quizzes.models import ExamPlan, Kind, Sitting, SittingEnd
from training.quizzes.offers import Offer
from training.quizzes.page_rows import option_rows
from training.quizzes.plan_rules import read_rules
from training.quizzes.plan_words import numbers_words, risk_words, rule_words
from training.quizzes.selectors.opening import (
    exam_offers,
    exam_options,
    find_people,
    other_offers,
)
from training.quizzes.selectors.plans import (
    EXAM_FORMS,
    exam_plans_besides,
    plan_standing,
    plan_standings,
)
from training.quizzes.selectors.printed_order import shows_real_parts
from training.quizzes.selectors.results import result_of, running_on
from training.quizzes.selectors.tries import History, history_of
from training.quizzes.services.ending import end_sitting
from training.quizzes.services.moving import was_opened_or_moved_to
from training.quizzes.services.opening import open_qualification
from training.quizzes.services.plans import GROUP, REQUALIFICATION, SHORT_BANK
from training.quizzes.trying_again import next_try
from training.quizzes.views.access import waits_for_screen
from training.quizzes.withdrawn_words import refused_text, withdrawn_text
from training.quizzes.words import here, wanted_words

# Value of `on` in the address: what is judged.
ON_PARTS = "parts"


@sensitive_post_parameters("secret")
@get_or_post
def open_exam(request: HttpRequest) -> HttpResponse:
    """Choose who sits, then the families; show the plan; open it on signature."""
    day = timezone.localdate(timezone.now())
    data = request.POST if request.method == "POST" else request.GET
    number = data.get("person", "")
    if not number:
        query = data.get("q", "").strip()
        context = {
            "query": query,
            "people": find_people(query, day),
            "running": running_on(device_of(request)),
        }
        return render(request, "quizzes/open_person.html", context)
    person = get_object_or_404(Person, personnel_no=number, is_active=True)
    families = list(Family.objects.filter(slug__in=data.getlist("family")).select_related("group"))
    critical = [slug for slug in data.getlist("critical") if slug in {f.slug for f in families}]
    form = OpenExamForm(request.POST or None, device=device_of(request), person=person)
    if request.method == "POST" and form.is_valid():
        sitting = _open(request, form, person, families, critical)
        if sitting is not None:
            here_now = device_of(request) == sitting.device
            return redirect("quizzes:screen_check" if here_now else "quizzes:opened", pk=sitting.pk)
    context = _options(request, person, families, critical, form)
    status = 400 if request.method == "POST" else 200
    return render(request, "quizzes/open_exam.html", context, status=status)


def _open(
    request: HttpRequest,
    form: OpenExamForm,
    person: Person,
    families: Sequence[Family],
    critical: Sequence[str],
) -> Sitting | None:
    """Open the exam, or put what is wrong on the form and return None."""
    moment = timezone.now()
    day = timezone.localdate(moment)
    standing = plan_standing(request.POST.get("plan", ""), day)
    if standing is None:
        form.add_error(None, _("Choose one of the plans below."))
        return None
    plan = standing.plan
    if standing.withdrawn is not None:
        instead = exam_plans_besides(plan.code, day)
        form.add_error(None, refused_text(plan, standing.withdrawn, instead))
        return None
    try:
        method = confirm_secret(request, form.cleaned_data["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return None
    try:
        return open_qualification(
            person=person,
            families=families,
            plan=plan,
            invigilator=signed_in_person(request),
            signature_method=method,
            device=form.cleaned_data["device"],
            language=form.cleaned_data["language"],
            critical=[family for family in families if family.slug in critical],
            kind=Kind.REQUALIFICATION if plan.code == REQUALIFICATION else Kind.QUALIFICATION,
            pictured_only=not _on_parts(request),
            moment=moment,
        )
    except ValidationError as error:
        for message in error.messages:
            form.add_error(None, message)
        return None


def _on_parts(request: HttpRequest) -> bool:
    """Return whether numbered real parts are to be judged instead of pictures."""
    data = request.POST if request.method == "POST" else request.GET
    return data.get("on") == ON_PARTS


def _options(
    request: HttpRequest,
    person: Person,
    families: Sequence[Family],
    critical: Sequence[str],
    form: OpenExamForm,
) -> dict[str, Any]:
    day = timezone.localdate(timezone.now())
    pictured_only = not _on_parts(request)
    bank, groups = exam_options(person, day, pictured_only=pictured_only)
    exams = [each for each in plan_standings(day) if each.plan.form in EXAM_FORMS]
    in_force = {each.plan.code: each.plan for each in exams if each.in_force}
    group, short = in_force.get(GROUP), in_force.get(SHORT_BANK)
    names = {each.family.slug: here(each.family.name) for g in groups for each in g.families}
    context: dict[str, Any] = {
        "person": person,
        "groups": option_rows(groups, ladder_of(exams)),
        "chosen": [family.slug for family in families],
        "critical": critical,
        "form": form,
        "offers": None,
        "others": [],
        "on_parts": not pictured_only,
        "no_plan": not exams,
        "withdrawn": [
            {"name": here(each.plan.name), "words": withdrawn_text(each.withdrawn)}
            for each in exams
            if each.withdrawn is not None
        ],
    }
    if families and exams:
        found = exam_offers(bank, families, critical, group=group, short=short)
        asked = _Asked(request, person, form, names, history_of(person, context["chosen"]), day)
        context |= {
            "offers": [
                _offer(asked, offer, plan)
                for offer in found.offers
                for plan in (group, short)
                if plan is not None and offer.plan.form == plan.form
            ],
            "others": [
                _offer(asked, offer, plan)
                for plan, offer in other_offers(
                    bank, families, critical, list(in_force.values()), pictured_only=pictured_only
                )
            ],
            "wanted": wanted_words(found.wanted, names),
            "wanted_for_group": wanted_words(found.wanted_for_group, names),
        }
    return context


@dataclass(frozen=True)
class _Asked:
    """Who is to be examined, by which request, and what they tried before."""

    request: HttpRequest
    person: Person
    form: OpenExamForm
    names: dict[str, str]
    history: History
    day: dt.date


def _offer(asked: _Asked, offer: Offer, plan: ExamPlan) -> dict[str, Any]:
    """Return what the page shows of one sitting that can be opened, with its own form to sign."""
    request, names = asked.request, asked.names
    signed = request.method == "POST" and request.POST.get("plan") == plan.code
    rules = read_rules(plan.form, plan.parameters)
    holds = asked.history.holds(list(offer.families), rules, asked.day)
    return {
        "plan": plan,
        "name": here(plan.name),
        "is_short": plan.form == ExamPlan.Form.SHORT_BANK,
        "families": [{"slug": slug, "name": names[slug]} for slug in offer.families],
        "critical": [{"slug": slug, "name": names[slug]} for slug in offer.critical],
        "numbers": numbers_words(offer.plan),
        "rules": rule_words(offer.plan),
        "risks": risk_words(offer.plan),
        "tries": tries_rows(offer.plan),
        "try_words": try_words(next_try(holds), rules.tries),
        "again": bool(holds),
        "holds": hold_words(holds, names),
        "seen": offer.plan.draw.get("seen", 0),
        "total": offer.plan.total,
        "form": asked.form
        if signed
        else OpenExamForm(
            device=device_of(request), person=asked.person, auto_id=f"id_{plan.code}_%s"
        ),
    }


@never_cache
@require_safe
def opened(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Say that an exam is open, for whom and where, and hand the tablet over."""
    sitting = get_object_or_404(
        Sitting.objects.select_related("person", "plan", "invigilator", "device", "conditions"),
        pk=pk,
    )
    if sitting.kind in PRACTICE or sitting.kind == Kind.STUDY:
        raise PermissionDenied
    person = signed_in_person(request)
    is_own = sitting.person_id == person.pk
    context = {
        "result": result_of(sitting),
        "sitting": sitting,
        "waits": waits_for_screen(sitting),
        "may_see_draw": Role.QUALITY in person.roles() and not is_own,
        # Who sits the exam does not see the parts before their turn.
        "may_see_order": not is_own and shows_real_parts(sitting),
        "conditions": conditions_lines(sitting),
        **_place(request, sitting),
    }
    return render(request, "quizzes/opened.html", context)


def _place(request: HttpRequest, sitting: Sitting) -> dict[str, Any]:
    """Return whether this tablet is the exam's, and whether the exam could be moved to it."""
    device = device_of(request)
    if device is None or sitting.device_id is None:
        return {"here": False, "movable": False}
    here = was_opened_or_moved_to(sitting, device)
    return {
        "here": here,
        "movable": not here and not waits_for_screen(sitting),
        "signature": SignatureFields(),
        "this_device": device.name,
    }


@require_POST
def abandon(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Break a sitting off: one's own practice, or an exam by an invigilator."""
    person = signed_in_person(request)
    sitting = get_object_or_404(Sitting.objects.select_related("person"), pk=pk)
    own_practice = sitting.kind in PRACTICE and sitting.person_id == person.pk
    may_end = person.roles() & {Role.TRAINER, Role.QUALITY} and sitting.person_id != person.pk
    if sitting.kind in PRACTICE and not own_practice:
        raise Http404
    if not own_practice and not may_end:
        raise PermissionDenied(_("An exam is ended by an invigilator."))
    try:
        end_sitting(
            sitting=sitting,
            reason=SittingEnd.Reason.ABANDONED,
            moment=timezone.now(),
            ended_by=person,
        )
    except ValidationError as error:
        messages.error(request, " ".join(error.messages))
    return redirect("quizzes:result", pk=sitting.pk)
