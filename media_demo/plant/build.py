"""Builds the invented plant in an empty database: people, floor, lessons, records, shifts."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from certification.certificates.models import ValidityRules
from certification.certificates.standing import Rules, plant_day
from media_demo.plant.calendar import GO_LIVE, Calendar
from media_demo.plant.ledger import Ledger
from media_demo.plant.load_floor import Floor, load_floor
from media_demo.plant.load_lessons import load_lessons
from media_demo.plant.load_people import load_people
from media_demo.plant.load_records import load_records
from media_demo.plant.load_staffing import load_staffing
from media_demo.plant.panel_rounds import load_panel_rounds
from media_demo.plant.physical import load_physical
from training.people.models import Person

# The plant's quality manager: the first person of the files that every plant of ours has.
MARK_OF_THE_PLANT = ("1042", "Marta Oyelaran-Voss")

Say = Callable[[str], None]


@dataclass
class Plant:
    """A loaded plant, with what the later steps need of it."""

    calendar: Calendar
    people: dict[str, Person]
    floor: Floor
    rules: ValidityRules
    ledger: Ledger


def is_built() -> bool:
    """Return whether the database holds the invented plant already."""
    number, name = MARK_OF_THE_PLANT
    return Person.objects.filter(personnel_no=number, name=name).exists()


def is_empty() -> bool:
    return not Person.objects.exists()


def calendar_of(moment: dt.datetime) -> Calendar:
    zone = timezone.get_default_timezone()
    return Calendar(plant_day(moment, zone), zone)


@transaction.atomic
def build_plant(moment: dt.datetime, say: Say) -> Plant:
    """Load everything that needs no picture; all of it or nothing."""
    calendar, ledger = calendar_of(moment), Ledger()
    people = load_people(calendar, ledger)
    say(f"{len(people)} people")
    floor = load_floor(calendar, people)
    say(f"{len(floor.jobs)} jobs, {len(floor.families)} defect families, {len(floor.lines)} limits")
    say(f"{load_lessons(calendar, people, floor)} lessons")
    rules = ValidityRules.objects.create(
        revision=1,
        day=calendar.day(GO_LIVE),
        parameters={name: getattr(Rules(), name) for name in Rules.__slots__ if name != "revision"},
        reason="rules in force when the records were moved from paper",
        published_by=people["1042"],
    )
    load_records(calendar, ledger, people, floor, rules)
    load_staffing(calendar, ledger, people, floor)
    say(f"{load_physical(calendar, ledger, people, floor)} numbered parts for examinations")
    say(f"{load_panel_rounds(calendar, ledger, people)} looks of the reference panel")
    return Plant(calendar, people, floor, rules, ledger)
