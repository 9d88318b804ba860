"""The pages of an import: the files, what they would change, and what was written."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from training.people.import_forms import ImportForm
from training.people.importing import PEOPLE
from training.people.sessions import signed_in_person
from training.people.sheets import kept
from training.people.sheets.days import DayOrder
from training.people.sheets.plan import MAIN, SAME, Import, Plan, SheetFile
from training.people.sheets.problems import Words
from training.people.sheets.running import (
    ImportRefusedError,
    check_files,
    empty_sheet,
    problem_list,
    to_write,
    write_checked,
)
from training.people.views.sign_in import get_or_post

SHOWN = 500
PROBLEMS = "problems"


@never_cache
@get_or_post
def import_people(request: HttpRequest) -> HttpResponse:
    return import_page(request, PEOPLE)


def import_page(request: HttpRequest, what: Import) -> HttpResponse:
    """Answer every step of one kind of import; the apps above use it for theirs."""
    if request.method == "GET":
        if "empty" in request.GET:
            return _empty(request, what)
        if PROBLEMS in request.GET:
            return _problem_file(request, what)
        return _ask(request, what, ImportForm(what))
    if "token" in request.POST:
        return _confirm(request, what)
    form = ImportForm(what, request.POST, request.FILES)
    if not form.is_valid():
        return _ask(request, what, form)
    return _check(request, what, form.sheet_files(), form.order)


def _ask(request: HttpRequest, what: Import, form: ImportForm) -> HttpResponse:
    context = {
        "what": what,
        "form": form,
        "sheets": [(name, _label_of(what, name), columns) for name, columns in what.sheets.items()],
    }
    status = 400 if form.is_bound else 200
    return render(request, "people/import.html", context, status=status)


def _label_of(what: Import, name: str) -> Words:
    """Return what a sheet beside the main one is called, or how another layout of it is."""
    return what.further[name][0] if name in what.further else what.layouts.get(name, "")


def _check(
    request: HttpRequest, what: Import, files: dict[str, SheetFile], order: DayOrder
) -> HttpResponse:
    by, moment = signed_in_person(request), timezone.now()
    plan = check_files(what, files, order=order, by=by, today=timezone.localdate(moment))
    problems = plan.problems
    if problems:
        files = {PROBLEMS: SheetFile("problems.csv", problem_list(problems))}
        token = kept.keep(files, kind=f"{what.kind} {PROBLEMS}", order=order, by=by, moment=moment)
    else:
        token = kept.keep(files, kind=what.kind, order=order, by=by, moment=moment)
    return _show(request, what, plan, token)


def _show(request: HttpRequest, what: Import, plan: Plan[Any], token: str) -> HttpResponse:
    problems = plan.problems
    changes = [change for change in plan.changes if change.status != SAME]
    context = {
        "what": what,
        "plan": plan,
        "token": token,
        "problems": problems[:SHOWN],
        "more_problems": max(len(problems) - SHOWN, 0),
        "problem_count": len(problems),
        "changes": changes[:SHOWN],
        "more_changes": max(len(changes) - SHOWN, 0),
        "to_write": to_write(plan),
        "file_names": [table.name for table in plan.tables],
    }
    return render(request, "people/import_check.html", context, status=400 if problems else 200)


def _confirm(request: HttpRequest, what: Import) -> HttpResponse:
    """Write what was checked, read again now; the kept files serve once."""
    by, moment = signed_in_person(request), timezone.now()
    today = timezone.localdate(moment)
    token = request.POST["token"]
    found = kept.take(token, kind=what.kind, by=by, moment=moment)
    if found is None:
        messages.warning(
            request, _("This check is over or was written already. Send the file again.")
        )
        return redirect(what.route)
    kept.discard(token)
    plan = check_files(what, found.files, order=found.order, by=by, today=today)
    if plan.problems:
        return _check(request, what, found.files, found.order)
    try:
        outcome = write_checked(what, plan, by=by, moment=moment, today=today)
    except ImportRefusedError as error:
        messages.error(request, str(error))
        return redirect(what.route)
    context = {
        "what": what,
        "outcome": outcome,
        "moment": moment,
        "done_url": reverse(what.done_route),
    }
    return render(request, "people/import_done.html", context)


def _empty(request: HttpRequest, what: Import) -> HttpResponse:
    name = request.GET["empty"]
    columns = what.sheets.get(name, what.sheets[MAIN])
    return _file(empty_sheet(columns), f"{what.kind}.csv" if name == MAIN else f"{name}.csv")


def _problem_file(request: HttpRequest, what: Import) -> HttpResponse:
    found = kept.take(
        request.GET[PROBLEMS],
        kind=f"{what.kind} {PROBLEMS}",
        by=signed_in_person(request),
        moment=timezone.now(),
    )
    if found is None:
        messages.warning(request, _("This list is over. Send the file again."))
        return redirect(what.route)
    return _file(found.files[PROBLEMS].data, f"{what.kind}-{PROBLEMS}.csv")


def _file(data: bytes, name: str) -> HttpResponse:
    response = HttpResponse(data, content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
