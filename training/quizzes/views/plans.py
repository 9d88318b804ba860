"""Exam plans: which are in force, whom they let through, and their revisions."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from training.people.sessions import signed_in_person
from training.quizzes.full_bank import shown_sizes, with_full_bank
from training.quizzes.models import ExamPlan
from training.quizzes.page_rows import strata_rows
from training.quizzes.plan_rules import read_rules
from training.quizzes.plan_words import numbers_words, operating, risk_words, rule_words
from training.quizzes.selectors.plans import plans_in_force, revisions_of
from training.quizzes.services.plans import ensure_default_plans
from training.quizzes.words import here
from training.quizzes.worked_plan import Form


@require_safe
def plan_list(request: HttpRequest) -> HttpResponse:
    """List the plans in force, with what each asks of a usual sitting."""
    plans = plans_in_force(timezone.localdate(timezone.now()))
    rows = [{"plan": plan, "name": here(plan.name), "rules": _rules(plan)} for plan in plans]
    return render(request, "quizzes/plan_list.html", {"rows": rows})


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
    if plan.form == Form.PRACTICE:
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
    context = {
        "plan": plan,
        "name": here(plan.name),
        "revisions": revisions,
        "in_force": plan == revisions[0],
        "sizes": sizes if len(sizes) > 1 else (),
        "size": size,
        "rules": rules,
    }
    if plan.form != Form.PRACTICE:
        critical = 2 if plan.form == Form.GROUP else 1
        worked = with_full_bank(rules, size, critical=min(size, critical))
        context |= {
            "numbers": numbers_words(worked),
            "rules_said": rule_words(worked),
            "risks": risk_words(worked),
            "operating": operating(worked),
            "strata": strata_rows(rules),
        }
    return render(request, "quizzes/plan_detail.html", context)
