"""One specimen: its pictures, the limit in words, what was decided and when."""

import datetime as dt
from collections.abc import Sequence
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.translation import get_language
from django.views.decorators.http import require_safe

from training.people.models import Role
from training.people.sessions import signed_in_person
from training.specimens.brought_back import brought_back
from training.specimens.forms.listing import PoolForm
from training.specimens.limit_rows import limit_rows, measured_text, ratio_text, ruler_of
from training.specimens.models import Specimen
from training.specimens.selectors import ViewRow, decisions_of, views_of
from training.specimens.standards import Standard, standard_of
from training.specimens.step_words import StepLine, step_lines
from training.specimens.steps import facts_of, open_round_of
from training.specimens.views.panes import pane_of


@require_safe
def specimen_detail(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The picture with its outline on request, beside what it is measured by."""
    today = timezone.localdate()
    roles = signed_in_person(request).roles()
    seen = Specimen.objects.open_to(roles).with_decision(today)
    specimen = get_object_or_404(seen.select_related("job", "family", "created_by"), pk=pk)
    views = views_of([specimen.pk]).get(specimen.pk, ())
    standard = standard_of(specimen.job, today)
    rulings = standard.rulings(specimen.family.slug, specimen.zone)
    view = next((each for each in views if each.position == _place(request)), None)
    if view is None and views:
        if "view" in request.GET:
            raise Http404
        view = views[0]
    may_change = Role.QUALITY in roles
    context = {
        "specimen": specimen,
        "views": views,
        "view": view,
        "pane": pane_of(specimen, view, rulings=rulings) if view else None,
        "outlined": any(each.regions for each in views),
        "limits": limit_rows(rulings, get_language() or "en"),
        "ruler": ruler_of(specimen, rulings),
        "sheet": standard.sheet,
        "measured": measured_text(specimen.severity, specimen.unit),
        "share": ratio_text(specimen.decided_ratio),
        "decisions": decisions_of(specimen),
        "brought_back": brought_back(Specimen, [specimen.pk]).get(specimen.pk, []),
        "pool_form": PoolForm(initial={"pool": specimen.pool}),
        "may_change": may_change,
        "sees_results": bool({Role.QUALITY, Role.AUDITOR} & roles),
        "steps": _steps(specimen, standard, views, today) if may_change else [],
    }
    return render(request, "specimens/specimen_detail.html", context)


def _steps(
    specimen: Specimen, standard: Standard, views: Sequence[ViewRow], day: dt.date
) -> list[StepLine]:
    only = Specimen.objects.filter(pk=specimen.pk)
    facts = facts_of(only, day, {specimen.job_id: standard})[specimen.pk]
    view = next((each.position for each in views if each.frames), None)
    return step_lines(specimen.pk, facts, view, open_round_of(specimen))


def _place(request: HttpRequest) -> int | None:
    place = request.GET.get("view", "")
    return int(place) if place.isdecimal() and len(place) < 4 else None
