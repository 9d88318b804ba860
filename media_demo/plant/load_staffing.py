"""Loads the invented plant's shifts: orders, stops, attendance, exceptions and tonight's plan."""

import datetime as dt

from certification.staffing.models import (
    Assignment,
    Attendance,
    PressStop,
    ProductionOrder,
    ShiftException,
)
from media_demo.plant.calendar import Calendar
from media_demo.plant.ledger import Ledger
from media_demo.plant.load_floor import Floor
from media_demo.plant.read import rows
from training.people.models import Crew, Person
from training.people.record.chain import erasable


def load_staffing(
    calendar: Calendar, ledger: Ledger, people: dict[str, Person], floor: Floor
) -> None:
    crews = {crew.code: crew for crew in Crew.objects.all()}
    _orders(calendar, floor)
    _stops(calendar, floor, crews)
    _attendance(calendar, people, crews)
    _exceptions(calendar, ledger, people, floor, crews)
    for row in rows("night_plan_today"):
        assignment = Assignment(
            day=calendar.today,
            crew=crews["N"],
            press=floor.presses[row["press"]],
            job=floor.jobs[row["job"]],
            person=people[row["person"]],
        )
        ledger.add(calendar.moment(-1, "15:00"), assignment)


def _orders(calendar: Calendar, floor: Floor) -> None:
    ProductionOrder.objects.bulk_create(
        ProductionOrder(
            number=row["order"],
            press=floor.presses[row["press"]],
            job=floor.jobs[row["job"]],
            persons=int(row["persons"]),
            urgency=int(row["urgency"]),
            due_quantity=int(row["due_quantity"]),
            starts_at=calendar.moment(row["start_day"], row["start_time"]),
            ends_at=calendar.moment(row["end_day"], row["end_time"]) if row["end_day"] else None,
            note=row["note"],
        )
        for row in rows("production_orders")
    )


def _stops(calendar: Calendar, floor: Floor, crews: dict[str, Crew]) -> None:
    PressStop.objects.bulk_create(
        PressStop(
            press=floor.presses[row["press"]],
            day=calendar.day(row["day"]),
            crew=crews[row["shift"]],
            from_at=calendar.moment(row["from_day"], row["from_time"]),
            to_at=calendar.moment(row["to_day"], row["to_time"]) if row["to_day"] else None,
            reason=row["reason"],
        )
        for row in rows("press_stops")
    )


def _attendance(calendar: Calendar, people: dict[str, Person], crews: dict[str, Crew]) -> None:
    Attendance.objects.bulk_create(
        (
            Attendance(
                person=people[row["person"]],
                day=calendar.day(row["day"]),
                crew=crews[row["crew"]],
                planned=row["planned"],
                actual=row["actual"],
                reason=row["reason"],
                arrived=_clock(row["arrived"]),
                left=_clock(row["left"]),
                note=row["note"],
            )
            for row in rows("attendance")
        ),
        batch_size=400,
    )


def _exceptions(
    calendar: Calendar,
    ledger: Ledger,
    people: dict[str, Person],
    floor: Floor,
    crews: dict[str, Crew],
) -> None:
    for row in rows("exceptions"):
        signed = calendar.moment(row["signed_day"], row["signed_time"])
        exception = ShiftException(
            number=row["exception"],
            person=people[row["person"]],
            job=floor.jobs[row["job"]],
            press=floor.presses[row["press"]],
            day=calendar.day(row["day"]),
            crew=crews[row["shift"]],
            outcome=row["outcome"],
            reason=erasable(row["reason"]),
            extra_check=erasable(row["extra_check"]) if row["extra_check"] else None,
            asked_by=people.get(row["asked_by"]),
            second_signer=people.get(row["second_signer"]),
            signed_at=signed,
            ends_at=calendar.moment(row["ends_day"], row["ends_time"]) if row["ends_day"] else None,
        )
        ledger.add(signed, exception)


def _clock(text: str) -> dt.time | None:
    return dt.time.fromisoformat(text) if text else None
