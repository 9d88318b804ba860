"""Rating a specimen: its severity, the unit, and with what it was measured."""

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from training.specimens.forms.fields import spread
from training.specimens.forms.rating import RateForm
from training.specimens.limit_rows import limit_rows, measured_text, ruler_of
from training.specimens.models import Specimen
from training.specimens.selectors import views_of
from training.specimens.services.rating import rate_specimen
from training.specimens.standards import standard_of
from training.specimens.views.panes import pane_of


@require_http_methods(["GET", "POST"])
def rate(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The picture and the limit stand beside the number that is asked for."""
    today = timezone.localdate()
    found = Specimen.objects.with_decision(today).select_related("job", "family")
    specimen = get_object_or_404(found, pk=pk)
    sent = request.method == "POST"
    initial = {name: getattr(specimen, name) for name in ("severity", "unit", "measured_how")}
    form = RateForm(request.POST if sent else None, initial=initial)
    if sent and form.is_valid():
        try:
            rated = rate_specimen(specimen=specimen, **form.cleaned_data)
        except ValidationError as error:
            spread(form, error)
        else:
            messages.success(
                request,
                _("%(number)s is rated: %(measured)s.")
                % {
                    "number": rated.number,
                    "measured": measured_text(rated.severity, rated.unit),
                },
            )
            return redirect("specimens:specimen_detail", pk)
    rulings = standard_of(specimen.job, today).rulings(specimen.family.slug, specimen.zone)
    views = [view for view in views_of([specimen.pk]).get(specimen.pk, ()) if view.frames]
    context = {
        "form": form,
        "specimen": specimen,
        "pane": pane_of(specimen, views[0], rulings=rulings) if views else None,
        "outlined": any(view.regions for view in views),
        "limits": limit_rows(rulings, get_language() or "en"),
        "ruler": ruler_of(specimen, rulings),
    }
    return render(request, "specimens/rate.html", context, status=400 if sent else 200)
