"""Where everybody arrives, and the answer for whoever watches the server."""

from django.db import connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from certification.site.context import role_order
from certification.site.routes import ROOMS, may_open
from training.people.devices import device_of
from training.people.sessions import is_floor_session, signed_in_person


@require_safe
def start(request: HttpRequest) -> HttpResponse:
    """Send everybody to the first room of their first role, or to the right sign-in."""
    if not request.user.is_authenticated:
        page = "floor" if device_of(request) is not None else "office"
        return redirect(f"people:{page}_sign_in")
    roles = signed_in_person(request).roles()
    on_floor = is_floor_session(request)
    for role in role_order(roles):
        for name in ROOMS[role]:
            if may_open(name, roles, on_floor=on_floor):
                return redirect(name)
    return redirect("people:change_pin")


@require_safe
def health(request: HttpRequest) -> JsonResponse:
    """Say that the server answers and the database answers it."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        cursor.fetchone()
    return JsonResponse({"status": "ok"})
