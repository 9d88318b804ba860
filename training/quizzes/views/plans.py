"""Exam plans: which are in force, whom they let through, and their revisions."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from training.people.forms import SignatureFields
from training.people.sessions import signed_in_person
from training.people.signing import signatures_of
from training.quizzes.full_bank import shown_sizes, with_full_bank
from training.quizzes.models import ExamPlan, PlanReview
from training.quizzes.plan_figures import plan_figures
from training.quizzes.plan_forms import KINDS
from training.quizzes.plan_rules import read_rules
from training.quizzes.plan_words import rule_words
from training.quizzes.review_words import due_words
from training.quizzes.selectors.plan_reviews import ReviewDue, reviews_due
from training.quizzes.selectors.plans import (
    PlanStanding,
    plan_drafts,
    plan_standings,
    revisions_of,
    withdrawal_of,
    withdrawing,
)
from training.quizzes.services.plans import ensure_default_plans
from training.quizzes.withdrawn_words import instead_text, running_text, withdrawn_text
from training.quizzes.words import here
from training.quizzes.worked_plan import OPEN_ENDED, Form


@require_safe
def plan_list(request: HttpRequest) -> HttpResponse:
    """List the plans in force and those withdrawn, with what each asks of a usual sitting."""
    day = timezone.localdate(timezone.now())
    standings = plan_standings(day)
    due = reviews_due([each.plan for each in standings if each.in_force], day)
    rows = [_row(each, due) for each in sorted(standings, key=lambda each: not each.in_force)]
    drafts = [{"plan": plan, "name": here(plan.name)} for plan in plan_drafts()]
    return render(request, "quizzes/plan_list.html", {"rows": rows, "drafts": drafts})


def _row(standing: PlanStanding, due: Mapping[str, ReviewDue]) -> dict[str, Any]:
    plan, late = standing.plan, due.get(standing.plan.code)
    return {
        "plan": plan,
        "name": here(plan.name),
        "rules": _rules(plan),
        "due": due_words(late) if late is not None and late.due else "",
        "withdrawn": withdrawn_text(standing.withdrawn) if standing.withdrawn else "",
    }


@require_POST
def publish_defaults(request: HttpRequest) -> HttpResponse:
    """Publish the first revision of each default plan that does not exist yet."""
    day = timezone.localdate(timezone.now())
    made = ensure_default_plans(day=day, published_by=signed_in_person(request))
    messages.success(
        request,
        ngettext("%(n)d plan is in force.", "%(n)d plans are in force.", len(made))
        % {"n": len(made)},
    )
    return redirect("quizzes:plan_list")


def _rules(plan: ExamPlan) -> list[str]:
    if plan.form in OPEN_ENDED:
        return []
    rules = read_rules(plan.form, plan.parameters)
    return rule_words(with_full_bank(rules, 5 if plan.form == Form.GROUP else 1))


@require_safe
def plan_detail(request: HttpRequest, code: str) -> HttpResponse:
    """Show a plan in words, numbers and its curve, for the size of group asked for."""
    revisions = revisions_of(code)
    if not revisions:
        raise Http404
    wanted = request.GET.get("revision", "")
    plan = next((each for each in revisions if str(each.revision) == wanted), revisions[0])
    rules = read_rules(plan.form, plan.parameters)
    sizes = shown_sizes(plan.form)
    asked = request.GET.get("families", "")
    size = int(asked) if asked.isdigit() and int(asked) in sizes else sizes[len(sizes) // 2 - 1]
    published = next((each for each in revisions if not each.is_draft), None)
    day = timezone.localdate(timezone.now())
    person = signed_in_person(request)
    withdrawn = None if plan.is_draft else withdrawal_of(plan, day)
    context: dict[str, Any] = {
        "plan": plan,
        "name": here(plan.name),
        "revisions": revisions,
        "in_force": plan == published and plan.day <= day and withdrawn is None,
        "withdrawn": _withdrawn(plan, withdrawn, day),
        "draft": next((each for each in revisions if each.is_draft), None),
        "own_draft": plan.is_draft and plan.written_by_id == person.pk,
        "signatures": signatures_of(plan),
        "sign_form": SignatureFields(),
        "revisable": plan.form in KINDS,
        "sizes": sizes if len(sizes) > 1 else (),
        "size": size,
        "rules": rules,
    }
    if plan.form not in OPEN_ENDED:
        context |= plan_figures(rules, size if plan.form == Form.GROUP else 0, day)
        due = None if withdrawn else reviews_due([plan], day).get(plan.code)
        context["review_due"] = due_words(due) if due is not None and due.due else ""
        if withdrawn is not None:
            # What the bank could carry under it is no question any more.
            context["bank"] = None
    return render(request, "quizzes/plan_detail.html", context)


def _withdrawn(plan: ExamPlan, review: PlanReview | None, day: dt.date) -> list[str]:
    """Return who withdrew a plan, which exams still run under it, and what is used instead."""
    if review is None:
        return []
    left = withdrawing(plan, day)
    return [withdrawn_text(review), running_text(left), instead_text(left.instead)]
