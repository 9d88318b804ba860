"""What rests on a specimen's decision: apps above tell it here, so that it is read before it turns.

An app that builds on decisions calls `tell_what_rests` when it is loaded; nothing here knows of it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from uuid import UUID


@dataclass(frozen=True, slots=True)
class Rest:
    """One thing that rests on a specimen: what it is, whose, what it came to, and where it stands.

    `status` is a key of the look's statuses.
    """

    what: str
    whose: str
    status: str
    word: str
    url: str


@dataclass(frozen=True, slots=True)
class Rests:
    """Things of one kind under their heading."""

    heading: str
    rows: tuple[Rest, ...]


Asks = Callable[[UUID], Rests]
_told: dict[str, tuple[int, Asks]] = {}


def tell_what_rests(name: str, asks: Asks, *, place: int) -> None:
    """Let an app say what of its own rests on a specimen; told again it replaces what was told.

    `place` orders the kinds: what rests on a specimen directly stands before what rests on that.
    """
    _told[name] = (place, asks)


def what_rests(specimen: UUID, *, besides: str = "") -> list[Rests]:
    """Return everything that rests on a specimen, kind by kind; kinds without rows are left out.

    `besides` names an app that shows its own.
    """
    told = sorted((place, name, asks) for name, (place, asks) in _told.items() if name != besides)
    found = [asks(specimen) for _place, _name, asks in told]
    return [each for each in found if each.rows]
