"""The invented plant in the database, with the certificates of its sittings written straight in."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import transaction

from certification.certificates.models import Certificate
from media_demo.plant.build import Plant, build_plant
from media_demo.plant.read import rows
from tests.conftest import NOON
from training.people.models import Person


@contextmanager
def invented_plant() -> Iterator[Plant]:
    """Build the plant as of the tests' noon, and leave nothing of it behind."""
    with transaction.atomic():
        plant = build_plant(NOON, lambda _line: None)
        for row in rows("family_certs"):
            if row["sitting"]:
                plant.ledger.add(
                    plant.calendar.recorded(row["granted_day"], "16:00"), _of_a_sitting(plant, row)
                )
        plant.ledger.write_all()
        yield plant
        transaction.set_rollback(True)


def _of_a_sitting(plant: Plant, row: dict[str, str]) -> Certificate:
    return Certificate(
        person=plant.people[row["person"]],
        family=plant.floor.families[row["family"]],
        level=row["level"],
        granted_day=plant.calendar.day(row["granted_day"]),
        expires_day=plant.calendar.day(row["expires_day"]),
        basis=Certificate.Basis.SITTING,
        rules=plant.rules,
        order_no=row["order"],
    )


def active(plant: Plant, crew: str = "") -> list[Person]:
    """Return the people who run presses today, all or of one crew."""
    return [
        plant.people[row["personnel_no"]]
        for row in rows("people")
        if row["role"] in {"operator", "trainer"}
        and not row["left_day"]
        and crew in {"", row["crew"]}
    ]
