"""The bank of specimens: what is in it, what waits for a decision."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from training.floor.models import Family, Job
from training.people.models import Role
from training.people.sessions import signed_in_person
from training.specimens.forms.listing import FilterForm
from training.specimens.models import Specimen
from training.specimens.selectors import (
    bank_counts,
    bank_totals,
    find_specimens,
    specimen_rows,
)
from training.specimens.settling import decided_before_only
from training.specimens.step_words import step_counts
from training.specimens.steps import waiting_at

PAGE = 24


@require_safe
def specimen_list(request: HttpRequest) -> HttpResponse:
    """Specimens, undecided first; trainers find those that teach."""
    today = timezone.localdate()
    roles = signed_in_person(request).roles()
    among = Specimen.objects.open_to(roles)
    form = FilterForm(
        request.GET,
        families=Family.objects.filter(specimens__in=among).distinct(),
        jobs=Job.objects.filter(specimens__in=among).distinct(),
    )
    may_change = Role.QUALITY in roles
    if not may_change:
        del form.fields["step"]
    wanted = form.wanted()
    found, waiting = find_specimens(wanted, today, among), waiting_at(today, among)
    if wanted.step:
        found = found.filter(pk__in=waiting.keys(wanted.step))
    page = Paginator(found, PAGE).get_page(request.GET.get("page"))
    context = {
        "filters": form,
        "wanted": wanted,
        "page_obj": page,
        "rows": specimen_rows(page.object_list),  # type: ignore[arg-type]
        "totals": bank_totals(today, among),
        "families": bank_counts(today, among),
        "may_change": may_change,
        "steps": step_counts(waiting) if may_change else [],
        "again": decided_before_only(today) if may_change else 0,
        "only_teaching": not {Role.QUALITY, Role.AUDITOR} & roles,
    }
    return render(request, "specimens/specimen_list.html", context)
