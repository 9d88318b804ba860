"""The pages of the floor: families, jobs, a job's sheet, readings, limits, and the jobs import."""

import datetime as dt
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from training.floor.check_selectors import check_is_open
from training.floor.forms import LimitForm, initial_of
from training.floor.importing import JOBS
from training.floor.limits import ZONES
from training.floor.models import Alert, Job, WorkInstruction
from training.floor.moving import NewLines, what_moves
from training.floor.pace_selectors import newest_pace_change
from training.floor.paper_selectors import OPEN, PaperState, list_concessions, unsigned_concessions
from training.floor.paper_words import paper_rows
from training.floor.selectors import (
    LimitDraft,
    families_by_group,
    limit_draft,
    list_jobs,
    today_at_the_plant,
    zones_of,
)
from training.floor.selectors import job_sheet as gather_sheet
from training.floor.services import Readable, publish_work_instruction
from training.floor.services import acknowledge as record_reading
from training.floor.sheet_words import (
    language_code,
    limit_follows,
    line_rows,
    mark_words,
    next_revision,
    step_words,
    tag_rows,
    zone_words,
)
from training.people.models import Role
from training.people.sessions import is_floor_session, signed_in_person
from training.people.signing import confirm_secret, sign_request
from training.people.views.importing import import_page
from training.people.views.sign_in import get_or_post

READERS = frozenset({Role.OPERATOR, Role.TRAINER, Role.SUPERVISOR, Role.QUALITY})
PUBLISHED = "published a work instruction"


@require_safe
def family_list(request: HttpRequest) -> HttpResponse:
    """Every defect family under its group."""
    return render(request, "floor/family_list.html", {"groups": families_by_group()})


@require_safe
def job_list(request: HttpRequest) -> HttpResponse:
    """The jobs that are run, those with an alert in force first."""
    query = request.GET.get("q", "").strip()
    day = today_at_the_plant(timezone.now())
    rows = list_jobs(day, query)
    signs = Role.QUALITY in signed_in_person(request).roles() and not is_floor_session(request)
    context = {
        "rows": rows,
        "query": query,
        "alerted": sum(bool(row.alerts) for row in rows),
        "unsigned": len(unsigned_concessions(day)) if signs else 0,
    }
    return render(request, "floor/job_list.html", context)


@require_safe
def job_sheet(request: HttpRequest, number: str) -> HttpResponse:
    """What somebody needs to run a job, in their language, and what they have still to read."""
    job = _job(number)
    moment = timezone.now()
    day = today_at_the_plant(moment)
    page = gather_sheet(job, signed_in_person(request), moment=moment, day=day)
    concessions = [row for row in list_concessions(day, job.number) if row.state in OPEN]
    language, roles = language_code(), signed_in_person(request).roles()
    piece, revision = page.first_piece, page.sheet.revision if page.sheet else ""
    context: dict[str, Any] = {
        "page": page,
        "job": job,
        "steps": step_words(page.sheet, language),
        "zones": zone_words(page.zones, language),
        "conceded": [row for row in concessions if row.state is PaperState.IN_FORCE],
        "concessions": paper_rows(concessions, language),
        "piece": piece,
        "tag": tag_rows(piece, job, revision) if piece else [],
        "marks": mark_words(piece, language) if piece else [],
        "may_read": bool(roles & READERS),
        "runs_presses": Role.OPERATOR in roles,
        "may_change": Role.QUALITY in roles,
        "pace_change": newest_pace_change(job) if Role.QUALITY in roles else None,
        "may_check": bool(roles & {Role.TRAINER, Role.QUALITY}),
        "check_open": page.sheet is not None
        and page.reading is not None
        and check_is_open(page.sheet, signed_in_person(request)),
        "as_of": moment,
    }
    return render(request, "floor/job_sheet.html", context)


@require_POST
def acknowledge(request: HttpRequest, number: str, kind: str, pk: str) -> HttpResponse:
    """Record that the person has read one of the papers of a job, then show the sheet again."""
    job, moment = _job(number), timezone.now()
    day = today_at_the_plant(moment)
    subject = _paper_of(job, kind, pk)
    reading = record_reading(
        person=signed_in_person(request), subject=subject, moment=moment, day=day
    )
    clock = timezone.localtime(reading.read_at or moment)
    messages.success(request, _("Read and recorded, %(clock)s.") % {"clock": f"{clock:%H:%M}"})
    return redirect("floor:job_sheet", number=job.number)


