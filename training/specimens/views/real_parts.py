"""The register of numbered real parts: what there is, what wants care, and every handling."""

import csv
import io
from collections.abc import Iterable
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db import transaction
from django.db.models import Exists, OuterRef
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from training.floor.models import LimitSample
from training.people.models import Role
from training.people.sessions import signed_in_person
from training.people.sheets.cells import harmless
from training.people.signing import confirm_secret, sign_request
from training.specimens.forms.fields import spread, words
from training.specimens.forms.real_parts import (
    HandlingForm,
    LimitSampleForm,
    RealPartForm,
    RegisterFilter,
    today_plus_year,
)
from training.specimens.models import PartCopy, Specimen
from training.specimens.register import (
    PartRow,
    State,
    copies_by_part,
    handling_log,
    register_rows,
)
from training.specimens.register_words import copy_words, row_words
from training.specimens.services.real_parts import (
    record_handling,
    register_limit_sample,
    register_real_part,
    withdraw_copy,
)

PAGE = 40
MEANING = "signs limit sample"


@require_safe
def real_part_list(request: HttpRequest) -> HttpResponse:
    """Every numbered part and limit sample, what wants care first."""
    roles = signed_in_person(request).roles()
    rows = register_rows(timezone.localdate(), Specimen.objects.open_to(roles))
    form, shown = _narrowed(request, rows)
    page = Paginator(shown, PAGE).get_page(request.GET.get("page"))
    context = {
        "filters": form,
        "page_obj": page,
        "rows": [row_words(row) for row in page.object_list],
        "total": len(rows),
        "samples": sum(row.is_sample for row in rows),
        "care": sum(row.wants_care for row in rows),
        "unusable": sum(not row.state.usable for row in rows),
        "may_change": Role.QUALITY in roles,
    }
    return render(request, "specimens/real_part_list.html", context)


@require_safe
def real_part_export(request: HttpRequest) -> HttpResponse:
    """The register as CSV, one line for each copy, narrowed as the page was."""
    day = timezone.localdate()
    among = Specimen.objects.open_to(signed_in_person(request).roles())
    _form, shown = _narrowed(request, register_rows(day, among))
    buffer = io.StringIO()
    writer = csv.writer(buffer)
    writer.writerow(
        [
            _("Number"),
            _("Kind"),
            _("Defect family"),
            _("Job"),
            _("Zone"),
            _("Copy"),
            _("Place"),
            _("Found"),
            _("Handlings"),
            _("Handlings allowed"),
            _("Valid to"),
            _("State"),
        ]
    )
    for row in shown:
        said = row_words(row)
        for copy in said.copies:
            writer.writerow(
                [
                    harmless(text)
                    for text in (
                        row.number,
                        said.kind,
                        said.family,
                        row.where,
                        row.zone,
                        copy.row.letter,
                        copy.row.place,
                        copy.row.condition,
                        str(copy.row.handled),
                        "" if copy.row.most is None else str(copy.row.most),
                        copy.row.expires_day.isoformat() if copy.row.expires_day else "",
                        copy.word,
                    )
                ]
            )
    # The mark at the start lets every spreadsheet program read the accents.
    response = HttpResponse("\ufeff" + buffer.getvalue(), content_type="text/csv; charset=utf-8")
    name = f"real-parts-{day.isoformat()}.csv"
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _narrowed(
    request: HttpRequest, rows: Iterable[PartRow]
) -> tuple[RegisterFilter, list[PartRow]]:
    rows = list(rows)
    families = sorted({(row.family_slug, words(row.family)) for row in rows}, key=lambda x: x[1])
    form = RegisterFilter(request.GET, families=families)
    wanted = form.wanted()
    return form, [
        row
        for row in rows
        if wanted["number"].strip().lower() in row.number.lower()
        and wanted["family"] in ("", row.family_slug)
        and wanted["kind"] in ("", "sample" if row.is_sample else "specimen")
        and (not wanted["care"] or row.wants_care)
    ]


@require_http_methods(["GET", "POST"])
def real_part_add(request: HttpRequest) -> HttpResponse:
    """Register a numbered part with its copies."""
    moment = timezone.now()
    sent = request.method == "POST"
    form = RealPartForm(
        request.POST if sent else None,
        initial={"expires_day": today_plus_year(timezone.localdate(moment))},
    )
    if sent and form.is_valid():
        given = form.cleaned_data
        try:
            part = register_real_part(
                number=given["number"],
                job=given["job"],
                zone=given["zone"],
                family=given["family"],
                severity=given["severity"],
                unit=given["unit"],
                pool=given["pool"],
                copies=form.copies(),
                by=signed_in_person(request),
                moment=moment,
            )
        except ValidationError as error:
            spread(form, error)
        else:
            messages.success(
                request, _("%(number)s is registered. Decide what it is.") % {"number": part.number}
            )
            return redirect("specimens:decide", part.pk)
    status = 400 if sent else 200
    return render(request, "specimens/real_part_form.html", {"form": form}, status=status)


