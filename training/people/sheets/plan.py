"""What an import would do: rows that are new, changed or the same, and what hinders it."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, Protocol, TypeVar

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from training.people.models import Person
from training.people.sheets.days import DayOrder
from training.people.sheets.problems import Problem, Words
from training.people.sheets.table import Column, Table

NEW, CHANGED, SAME = "new", "changed", "same"
STATUS_WORDS = {
    NEW: pgettext_lazy("a row of an import", "new"),
    CHANGED: pgettext_lazy("a row of an import", "changed"),
    SAME: pgettext_lazy("a row of an import", "the same"),
}


@dataclass(frozen=True, slots=True)
class Detail:
    """One value that would be written: what it is, what stands there, what would stand there."""

    label: Words
    before: Words
    after: Words


@dataclass(frozen=True, slots=True)
class Change:
    """One row of the file and what it would do."""

    row: int
    number: str
    name: str
    status: str
    details: tuple[Detail, ...] = ()

    @property
    def status_word(self) -> Words:
        return STATUS_WORDS[self.status]


Item = TypeVar("Item")


@dataclass
class Plan(Generic[Item]):
    """Everything an import would do; with a single problem it does nothing."""

    tables: list[Table]
    changes: list[Change] = field(default_factory=list)
    items: list[Item] = field(default_factory=list)
    notes: list[Words] = field(default_factory=list)

    @property
    def problems(self) -> list[Problem]:
        """Every problem, by sheet and row; those of a whole file first."""
        return [
            problem
            for table in self.tables
            for problem in sorted(table.problems, key=lambda each: each.row or 0)
        ]

    def count(self, status: str) -> int:
        return sum(change.status == status for change in self.changes)

    def summary(self) -> str:
        """Say how many rows would be new, changed and the same."""
        return _("%(new)s new, %(changed)s changed, %(same)s the same") % {
            "new": self.count(NEW),
            "changed": self.count(CHANGED),
            "same": self.count(SAME),
        }


@dataclass(frozen=True, slots=True)
class FirstPin:
    """An initial PIN, to be told once to its person."""

    personnel_no: str
    name: str
    badge: str
    pin: str


@dataclass(frozen=True)
class Outcome:
    """What an import has done."""

    summary: str
    pins: tuple[FirstPin, ...] = ()


@dataclass(frozen=True)
class SheetFile:
    """A file as it was sent: its name and its bytes."""

    name: str
    data: bytes


@dataclass(frozen=True)
class Import:
    """One kind of import: its sheets, how to check them and how to write them."""

    kind: str
    title: Words
    lead: Words
    route: str
    done_route: str
    # Columns of the main sheet and of further ones, by the name of the file field.
    sheets: Mapping[str, tuple[Column, ...]]
    # Label and help of each further file.
    further: Mapping[str, tuple[Words, Words]]
    check: "Check"
    write: "Write"
    # Labels of further ways to lay out the main sheet, by their names among `sheets`.
    layouts: Mapping[str, Words] = field(default_factory=dict)


class Check(Protocol):
    def __call__(
        self, files: Mapping[str, SheetFile], *, order: DayOrder, by: Person | None, today: dt.date
    ) -> Plan[Any]:
        """Read the files and say what they would do; changes nothing."""
        ...


class Write(Protocol):
    def __call__(
        self, plan: Plan[Any], *, by: Person | None, moment: dt.datetime, today: dt.date
    ) -> Outcome:
        """Write a plan without problems, all of it or nothing."""
        ...


class NotCleanError(ValueError):
    """An import was asked to write a plan that has problems."""

    def __init__(self, plan: Plan[Any]) -> None:
        super().__init__(gettext_lazy("The import has problems; nothing was written."))
        self.plan = plan


MAIN = "sheet"
