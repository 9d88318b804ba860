"""What moving a limit takes with it: apps above tell it here, so that it is read before it is signed.

An app whose facts rest on a sheet's lines calls `tell_what_moves` when it is loaded; nothing here
knows of it.
"""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from training.floor.limits import Line
from training.floor.models import Job


@dataclass(frozen=True, slots=True)
class Moved:
    """One row of what moves: of which family, how many, and what becomes of them."""

    family: str
    count: int
    said: str


@dataclass(frozen=True, slots=True)
class Moves:
    """Things of one kind that move, under their name, and the page that shows them."""

    name: str
    said: str
    rows: tuple[Moved, ...]
    url: str
    link: str


@dataclass(frozen=True, slots=True)
class NewLines:
    """The lines a job's sheet is to have from a day on; `today` is the day this is asked."""

    job: Job
    lines: Sequence[Line]
    today: dt.date
    day: dt.date


Asks = Callable[[NewLines], Moves | None]
_told: dict[str, Asks] = {}


def tell_what_moves(name: str, asks: Asks) -> None:
    """Let an app say what of its own moves with a limit; told again it replaces what was told."""
    _told[name] = asks


def what_moves(new: NewLines) -> list[Moves]:
    """Return everything that would move with the lines, kind by kind; where nothing does, nothing."""
    found = [asks(new) for asks in _told.values()]
    return [each for each in found if each is not None]
