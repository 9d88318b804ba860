"""Lessons: the list, one lesson, its pictures, and the reading of it."""

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from training.floor.models import Family
from training.lessons.lesson_words import apart_rows, lesson_context
from training.lessons.models import LessonRevision
from training.lessons.page_rows import lesson_rows
from training.lessons.selectors import (
    lesson_groups,
    lesson_in_force,
    lesson_page,
    teaching_frame,
)
from training.lessons.services import record_reading
from training.people.models import Role
from training.people.sessions import signed_in_person
from training.quizzes.words import here
from training.specimens.serving import frame_response

# Roles whose readings are kept; others may look.
LEARNERS = frozenset({Role.OPERATOR, Role.TRAINER, Role.SUPERVISOR, Role.QUALITY})


@require_safe
def lesson_list(request: HttpRequest) -> HttpResponse:
    """List the lessons; those the person's jobs need and that are unread come first."""
    day = timezone.localdate(timezone.now())
    groups = lesson_groups(signed_in_person(request), day)
    return render(request, "lessons/lesson_list.html", {"groups": lesson_rows(groups)})


@require_safe
def lesson(request: HttpRequest, slug: str) -> HttpResponse:
    """Show a family's lesson: the revision in force, or the one asked for."""
    day = timezone.localdate(timezone.now())
    person = signed_in_person(request)
    family = get_object_or_404(Family, slug=slug)
    newest = lesson_in_force(family, day)
    if newest is None:
        return render(request, "lessons/none.html", {"name": here(family.name), "family": family})
    found = _asked_for(request.GET.get("revision"), newest)
    page = lesson_page(found, person, day)
    context = lesson_context(page, list(Family.objects.all())) | {
        "in_force": found == newest,
        "learns": bool(person.roles() & LEARNERS),
    }
    return render(request, "lessons/lesson.html", context)


def _asked_for(revision: str | None, newest: LessonRevision) -> LessonRevision:
    if not revision or revision == newest.revision:
        return newest
    return get_object_or_404(
        LessonRevision.objects.select_related("published_by", "family"),
        family=newest.family,
        revision=revision,
    )


@require_POST
def read(request: HttpRequest, slug: str) -> HttpResponse:
    """Record that the person has read the revision they were shown."""
    found = get_object_or_404(
        LessonRevision.objects.select_related("family"),
        family__slug=slug,
        revision=request.POST.get("revision", ""),
    )
    record_reading(
        person=signed_in_person(request),
        lesson=found,
        language=(get_language() or "en")[:2],
        moment=timezone.now(),
    )
    messages.success(
        request,
        _("Kept: you have read revision %(revision)s.") % {"revision": found.revision},
    )
    return redirect("lessons:lesson", slug=slug)


@require_safe
def frame(request: HttpRequest, specimen: uuid.UUID, number: int) -> HttpResponse:
    """Hand out a picture of a lesson; only teaching specimens are shown to everybody."""
    found = teaching_frame(specimen, number)
    if found is None:
        raise Http404
    return frame_response(found)


@require_safe
def hints(request: HttpRequest, slug: str) -> HttpResponse:
    """Give how to see and how to tell a family, for the answer in practice."""
    day = timezone.localdate(timezone.now())
    found = lesson_in_force(get_object_or_404(Family, slug=slug), day)
    context = {
        "see": here(found.sections.get("how")) if found else "",
        "tell": here(found.one_liner) if found else "",
    }
    return render(request, "lessons/_hints.html", context)


@require_safe
def tell_apart(request: HttpRequest, slug: str, other: str) -> HttpResponse:
    """Give by which tests two families are told apart, as both their lessons say it."""
    day = timezone.localdate(timezone.now())
    pair = [get_object_or_404(Family, slug=each) for each in (slug, other)]
    context = {"rows": apart_rows(pair, [lesson_in_force(family, day) for family in pair])}
    return render(request, "lessons/_apart.html", context)
