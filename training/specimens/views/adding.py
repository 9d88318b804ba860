"""Bringing in a part from its pictures, and further views of it."""

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from training.people.sessions import signed_in_person
from training.specimens.forms.adding import SpecimenForm, ViewForm
from training.specimens.forms.fields import spread
from training.specimens.models import Specimen
from training.specimens.services.adding import add_specimen, add_view

get_or_post = require_http_methods(["GET", "POST"])


@get_or_post
def specimen_add(request: HttpRequest) -> HttpResponse:
    """A part and its pictures, all of them or nothing; the next step is its outline."""
    sent = request.method == "POST"
    initial = {name: request.GET.get(name, "") for name in ("job", "zone", "family")}
    form = SpecimenForm(request.POST, request.FILES) if sent else SpecimenForm(initial=initial)
    if sent and form.is_valid():
        try:
            specimen = add_specimen(
                **form.cleaned_data, by=signed_in_person(request), moment=timezone.now()
            )
        except ValidationError as error:
            spread(form, error)
        else:
            messages.success(
                request, _("Specimen %(number)s is kept.") % {"number": specimen.number}
            )
            return redirect("specimens:specimen_detail", specimen.pk)
    return render(
        request, "specimens/specimen_form.html", {"form": form}, status=400 if sent else 200
    )


@get_or_post
def view_add(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One more view of a part."""
    specimen = get_object_or_404(Specimen, pk=pk)
    sent = request.method == "POST"
    form = ViewForm(request.POST, request.FILES) if sent else ViewForm()
    if sent and form.is_valid():
        try:
            view = add_view(specimen=specimen, **form.cleaned_data)
        except ValidationError as error:
            spread(form, error)
        else:
            messages.success(request, _("The view is kept."))
            address = reverse("specimens:specimen_detail", args=[pk])
            return redirect(f"{address}?view={view.position}")
    context = {"form": form, "specimen": specimen}
    return render(request, "specimens/view_form.html", context, status=400 if sent else 200)