@sensitive_post_parameters("secret")
@require_http_methods(["GET", "POST"])
def limit_sample_add(request: HttpRequest) -> HttpResponse:
    """Register a limit sample with its copies; signed."""
    today = timezone.localdate()
    sent = request.method == "POST"
    form = LimitSampleForm(
        request.POST if sent else None, initial={"expires_day": today_plus_year(today)}
    )
    if sent and form.is_valid():
        sample = _signed_sample(request, form)
        if sample is not None:
            messages.success(
                request, _("Signed: %(number)s is in force.") % {"number": sample.code}
            )
            return redirect("specimens:limit_sample", sample.pk)
    status = 400 if sent else 200
    return render(request, "specimens/limit_sample_form.html", {"form": form}, status=status)


def _signed_sample(request: HttpRequest, form: LimitSampleForm) -> LimitSample | None:
    """Write sample, copies and signature, all or none; problems stand in the form."""
    moment, given = timezone.now(), form.cleaned_data
    try:
        method = confirm_secret(request, given["secret"], moment=moment)
    except ValidationError as error:
        form.add_error("secret", error)
        return None
    try:
        with transaction.atomic():
            sample = register_limit_sample(
                code=given["code"],
                job_group=given["job_group"],
                family=given["family"],
                zone=given["zone"],
                text=form.text(),
                kind=given["kind"],
                expires_day=given["expires_day"],
                second_signature=given["second_signature"],
                copies=form.copies(),
                signed_by=signed_in_person(request),
                moment=moment,
            )
            sign_request(request, meaning=MEANING, subject=sample, method=method, moment=moment)
    except ValidationError as error:
        spread(form, error)
        return None
    return sample


@require_http_methods(["GET", "POST"])
def real_part(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One numbered part: its copies, its log, and what was done with a copy."""
    roles = signed_in_person(request).roles()
    part = get_object_or_404(
        Specimen.objects.open_to(roles)
        .filter(Exists(PartCopy.objects.filter(specimen=OuterRef("pk"))))
        .select_related("family", "job"),
        pk=pk,
    )
    return _part_page(request, part.copies.all(), {"part": part, "title": part.number})


@require_http_methods(["GET", "POST"])
def limit_sample(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One limit sample: its copies, its log, and what was done with a copy."""
    sample = get_object_or_404(
        LimitSample.objects.select_related("family", "job_group", "signed_by"), pk=pk
    )
    copies = PartCopy.objects.filter(limit_sample=sample)
    return _part_page(request, copies, {"sample": sample, "title": sample.code})


def _part_page(
    request: HttpRequest, copies: Iterable[PartCopy], context: dict[str, object]
) -> HttpResponse:
    day = timezone.localdate()
    rows = next(iter(copies_by_part(copies, day).values()), ())
    in_use = [(str(row.id), row.letter) for row in rows if row.state is not State.WITHDRAWN]
    sent = request.method == "POST"
    may_change = Role.QUALITY in signed_in_person(request).roles()
    form = HandlingForm(request.POST if sent else None, copies=in_use)
    if sent and may_change and form.is_valid() and _written(request, form):
        return redirect(request.path)
    context |= {
        "copies": [copy_words(row) for row in rows],
        "log": handling_log([row.id for row in rows]),
        "form": form if in_use else None,
        "may_change": may_change,
    }
    return render(request, "specimens/real_part.html", context, status=400 if sent else 200)


def _written(request: HttpRequest, form: HandlingForm) -> bool:
    given = form.cleaned_data
    try:
        record_handling(
            copy=get_object_or_404(PartCopy, pk=given["copy"]),
            what=given["what"],
            condition=given["condition"],
            times=given["times"],
            place=given["place"],
            expires_day=given["expires_day"],
            words=given["words"],
            by=signed_in_person(request),
            moment=timezone.now(),
        )
    except ValidationError as error:
        spread(form, error)
        return False
    messages.success(request, _("Written down."))
    return True


@require_POST
def copy_withdraw(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Use a copy no more."""
    copy = get_object_or_404(PartCopy, pk=pk)
    withdraw_copy(copy=copy, day=timezone.localdate())
    messages.success(request, _("Copy %(letter)s is used no more.") % {"letter": copy.letter})
    if copy.specimen_id is not None:
        return redirect("specimens:real_part", copy.specimen_id)
    return redirect("specimens:limit_sample", copy.limit_sample_id)
