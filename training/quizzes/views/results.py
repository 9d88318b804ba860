"""Results: one sitting's counts and what to do next, and the list of sittings."""

import uuid
from typing import Final

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from training.people.sessions import signed_in_person
from training.quizzes.booth_words import exam_title
from training.quizzes.models import SittingEnd
from training.quizzes.page_rows import family_rows
from training.quizzes.plan_words import rule_words
from training.quizzes.selectors.results import Result, find_sittings, result_of, sitting_rows
from training.quizzes.views.access import visible_sitting
from training.quizzes.words import here
from training.quizzes.worked_plan import Verdict

PER_PAGE: Final = 50


@never_cache
@require_safe
def result(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Show a sitting's counts, family by family, and what to do next."""
    sitting = visible_sitting(request, pk)
    found = result_of(sitting)
    own = sitting.person_id == signed_in_person(request).pk
    families = family_rows(found)
    context = {
        "result": found,
        "sitting": sitting,
        "title": exam_title(sitting),
        "families": families,
        "plan_name": here(sitting.plan.name),
        "rules": rule_words(found.plan) if not found.is_practice else [],
        "next_steps": next_steps(found),
        "own": own,
        "has_actions": (found.is_practice and own) or any(row["read_again"] for row in families),
    }
    return render(request, "quizzes/result.html", context)


def next_steps(found: Result) -> list[str]:
    """Say what follows from a result, most urgent first."""
    if found.end is None or found.is_practice:
        return []
    if found.end.reason == SittingEnd.Reason.ABANDONED:
        return [
            _("Broken off: nothing is decided. An invigilator opens it again with other parts.")
        ]
    steps = []
    failed = [each for each in found.families if each.verdict is not Verdict.PASSED]
    if failed:
        steps.append(_("Read the lesson again and practise these families, with a trainer."))
        steps.append(_("A second exam uses other parts and is opened by an invigilator."))
        steps.append(_("A second try about doubles the small risks of the plan; coach first."))
    if found.end.critical_block_passed is False:
        steps.append(
            _("A clear part of a critical family was missed: no certificate at critical level.")
        )
    if len(failed) < len(found.families):
        steps.append(_("Families that passed go to quality, or are certified by the rule."))
    return steps


@require_safe
def sitting_list(request: HttpRequest) -> HttpResponse:
    """List exams, those still running first; practice too where asked for."""
    query = request.GET.get("q", "").strip()
    with_practice = "practice" in request.GET
    page = Paginator(find_sittings(query, with_practice=with_practice), PER_PAGE).get_page(
        request.GET.get("page")
    )
    context = {
        "page": page,
        "rows": sitting_rows(page.object_list),
        "query": query,
        "with_practice": with_practice,
    }
    return render(request, "quizzes/sitting_list.html", context)
