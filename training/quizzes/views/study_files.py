"""Files of agreement studies: loading answers, handing them out, and the sheet of paper."""

import uuid

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from training.people.sessions import signed_in_person
from training.people.views.importing import import_page
from training.people.views.sign_in import get_or_post
from training.quizzes.agreement.export import csv_sheet, xlsx_sheet
from training.quizzes.agreement.importing import STUDY
from training.quizzes.agreement.page import result_context
from training.quizzes.agreement.paper import study_sheet
from training.quizzes.selectors.studies import (
    StudyProgress,
    find_study,
    progress_of_study,
    study_table,
)

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@never_cache
@get_or_post
def study_import(request: HttpRequest) -> HttpResponse:
    """Load a study's answers from a sheet."""
    return import_page(request, STUDY)


@require_safe
def study_export(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Hand out a finished study's answers as CSV, or as XLSX where asked for."""
    progress = _over(pk)
    table = study_table(progress)
    if table.answers is None:
        raise Http404
    number = progress.study.number
    if request.GET.get("as") == "xlsx":
        return _file(xlsx_sheet(progress.study, table), XLSX, f"{number}.xlsx")
    return _file(csv_sheet(progress.study, table), "text/csv; charset=utf-8", f"{number}.csv")


@require_safe
def study_pdf(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Hand out a finished study as a sheet of paper."""
    progress = _over(pk)
    context = result_context(progress)
    if context["result"] is None:
        raise Http404
    made_for = signed_in_person(request).name
    sheet = study_sheet(progress.study, context, made_for=made_for, moment=timezone.now())
    return _file(sheet, "application/pdf", f"{progress.study.number}.pdf")


def _over(pk: uuid.UUID) -> StudyProgress:
    """Return a study whose answers may be shown, or raise 404: a running one keeps them."""
    study = find_study(pk)
    progress = progress_of_study(study, timezone.now()) if study is not None else None
    if progress is None or not progress.over:
        raise Http404
    return progress


def _file(data: bytes, content_type: str, name: str) -> HttpResponse:
    response = HttpResponse(data, content_type=content_type)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
