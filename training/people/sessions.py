"""Two kinds of session: at the office by password, on the floor by badge and PIN."""

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest

from training.people.models import Person

ROOM_KEY = "signed_in_at"
FLOOR, OFFICE = "floor", "office"


def is_floor_session(request: HttpRequest) -> bool:
    """Return whether the session was opened by badge and PIN and has floor rights only."""
    session = getattr(request, "session", None)
    return session is not None and session.get(ROOM_KEY) == FLOOR


def signed_in_person(request: HttpRequest) -> Person:
    """Return who is signed in; the route table has let nobody else through."""
    if not isinstance(request.user, Person):
        raise PermissionDenied
    return request.user
