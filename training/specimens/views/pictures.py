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


@require_safe
def first_piece_picture(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The one picture that stands for an approved first piece: its first view under the middle lamp.

    At the lowest and the highest angle of the light there is little to see of a part.
    """
    frames = list(Frame.objects.filter(view__first_piece=pk).order_by("view__position", "position"))
    if not frames:
        raise Http404
    first_view = [each for each in frames if each.view_id == frames[0].view_id]
    return frame_response(first_view[len(first_view) // 2])


def _frame(request: HttpRequest, pk: UUID, view: int, frame: int) -> Frame:
    among = Specimen.objects.open_to(signed_in_person(request).roles())
    return get_object_or_404(
        Frame,
        view__specimen__in=among.filter(pk=pk),
        view__position=view,
        position=frame,
    )
