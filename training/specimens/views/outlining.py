"""Outlining the defect on a picture and setting its scale, by taps or by numbers."""

from decimal import Decimal
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from training.floor.limit_words import number_text
from training.specimens.forms.fields import spread
from training.specimens.forms.outlining import OutlineForm, ScaleForm, outline_text
from training.specimens.models import Specimen, View
from training.specimens.selectors import ViewRow, views_of
from training.specimens.services.outlining import outline_region, set_scale
from training.specimens.views.panes import pane_of


@require_http_methods(["GET", "POST"])
def outline(request: HttpRequest, pk: UUID, view: int) -> HttpResponse:
    """Both forms stand on one page; `what` says which was sent."""
    specimen = get_object_or_404(Specimen.objects.select_related("family", "job"), pk=pk)
    row = _row(specimen, view)
    what = request.POST.get("what", "")
    present = outline_text(_own_polygons(specimen, row))
    outline_form = OutlineForm(
        request.POST if what == "outline" else None, initial={"polygons": present}
    )
    scale_form = ScaleForm(request.POST if what == "scale" else None)
    target = View.objects.get(pk=row.id)
    if what == "outline" and _outlined(specimen, target, outline_form):
        messages.success(request, _("The outline is kept."))
        return redirect(request.path)
    if what == "scale" and _scaled(target, scale_form):
        messages.success(
            request,
            _("The scale is kept: %(scale)s px per mm.")
            % {"scale": number_text(round(float(target.px_per_mm or 0), 2))},
        )
        return redirect(request.path)
    context: dict[str, Any] = {
        "specimen": specimen,
        "view": row,
        "pane": pane_of(specimen, row, can_mark=True),
        "outline_form": outline_form,
        "scale_form": scale_form,
        "scale": number_text(round(float(row.px_per_mm), 2)) if row.px_per_mm else "",
    }
    status = 400 if request.method == "POST" else 200
    return render(request, "specimens/outline.html", context, status=status)


def _row(specimen: Specimen, place: int) -> ViewRow:
    for row in views_of([specimen.pk]).get(specimen.pk, ()):
        if row.position == place and row.frames:
            return row
    raise Http404


def _own_polygons(specimen: Specimen, row: ViewRow) -> list[list[list[float]]]:
    return next((found for slug, found in row.regions if slug == specimen.family.slug), [])


def _outlined(specimen: Specimen, view: View, form: OutlineForm) -> bool:
    if not form.is_valid():
        return False
    try:
        outline_region(view=view, family=specimen.family, polygons=form.cleaned_data["polygons"])
    except ValidationError as error:
        spread(form, error)
        return False
    return True


def _scaled(view: View, form: ScaleForm) -> bool:
    if not form.is_valid():
        return False
    given = form.cleaned_data
    length: Decimal = given["millimetres"]
    try:
        set_scale(
            view=view,
            start=(given["x1"], given["y1"]),
            end=(given["x2"], given["y2"]),
            millimetres=length,
        )
    except ValidationError as error:
        spread(form, error)
        return False
    return True
