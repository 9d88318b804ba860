"""Loads the invented plant's people: crews, stays, badges, roles, eye checks, authorisations."""

import datetime as dt
import hashlib
import hmac
from dataclasses import dataclass

from django.conf import settings
from django.contrib.auth.models import Group

from media_demo.plant.calendar import Calendar
from media_demo.plant.ledger import Ledger
from media_demo.plant.read import rows
from training.people import pins
from training.people.models import (
    Authorisation,
    Badge,
    Crew,
    Employment,
    Person,
    Role,
    VisionCheck,
)
from training.people.record.chain import erasable_many

CREWS = (
    ("D", {"en": "Days", "es": "Mañana"}, dt.time(6), dt.time(14)),
    ("L", {"en": "Lates", "es": "Tarde"}, dt.time(14), dt.time(22)),
    ("N", {"en": "Nights", "es": "Noche"}, dt.time(22), dt.time(6)),
)
ROLES = {
    "operator": (Role.OPERATOR,),
    "trainer": (Role.OPERATOR, Role.TRAINER),
    "supervisor": (Role.SUPERVISOR,),
    "quality_manager": (Role.QUALITY, Role.ADMINISTRATOR),
    "quality_technician": (Role.QUALITY,),
    "training_coordinator": (Role.TRAINER,),
    "process_technician": (),
}
# Who can sign in at once, and how; everybody else gets a PIN from a supervisor or trainer.
AT_THE_OFFICE = ("1042", "1045", "1076", "1096", "9001")
ON_THE_FLOOR = ("1195", "1003", "1085", "1106", "1075", "1028", "1065")
AUDITOR = ("9001", "Ines Aldunate")


@dataclass(frozen=True)
class SignIn:
    """How somebody of the invented plant signs in."""

    name: str
    roles: str
    where: str
    number: str
    secret: str


def load_people(calendar: Calendar, ledger: Ledger) -> dict[str, Person]:
    """Create everybody of the files; return them by personnel number."""
    crews = {
        code: Crew.objects.create(code=code, name=name, starts=starts, ends=ends)
        for code, name, starts, ends in CREWS
    }
    people = {row["personnel_no"]: _person(row, crews) for row in rows("people")}
    people[AUDITOR[0]] = Person(personnel_no=AUDITOR[0], name=AUDITOR[1], languages=["en"])
    for person in people.values():
        person.set_unusable_password()
    for number in AT_THE_OFFICE:
        people[number].set_password(office_password(number))
    for number in ON_THE_FLOOR:
        people[number].pin = pins.hashed(floor_pin(number))
        people[number].pin_is_initial = False
    Person.objects.bulk_create(people.values())
    _load_roles(people)
    _load_stays(calendar, people)
    _load_facts(calendar, ledger, people)
    return people


def _person(row: dict[str, str], crews: dict[str, Crew]) -> Person:
    return Person(
        personnel_no=row["personnel_no"],
        name=row["name"],
        crew=crews.get(row["crew"]),
        ui_language=row["ui_lang"],
        languages=["es", "en"] if row["ui_lang"] == "es" else ["en"],
        agency=row["contract"] == "agency",
        note=row["note"],
    )


def _load_roles(people: dict[str, Person]) -> None:
    groups = {group.name: group for group in Group.objects.all()}
    membership = Person.groups.through
    roles = {row["personnel_no"]: ROLES[row["role"]] for row in rows("people")}
    roles[AUDITOR[0]] = (Role.AUDITOR,)
    membership.objects.bulk_create(
        membership(person_id=people[number].pk, group_id=groups[role].pk)
        for number, held in roles.items()
        for role in held
    )


def _load_stays(calendar: Calendar, people: dict[str, Person]) -> None:
    stays = [
        Employment(
            person=people[row["person"]],
            from_day=calendar.day(row["from_day"]),
            to_day=calendar.day_or_none(row["to_day"]),
            contract=row["contract"],
        )
        for row in rows("employments")
    ]
    stays.append(Employment(person=people[AUDITOR[0]], from_day=calendar.day(-400)))
    Employment.objects.bulk_create(stays)
    Badge.objects.bulk_create(
        Badge(
            number=row["badge"],
            person=people[row["person"]],
            from_day=calendar.day(row["from_day"]),
            to_day=calendar.day_or_none(row["to_day"]),
            note=row["note"],
        )
        for row in rows("badges")
    )


def _load_facts(calendar: Calendar, ledger: Ledger, people: dict[str, Person]) -> None:
    checks = rows("vision_checks")
    results = erasable_many(row["result"] for row in checks)
    for row, result in zip(checks, results, strict=True):
        check = VisionCheck(
            person=people[row["person"]],
            kind=row["kind"],
            day=calendar.day(row["day"]),
            due_day=calendar.day_or_none(row["due_day"]),
            result=result,
        )
        ledger.add(calendar.recorded(row["day"]), check)
    for row in rows("authorisations"):
        giver = people.get(row["by"])
        authorisation = Authorisation(
            person=people[row["person"]],
            kind=row["kind"],
            day=calendar.day(row["day"]),
            given_by=giver,
            paper_ref="" if giver else row["by"],
        )
        ledger.add(calendar.recorded(row["day"]), authorisation)


def sign_ins() -> list[SignIn]:
    """Return who can sign in with what, as long as they have not chosen another secret."""
    people = {
        person.personnel_no: person
        for person in Person.objects.filter(
            personnel_no__in=(*AT_THE_OFFICE, *ON_THE_FLOOR)
        ).prefetch_related("groups", "badges")
    }
    found = [
        _sign_in(people[number], "office", number, office_password(number))
        for number in AT_THE_OFFICE
    ]
    for number in ON_THE_FLOOR:
        badge = [held for held in people[number].badges.all() if held.to_day is None][-1]
        found.append(_sign_in(people[number], "floor", badge.number, floor_pin(number)))
    return found


def _sign_in(person: Person, where: str, number: str, secret: str) -> SignIn:
    own = (
        not person.check_password(secret)
        if where == "office"
        else not pins.matches(secret, person.pin)
    )
    roles = ", ".join(sorted(person.roles()))
    return SignIn(person.name, roles, where, number, "chosen by its owner" if own else secret)


def floor_pin(number: str) -> str:
    """Return the demo PIN of a person: made from the site's key, so it can be told again."""
    for turn in range(1000):
        pin = f"{int(_keyed(f'pin {number} {turn}')[:12], 16) % 10**pins.DIGITS:06d}"
        if not pins.is_obvious(pin, (number,)):
            return pin
    raise AssertionError("unreachable: most PINs are not obvious")


def office_password(number: str) -> str:
    return f"saltpan-{_keyed(f'password {number}')[:8]}"


def _keyed(text: str) -> str:
    return hmac.new(settings.SECRET_KEY.encode(), text.encode(), hashlib.sha256).hexdigest()