def _paper_of(job: Job, kind: str, pk: str) -> Readable:
    papers: dict[str, QuerySet[Any]] = {
        "wi": WorkInstruction.objects.filter(job=job),
        "alert": Alert.objects.filter(jobs=job),
        "caution": job.cautions.all(),
    }
    if kind not in papers:
        raise Http404
    paper: Readable = get_object_or_404(papers[kind], pk=pk)
    return paper


@never_cache
@get_or_post
def limit_add(request: HttpRequest, number: str) -> HttpResponse:
    """Add or change one line of a job's limits: a new revision of its sheet, signed."""
    job, moment = _job(number), timezone.now()
    draft = limit_draft(job, today_at_the_plant(moment))
    if draft is None:
        messages.warning(request, _("This job has no work instruction yet. Import one first."))
        return redirect("floor:job_sheet", number=job.number)
    form = _limit_form(request, job, draft, today_at_the_plant(moment))
    follows = request.method == "POST" and bool(request.htmx)  # type: ignore[attr-defined]
    if request.method == "POST" and form.is_valid() and not follows:
        sheet = _publish(request, job, draft, form, moment)
        if sheet is not None:
            said = _("Revision %(revision)s is published. Everyone reads it before the next run.")
            messages.success(request, said % {"revision": sheet.revision})
            return redirect("floor:job_sheet", number=job.number)
    context = _limit_context(job, draft, form, moment)
    if follows:
        return render(request, "floor/limit_follows.html", context)
    status = 400 if request.method == "POST" else 200
    return render(request, "floor/limit_form.html", context, status=status)


def _limit_form(request: HttpRequest, job: Job, draft: LimitDraft, day: dt.date) -> LimitForm:
    given: dict[str, Any] = {
        "families": draft.families,
        "zones": zones_of(job, draft.lines) if job.zones else list(ZONES),
        "lines": draft.lines,
        "general": draft.general,
        "today": day,
        "newest": draft.sheet,
    }
    if request.method == "POST":
        return LimitForm(request.POST, **given)
    place = request.GET.get("line", "")
    if place.isdigit() and int(place) < len(draft.lines):
        return LimitForm(initial=initial_of(draft.lines[int(place)], int(place)), **given)
    wanted = {key: request.GET[key] for key in ("family", "zone") if key in request.GET}
    return LimitForm(initial=wanted, **given)


def _publish(
    request: HttpRequest, job: Job, draft: LimitDraft, form: LimitForm, moment: dt.datetime
) -> WorkInstruction | None:
    """Publish and sign the next revision; None with the reason on the form."""
    try:
        # Outside the transaction: a wrong secret is counted even though nothing is written.
        method = confirm_secret(request, form.cleaned_data["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return None
    try:
        with transaction.atomic():
            sheet = publish_work_instruction(
                job=job,
                revision=next_revision(draft.sheet.revision),
                day=form.cleaned_data["day"],
                needs=draft.sheet.needs,
                lines=form.all_lines(),
                steps=draft.sheet.steps,
                signed_by=signed_in_person(request),
                reason=form.cleaned_data["reason"],
            )
            sign_request(request, meaning=PUBLISHED, subject=sheet, method=method, moment=moment)
    except ValidationError as error:
        form.add_error(None, error.messages)
        return None
    return sheet


def _limit_context(
    job: Job, draft: LimitDraft, form: LimitForm, moment: dt.datetime
) -> dict[str, Any]:
    replaced = form.replaced if form.is_bound and form.new_line is not None else None
    if not form.is_bound and form.initial.get("replaces"):
        replaced = draft.lines[int(form.initial["replaces"])]
    new = form.new_line or replaced
    today = today_at_the_plant(moment)
    day = (form.cleaned_data.get("day") if form.is_bound else None) or today
    return {
        "job": job,
        "draft": draft,
        "form": form,
        "next": next_revision(draft.sheet.revision),
        "lines": line_rows(draft, language_code()),
        "follows": limit_follows(new, replaced, draft.general, language_code()) if new else None,
        "moves": what_moves(NewLines(job, form.all_lines(), today, day)),
        "as_of": moment,
    }


@never_cache
@get_or_post
def import_jobs(request: HttpRequest) -> HttpResponse:
    return import_page(request, JOBS)


def _job(number: str) -> Job:
    jobs = Job.objects.select_related("press", "product", "group", "twin")
    return get_object_or_404(jobs.prefetch_related("alternates", "cautions"), number=number)
