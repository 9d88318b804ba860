"""What keeps a retired specimen out for good: apps above tell it here, before it is brought back."""

import datetime as dt
from collections.abc import Callable
from uuid import UUID

# Given a specimen and the moment it is asked: why it must stay out, or nothing.
Asks = Callable[[UUID, dt.datetime], str]
_told: dict[str, Asks] = {}


def tell_what_keeps_out(name: str, asks: Asks) -> None:
    """Let an app say why a specimen must stay out; told again it replaces what was told."""
    _told[name] = asks


def what_keeps_out(specimen: UUID, moment: dt.datetime) -> list[str]:
    """Return every reason why a retired specimen must not be used again; none where it may."""
    return [said for asks in _told.values() if (said := asks(specimen, moment))]
