"""The operator report: one person as a measuring instrument, and its counts as a table."""

import uuid

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from training.floor.models import Family
from training.people.sessions import signed_in_person
from training.quizzes.report_bars import actions_figure, naming_figure, place_words
from training.quizzes.report_export import report_csv
from training.quizzes.report_figures import exams_figure, eye_figure, eyes_figure
from training.quizzes.report_steps import next_steps
from training.quizzes.report_way import pace_figure, way_figure
from training.quizzes.report_words import eye_words, facts, family_rows, score_words, telling_words
from training.quizzes.selectors.meetings import meetings_of
from training.quizzes.selectors.report import report_of
from training.quizzes.views.access import visible_person
from training.quizzes.words import here


@never_cache
@require_safe
def report(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Show what a person's ended sittings say of their eye, opened at one family."""
    person = visible_person(request, pk)
    found = report_of(person, request.GET.get("family", ""))
    if found is None:
        raise Http404
    chosen = found.chosen
    context = {
        "person": person,
        "own": person.pk == signed_in_person(request).pk,
        "report": found,
        "family": here(chosen.family.short) if chosen else "",
        "slug": chosen.family.slug if chosen else "",
        "says": eye_words(chosen.eye) if chosen else "",
        "telling": telling_words(chosen.eye) if chosen else "",
        "facts": facts(found),
        "score": score_words(found),
        "steps": next_steps(found),
        "rows": family_rows(found),
        "eye": eye_figure(found),
        "exams": exams_figure(chosen) if chosen else None,
        "eyes": eyes_figure(found),
        "naming": naming_figure(found),
        "doing": actions_figure(found),
        "place": place_words(found),
        "pace": pace_figure(found),
        "way": way_figure(found),
    }
    return render(request, "quizzes/report.html", context)


@never_cache
@require_safe
def report_export(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Return the person's counts by sitting and family as CSV."""
    person = visible_person(request, pk)
    names = {family.slug: here(family.name) for family in Family.objects.all()}
    table = report_csv(person, meetings_of(person), names)
    response = HttpResponse(table, content_type="text/csv; charset=utf-8")
    day = timezone.localdate(timezone.now())
    name = f"answers-{person.personnel_no}-{day:%Y-%m-%d}.csv"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
