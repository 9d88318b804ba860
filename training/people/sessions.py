"""Two kinds of session: at the office by password, on the floor by badge and PIN."""

from django.http import HttpRequest

ROOM_KEY = "signed_in_at"
FLOOR, OFFICE = "floor", "office"


def is_floor_session(request: HttpRequest) -> bool:
    """Return whether the session was opened by badge and PIN and has floor rights only."""
    session = getattr(request, "session", None)
    return session is not None and session.get(ROOM_KEY) == FLOOR
