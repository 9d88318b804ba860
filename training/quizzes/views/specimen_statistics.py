"""Specimen statistics: the list and its sheet, one specimen's answers, the map, when parts are missed."""

import datetime as dt
from uuid import UUID

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from training.floor.models import Family
from training.people.models import Person, Role
from training.people.sessions import signed_in_person
from training.quizzes.selectors.specimen_panel import panel_record
from training.quizzes.selectors.specimen_statistics import (
    SpecimenStatistics,
    chosen,
    specimen_statistics,
)
from training.quizzes.specimen_conditions import by_crew_and_hour
from training.quizzes.specimen_export import as_csv, as_xlsx
from training.quizzes.specimen_forms import StatisticsFilter
from training.quizzes.specimen_maps import family_maps, over_time, spans_of
from training.quizzes.specimen_rows import answer_rows, hour_rows, hours_said, member_rows
from training.quizzes.specimen_words import line_rows, said

PAGE = 50


@require_safe
def statistics(request: HttpRequest) -> HttpResponse:
    """Every specimen with its answers; what is to be done stands on top."""
    found, roles, _now = _found(request)
    form = _filter(request)
    lines = chosen(found.lines, form.wanted())
    page = Paginator(lines, PAGE).get_page(request.GET.get("page"))
    to_do = chosen([line for line in found.lines if line.to_do], form.wanted())
    context = {
        "found": found,
        "filters": form,
        "page_obj": page,
        "rows": line_rows(page.object_list, found.bank),
        "to_do": line_rows(to_do, found.bank) if page.number == 1 else [],
        "not_linked": said(found.bank.not_linked),
        "not_fitted": said(found.bank.not_fitted),
        "may_change": Role.QUALITY in roles,
        "only_teaching": not {Role.QUALITY, Role.AUDITOR} & roles,
    }
    return render(request, "quizzes/specimen_statistics.html", context)


@require_safe
def export(request: HttpRequest) -> HttpResponse:
    """The same list as a sheet, with every number behind it."""
    found, _roles, now = _found(request)
    lines = chosen(found.lines, _filter(request).wanted())
    if request.GET.get("form") == "csv":
        return as_csv(lines, found.bank, now)
    return as_xlsx(lines, found.bank, now)


@require_safe
def specimen_answers(request: HttpRequest, pk: UUID) -> HttpResponse:
    """How one specimen was answered over time, and by whom."""
    found, roles, _now = _found(request)
    line = next((each for each in found.lines if each.id == pk), None)
    if line is None:
        raise Http404
    given = found.answers_to(pk)
    spans = spans_of(given)
    people = Person.objects.in_bulk({each.person_id for each in given})
    context = {
        "line": line,
        "row": line_rows([line], found.bank)[0],
        "chart": over_time(line, spans),
        "answers": answer_rows(given, people),
        "may_change": Role.QUALITY in roles,
        "not_fitted": said(found.bank.not_fitted),
    }
    return render(request, "quizzes/specimen_answers.html", context)


@require_safe
def difficulty_map(request: HttpRequest) -> HttpResponse:
    """Specimens by severity ÷ limit against how often they are answered right, family by family."""
    found, _roles, _now = _found(request)
    maps = family_maps(found.lines)
    asked = request.GET.get("family", "")
    shown = next((each for each in maps if each.slug == asked), maps[0] if maps else None)
    context = {"maps": maps, "shown": shown, "others": [each for each in maps if each is not shown]}
    return render(request, "quizzes/difficulty_map.html", context)


@require_safe
def missed_when(request: HttpRequest) -> HttpResponse:
    """What is missed by which crew at which hour, beside what the specimens let expect."""
    found, _roles, _now = _found(request)
    hours = by_crew_and_hour(found.book.answers, found.bank, timezone.get_current_timezone())
    rows = hour_rows(hours)
    context = {
        "hours": rows,
        "too_few": [row for row in rows if row.reason],
        "said": hours_said(hours),
    }
    return render(request, "quizzes/missed_when.html", context)


@require_safe
def panel_members(request: HttpRequest) -> HttpResponse:
    """Each member of the reference panel beside what the others settled."""
    record = panel_record(timezone.localdate(timezone.now()))
    context = {"record": record, "members": member_rows(record)}
    return render(request, "quizzes/panel_members.html", context)


def _found(request: HttpRequest) -> tuple[SpecimenStatistics, frozenset[str], dt.datetime]:
    now = timezone.now()
    roles = signed_in_person(request).roles()
    found = specimen_statistics(roles=roles, now=now, day=timezone.localdate(now))
    return found, roles, now


def _filter(request: HttpRequest) -> StatisticsFilter:
    families = Family.objects.filter(specimens__isnull=False).distinct()
    return StatisticsFilter(request.GET, families=families)
