"""Whose check of five parts is still open after a changed sheet was read."""

import datetime as dt
import uuid

from training.floor.models import WorkInstruction
from training.floor.records import Acknowledgement
from training.people.models import Employment, Person


def waiting_for_check(sheet: WorkInstruction, day: dt.date) -> list[Person]:
    """Return who has read a replacing revision and not passed its check. Costs two queries."""
    if not sheet.replaces_with_check:
        return []
    passed: dict[uuid.UUID, bool] = {}
    rows = Acknowledgement.objects.filter(work_instruction=sheet, corrections=None)
    for person, right, shown in rows.values_list("person", "check_right", "check_shown"):
        passed[person] = passed.get(person, False) or (bool(shown) and right == shown)
    waiting = [person for person, is_passed in passed.items() if not is_passed]
    employed = Employment.objects.on(day).values("person")
    people = Person.objects.filter(pk__in=waiting, is_active=True).filter(pk__in=employed)
    return list(people.order_by("name"))


def check_is_open(sheet: WorkInstruction, person: Person) -> bool:
    """Return whether the person has still to pass the check of this sheet. Costs one query."""
    if not sheet.replaces_with_check:
        return False
    rows = Acknowledgement.objects.filter(
        work_instruction=sheet, person=person, corrections=None, check_shown__gt=0
    )
    return not any(row.check_right == row.check_shown for row in rows)
