"""The page that shows every component of the look, for those who build pages."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from certification.site.gallery import sample_context


@require_safe
def look(request: HttpRequest) -> HttpResponse:
    return render(request, "gallery.html", sample_context())
