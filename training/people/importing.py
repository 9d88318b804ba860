"""Importing people: what a sheet of people would change, and writing it, all of it or nothing."""

import datetime as dt
from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from training.people import pins
from training.people.import_badges import check_overlaps, plan_badge
from training.people.import_columns import COLUMNS
from training.people.import_known import PersonItem, load_known
from training.people.import_rows import (
    plan_authorisations,
    plan_fields,
    plan_roles,
    plan_stay,
    plan_vision,
)
from training.people.models import Fact, Person
from training.people.record.chain import append, erasable_many
from training.people.services import give_badge, set_roles
from training.people.sheets.days import DayOrder
from training.people.sheets.plan import (
    CHANGED,
    MAIN,
    NEW,
    SAME,
    Change,
    FirstPin,
    Import,
    NotCleanError,
    Outcome,
    Plan,
    SheetFile,
)
from training.people.sheets.problems import worded
from training.people.sheets.table import Row, Table, read_table


def check_people(
    files: Mapping[str, SheetFile], *, order: DayOrder, by: Person | None, today: dt.date
) -> Plan[PersonItem]:
    """Read a people sheet and say what it would change, with every problem. Costs seven queries."""
    file = files[MAIN]
    table = read_table(file.data, file_name=file.name, columns=COLUMNS, order=order)
    plan: Plan[PersonItem] = Plan([table])
    known = load_known()
    first_rows: dict[str, int] = {}
    for row in table.rows:
        number: str = row.get("personnel_no", "")
        item = PersonItem(row, known.people.get(number))
        _check_number(table, row, number, first_rows)
        plan_fields(table, item, known)
        plan_stay(table, item, today)
        plan_badge(table, item, today)
        plan_roles(table, item, by)
        plan_vision(table, item, today)
        plan_authorisations(table, item, today)
        if number:
            plan.items.append(item)
            plan.changes.append(_change(item, number))
    check_overlaps(table, plan.items, known)
    return plan


def _check_number(table: Table, row: Row, number: str, first_rows: dict[str, int]) -> None:
    if not number:
        return
    first = first_rows.setdefault(number, row.number)
    if first != row.number:
        table.problem(
            row,
            "personnel_no",
            worded(_("The personnel number stands in row {row} already."), row=first),
            _("Keep one row for each person."),
        )


def _change(item: PersonItem, number: str) -> Change:
    status = NEW if item.person is None else CHANGED if item.details else SAME
    return Change(item.row.number, number, item.name, status, tuple(item.details))


def write_people(
    plan: Plan[PersonItem], *, by: Person | None, moment: dt.datetime, today: dt.date
) -> Outcome:
    """Write a plan without problems in one transaction; new people get an initial PIN, told once.

    Raises
    ------
    NotCleanError
        If the plan has problems.
    django.core.exceptions.ValidationError, django.db.IntegrityError
        If the register has changed since the plan was made so that it no longer fits.
    """
    if plan.problems:
        raise NotCleanError(plan)
    # PINs are hashed slowly on purpose; nobody else's writing waits for that.
    secrets = _hashed_pins([item for item in plan.items if item.person is None])
    facts: list[Fact] = []
    with transaction.atomic():
        _save_crews(plan.items)
        for item in plan.items:
            _save_person(item, secrets)
        for item in plan.items:
            _give_new_badge(item)
            facts.extend(_facts(item, by))
        if facts:
            append(*facts, moment=moment)
    told = [
        FirstPin(number, item.name, item.row.get("badge", ""), secrets[number][0])
        for item in plan.items
        if (number := item.row.get("personnel_no")) in secrets
    ]
    return Outcome(plan.summary(), tuple(told))


def _hashed_pins(items: Iterable[PersonItem]) -> dict[str, tuple[str, str]]:
    """Return PIN and hash by personnel number; hashing runs on every core."""
    chosen = {
        str(item.row.get("personnel_no")): pins.random_pin(
            (str(item.row.get("personnel_no")), str(item.row.get("badge", "")))
        )
        for item in items
    }
    with ThreadPoolExecutor() as pool:
        hashes = list(pool.map(pins.hashed, chosen.values()))
    return {
        number: (pin, hashed) for (number, pin), hashed in zip(chosen.items(), hashes, strict=True)
    }


def _save_crews(items: Iterable[PersonItem]) -> None:
    for item in items:
        if item.new_crew is not None:
            item.new_crew.full_clean()
            item.new_crew.save()


def _save_person(item: PersonItem, secrets: Mapping[str, tuple[str, str]]) -> None:
    person = item.person
    if person is None:
        number = str(item.row.get("personnel_no"))
        person = Person(personnel_no=number, pin=secrets[number][1], pin_is_initial=True)
        person.set_unusable_password()
    for name, value in item.fields.items():
        setattr(person, name, value)
    if item.person is None or item.fields:
        person.full_clean(exclude=["password"])
        person.save()
    item.person = person
    if item.stay is not None:
        stay = item.stay.stay
        stay.person, stay.contract = person, item.stay.contract
        stay.from_day, stay.to_day = item.stay.from_day, item.stay.to_day
        stay.full_clean()
        stay.save()
    for badge, (from_day, to_day) in (item.badge.dated if item.badge else {}).items():
        badge.from_day, badge.to_day = from_day, to_day
        badge.save(update_fields=["from_day", "to_day"])
    if item.roles is not None:
        set_roles(person=person, roles=item.roles)


def _give_new_badge(item: PersonItem) -> None:
    if item.person is not None and item.badge is not None and item.badge.given is not None:
        number, from_day, to_day = item.badge.given
        give_badge(person=item.person, number=number, from_day=from_day, to_day=to_day)


def _facts(item: PersonItem, by: Person | None) -> list[Fact]:
    results = erasable_many(result for _check, result in item.vision)
    for (check, _result), stored in zip(item.vision, results, strict=True):
        check.result = stored
    facts: list[Fact] = [*(check for check, _result in item.vision), *item.authorisations]
    for fact in facts:
        fact.person = item.person  # type: ignore[attr-defined]
        fact.recorded_by = by
    return facts


PEOPLE = Import(
    kind="people",
    title=_("Import people"),
    lead=_(
        "One row for each person. A known personnel number changes that person; an empty cell leaves "
        "what is there."
    ),
    route="people:import_people",
    done_route="people:person_list",
    sheets={MAIN: COLUMNS},
    further={},
    check=check_people,
    write=write_people,
)
