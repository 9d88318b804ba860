"""The page of the skills matrix, one cell's reasons beside it, and its export."""

import datetime as dt
from collections.abc import Callable
from uuid import UUID

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.module_loading import import_string
from django.views.decorators.http import require_safe

from certification.matrix.drawing import draw_body
from certification.matrix.export import as_csv, as_xlsx
from certification.matrix.forms import MatrixForm
from certification.matrix.selectors import Matrix, explain_cell, make_matrix
from training.floor.models import Job
from training.people.models import Person

MAX_LOSSES = 2


@require_safe
def matrix(request: HttpRequest) -> HttpResponse:
    """Who may run which job at a moment, most urgent first, with the dates it loses people."""
    now = timezone.now()
    data = request.GET.copy()
    data.setdefault("at", f"{timezone.localtime(now):%Y-%m-%dT%H:%M}")
    form = MatrixForm(data)
    shown = _asked_for(form, now)
    selected = _selected(request, shown.moment)
    context = {
        "form": form,
        "matrix": shown,
        "body": draw_body(shown, str(selected["key"]) if selected else ""),
        "loses_last": shown.loses_last[:MAX_LOSSES],
        "becomes_thin": shown.becomes_thin[:MAX_LOSSES],
        "thin": [column for column in shown.columns if column.thin],
        "selected": selected,
        "as_of": shown.moment,
        "rules_revision": shown.rules.revision,
    }
    return render(request, "matrix/matrix.html", context, status=200 if form.is_valid() else 400)


@require_safe
def export(request: HttpRequest) -> HttpResponse:
    """The same matrix as a sheet, reasons included."""
    now = timezone.now()
    shown = _asked_for(MatrixForm(request.GET), now)
    if request.GET.get("form") == "csv":
        return as_csv(shown)
    return as_xlsx(shown)


def _asked_for(form: MatrixForm, now: dt.datetime) -> Matrix:
    valid = form.is_valid()
    crew = form.cleaned_data.get("crew") if valid else None
    group = form.cleaned_data.get("group") if valid else None
    moment = form.moment(now)
    return make_matrix(
        moment=moment,
        crew=crew,
        group=group.code if group else "",
        absences=absences_on(moment),
    )


def absences_on(moment: dt.datetime) -> dict[UUID, str]:
    """Return who is away and why, from wherever the site says attendance is kept."""
    ask: Callable[[dt.datetime], dict[UUID, str]] = import_string(settings.MATRIX_ABSENCES)
    return ask(moment)


def _selected(request: HttpRequest, moment: dt.datetime) -> dict[str, object] | None:
    number, _, job_number = request.GET.get("cell", "").partition(":")
    person = Person.objects.filter(personnel_no=number).first() if number else None
    job = Job.objects.filter(number=job_number).first() if job_number else None
    if person is None or job is None:
        return None
    return {
        "person": person,
        "job": job,
        "key": f"{number}:{job_number}",
        "answer": explain_cell(person, job, moment),
    }
