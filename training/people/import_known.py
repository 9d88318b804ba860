"""What the database holds of people before an import, and one row's changes as they are found."""

import datetime as dt
from dataclasses import dataclass, field

from django.utils.translation import gettext_lazy as _

from training.people.import_columns import COLUMNS
from training.people.models import Authorisation, Badge, Crew, Employment, Person, VisionCheck
from training.people.sheets.files import plain
from training.people.sheets.plan import Detail
from training.people.sheets.problems import Words, worded
from training.people.sheets.table import Row, Table

HEADERS = {column.key: column for column in COLUMNS}


@dataclass(frozen=True)
class Known:
    """People by personnel number with all that hangs on them, and crews by code and name."""

    people: dict[str, Person]
    crews: dict[str, Crew]


def load_known() -> Known:
    """Read everybody and every crew. Costs seven queries."""
    people = Person.objects.select_related("crew").prefetch_related(
        "groups", "employments", "badges", "vision_checks__result", "authorisations"
    )
    crews: dict[str, Crew] = {}
    for crew in Crew.objects.all():
        for name in (crew.code, *crew.name.values()):
            crews[plain(str(name))] = crew
    return Known({person.personnel_no: person for person in people}, crews)


@dataclass(frozen=True)
class StayChange:
    """A stay as it would stand: a new one, or a known one with other days or contract."""

    stay: Employment
    from_day: dt.date
    to_day: dt.date | None
    contract: str


@dataclass(frozen=True)
class BadgeChange:
    """Badges as they would stand: changed days of known ones, and perhaps a new one."""

    dated: dict[Badge, tuple[dt.date, dt.date | None]]
    given: tuple[str, dt.date, dt.date | None] | None = None


@dataclass
class PersonItem:
    """What one row would write about one person."""

    row: Row
    person: Person | None
    fields: dict[str, object] = field(default_factory=dict)
    new_crew: Crew | None = None
    stay: StayChange | None = None
    badge: BadgeChange | None = None
    roles: frozenset[str] | None = None
    vision: list[tuple[VisionCheck, str]] = field(default_factory=list)
    authorisations: list[Authorisation] = field(default_factory=list)
    details: list[Detail] = field(default_factory=list)

    @property
    def name(self) -> str:
        return self.row.get("name") or (self.person.name if self.person else "")

    def note(self, key: str, before: object, after: object) -> None:
        """Note a value that would change, for the page that shows what would happen."""
        self.details.append(Detail(HEADERS[key].header, shown(before), shown(after)))


def shown(value: object) -> Words:
    """Write a value for the table of changes; days as ISO, which reads only one way."""
    if value is None:
        return ""
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, (list, tuple, set, frozenset)):
        return ", ".join(sorted(str(each) for each in value))
    if isinstance(value, bool):
        return "✓" if value else "–"
    return str(value)


def not_in_future(table: Table, row: Row, key: str, today: dt.date) -> bool:
    """Note a problem where the row's day lies after today; return whether it does not."""
    day: dt.date | None = row.get(key)
    if day is None or day <= today:
        return True
    message = (
        _("The hire day lies in the future.")
        if key == "hired"
        else _("The day lies in the future.")
    )
    table.problem(row, key, message, worded(_("Correct the day: today is {today}."), today=today))
    return False
