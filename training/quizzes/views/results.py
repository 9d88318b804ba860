"""Results: one sitting's counts and what to do next, and the list of sittings."""

import uuid
from typing import Any, Final

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from training.people.models import Role
from training.people.sessions import signed_in_person
from training.quizzes.again_words import hold_words, tries_rows, try_words
from training.quizzes.booth_words import exam_title
from training.quizzes.conditions_words import conditions_lines
from training.quizzes.drawing import FRESH_DAYS
from training.quizzes.kinds import EXAMS, result_route
from training.quizzes.models import Kind, Sitting, SittingEnd
from training.quizzes.page_rows import family_rows
from training.quizzes.plan_rules import read_rules
from training.quizzes.plan_words import rule_words
from training.quizzes.repeats import Repeatability
from training.quizzes.selectors.progress import progress_of
from training.quizzes.selectors.repeatability import over_all, within
from training.quizzes.selectors.results import Result, find_sittings, result_of, sitting_rows
from training.quizzes.selectors.studies import study_of
from training.quizzes.selectors.tries import coachings_after, families_not_passed, history_of
from training.quizzes.selectors.turned import corrections_of, counted_each
from training.quizzes.trying_again import next_try
from training.quizzes.turned_words import corrected_lines, family_names, said_of
from training.quizzes.views.access import visible_sitting
from training.quizzes.words import here

PER_PAGE: Final = 50
SEE_DRAW: Final = frozenset({Role.QUALITY, Role.AUDITOR})
COACHES: Final = frozenset({Role.TRAINER, Role.QUALITY})


@never_cache
@require_safe
def result(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Show a sitting's counts, family by family, and what to do next."""
    sitting = visible_sitting(request, pk)
    person = signed_in_person(request)
    own, roles = sitting.person_id == person.pk, person.roles()
    if sitting.kind == Kind.STUDY:
        # A round says nothing of right or wrong; its study does, once all are done.
        page = "quizzes:study_round" if own else "quizzes:study"
        return redirect(page, pk=study_of(sitting).pk)
    if route := result_route(sitting, own=own):
        return redirect(route, pk=sitting.pk)
    found = result_of(sitting)
    families = family_rows(found)
    again = _again(sitting, found)
    context = (
        {
            "result": found,
            "sitting": sitting,
            "title": exam_title(sitting),
            "families": families,
            "plan_name": here(sitting.plan.name),
            "repeats": _repeats(sitting, found),
            "rules": rule_words(found.plan) if not found.is_practice else [],
            "next_steps": next_steps(found),
            "own": own,
            "conditions": conditions_lines(sitting),
            "may_see_draw": sitting.kind in EXAMS and bool(roles & SEE_DRAW),
            "has_actions": (found.is_practice and own)
            or any(row["read_again"] for row in families),
            "may_coach": not own and bool(roles & COACHES),
        }
        | again
        | _corrected(sitting, found)
    )
    return render(request, "quizzes/result.html", context)


def _corrected(sitting: Sitting, found: Result) -> dict[str, Any]:
    """Return how the exam was scored again, beside what it came to at its end."""
    lines = corrected_lines(sitting, corrections_of(sitting))
    if not lines or found.end is None:
        return {}
    before, now = said_of(found.end, family_names()), lines[-1].said
    return {
        "corrected": lines,
        "before": before,
        "counts_as": now if now.word != before.word else None,
    }


def _again(sitting: Sitting, found: Result) -> dict[str, Any]:
    """Return what another try of the families not passed waits for, and what it does to the risk."""
    missed = families_not_passed(sitting)
    if not missed:
        return {"not_passed": []}
    rules = read_rules(sitting.plan.form, sitting.plan.parameters)
    day = timezone.localdate(timezone.now())
    holds = history_of(sitting.person, missed).holds(missed, rules, day)
    names = {row.family.slug: here(row.family.name) for row in found.families}
    return {
        "not_passed": missed,
        "holds": hold_words(holds, names),
        "try_words": try_words(next_try(holds), rules.tries) if holds else "",
        "tries": tries_rows(found.plan),
        "coachings": coachings_after(sitting),
    }


def _repeats(sitting: Sitting, found: Result) -> dict[str, Repeatability] | None:
    """Return how often a part that came again got the same answer; of practice only."""
    if not found.is_practice or found.end is None:
        return None
    return {"round": within(progress_of(sitting)), "all": over_all(sitting.person)}


def next_steps(found: Result) -> list[str]:
    """Say what follows from what an exam counts as today, most urgent first. One query."""
    if found.end is None or found.is_practice:
        return []
    if found.end.reason == SittingEnd.Reason.ABANDONED:
        return [
            _("Broken off: nothing is decided. An invigilator opens it again with other parts.")
        ]
    steps = []
    said = counted_each([found.end])[found.sitting.pk]
    failed = set(found.sitting.families) - set(said.families_passed)
    if failed:
        steps.append(_("Read the lesson again and practise these families, with a trainer."))
        steps.append(
            _("A second exam uses other parts: those of this one stay out for %(days)s days.")
            % {"days": FRESH_DAYS}
        )
    if said.critical_block_passed is False:
        steps.append(
            _("A clear part of a critical family was missed: no certificate at critical level.")
        )
    if said.families_passed:
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
