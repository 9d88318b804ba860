"""Ladders, contrasts and look-alikes: which there are, making one of specimens, retiring one."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from training.people.models import Role
from training.people.sessions import signed_in_person
from training.specimens.brought_back import BroughtBack, brought_back
from training.specimens.forms.fields import spread
from training.specimens.forms.series import DifferenceForm, SetOfForm
from training.specimens.limit_rows import measured_text, ratio_text
from training.specimens.models import Specimen, SpecimenSet
from training.specimens.selectors import views_of
from training.specimens.series_rows import SetRow, choices_for, set_rows
from training.specimens.services.series import make_set, retire_set


@require_safe
def series_list(request: HttpRequest) -> HttpResponse:
    """List the sets in use, those that cannot be shown today first, then those retired."""
    day = timezone.localdate()
    sets = SpecimenSet.objects.filter(retired_day=None).select_related("family", "job")
    in_order = sets.order_by("family__position", "created_at")
    rows = sorted(set_rows(in_order, day), key=lambda row: row.usable)
    gone = set_rows(sets_retired(), day)
    views = views_of([member.pk for row in [*rows, *gone] for member in row.members])
    returned = brought_back(SpecimenSet, [row.set.pk for row in rows])
    by_kind = {
        label: [_row(row, views, returned) for row in rows if row.set.kind == kind]
        for kind, label in SpecimenSet.Kind.choices
    }
    context = {
        "groups": [(label, found) for label, found in by_kind.items() if found],
        "gone": [_row(row, views, {}) for row in gone],
        "may_change": Role.QUALITY in signed_in_person(request).roles(),
    }
    return render(request, "specimens/series_list.html", context)


def sets_retired() -> QuerySet[SpecimenSet]:
    """Return the sets that are shown no more, those retired last first."""
    found = SpecimenSet.objects.exclude(retired_day=None).select_related("family", "job")
    return found.order_by("-retired_day", "created_at")


def _row(
    row: SetRow, views: dict[UUID, Any], returned: dict[UUID, list[BroughtBack]]
) -> dict[str, Any]:
    families = {member.family.pk: member.family.name for member in row.members}
    return {
        "set": row.set,
        "problem": row.problem,
        "brought_back": returned.get(row.set.pk, []),
        "families": list(families.values()),
        "members": [_member(member, views) for member in row.members],
    }


def _member(specimen: Specimen, views: dict[UUID, Any]) -> dict[str, Any]:
    held = views.get(specimen.pk, ())
    return {
        "specimen": specimen,
        "view": held[-1].position if held else None,
        "measured": _rounded(specimen),
        "share": ratio_text(specimen.decided_ratio),
    }


def _rounded(specimen: Specimen) -> str:
    """Return the severity as closely as anybody reads it beside a small picture."""
    if not specimen.severity:
        return _("clean")
    return measured_text(round(specimen.severity, 2).normalize(), specimen.unit)


@require_http_methods(["GET", "POST"])
def series_add(request: HttpRequest) -> HttpResponse:
    """Choose what a set is of, then its members among the teaching specimens, and keep it."""
    day = timezone.localdate()
    sent = request.method == "POST"
    asked = request.POST if sent else request.GET
    of = SetOfForm(asked if "kind" in asked else None)
    context: dict[str, Any] = {"of": of, "chosen": set(asked.getlist("member"))}
    if not of.is_bound or not of.is_valid():
        return render(request, "specimens/series_form.html", context, status=400 if sent else 200)
    data = of.cleaned_data
    form = DifferenceForm(request.POST if sent else None, kind=data["kind"])
    if sent and form.is_valid() and _kept(request, form, data["kind"]):
        return redirect("specimens:series_list")
    found = choices_for(job=data["job"].number, zone=data["zone"], families=of.families(), day=day)
    views = views_of([specimen.pk for specimen in found])
    context |= {"form": form, "choices": [_member(specimen, views) for specimen in found]}
    return render(request, "specimens/series_form.html", context, status=400 if sent else 200)


def _kept(request: HttpRequest, form: DifferenceForm, kind: str) -> bool:
    moment = timezone.now()
    try:
        make_set(
            kind=kind,
            members=_members(request),
            difference=form.words(),
            day=timezone.localdate(moment),
            moment=moment,
            by=signed_in_person(request),
        )
    except ValidationError as error:
        spread(form, error)
        return False
    messages.success(request, _("The set is kept; practice offers it from now on."))
    return True


def _members(request: HttpRequest) -> list[UUID]:
    """Return what was ticked, in the order of the page: by family and rising severity."""
    found = []
    for each in request.POST.getlist("member"):
        try:
            found.append(UUID(each))
        except ValueError:
            continue
    return found


@require_POST
def series_retire(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Take a set out of practice; its specimens stay where they are."""
    made = get_object_or_404(SpecimenSet, pk=pk)
    retire_set(made=made, day=timezone.localdate())
    messages.success(request, _("The set is shown no more; its specimens stay where they are."))
    return redirect("specimens:series_list")
