"""The pictures themselves: bytes behind an access check."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from training.people.sessions import signed_in_person
from training.specimens.models import Frame, Specimen
from training.specimens.serving import frame_response


@require_safe
def frame(request: HttpRequest, pk: UUID, view: int, frame: int) -> HttpResponse:
    return frame_response(_frame(request, pk, view, frame))


@require_safe
def small_frame(request: HttpRequest, pk: UUID, view: int, frame: int) -> HttpResponse:
    return frame_response(_frame(request, pk, view, frame), small=True)


@require_safe
def first_piece_frame(request: HttpRequest, pk: UUID, frame: int) -> HttpResponse:
    """A picture of an approved first piece; its frames are counted over all its views."""
    frames = Frame.objects.filter(view__first_piece=pk).order_by("view__position", "position")
    found = frames[frame : frame + 1].first()
    if found is None:
        raise Http404
    return frame_response(found)


def _frame(request: HttpRequest, pk: UUID, view: int, frame: int) -> Frame:
    among = Specimen.objects.open_to(signed_in_person(request).roles())
    return get_object_or_404(
        Frame,
        view__specimen__in=among.filter(pk=pk),
        view__position=view,
        position=frame,
    )
