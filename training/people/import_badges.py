"""Badges in an import: which days they would be whose, and where two people would hold one."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from training.people.import_known import BadgeChange, Known, PersonItem
from training.people.models import Badge
from training.people.sheets.problems import worded
from training.people.sheets.table import Table

DAY = dt.timedelta(days=1)


def plan_badge(table: Table, item: PersonItem, today: dt.date) -> None:
    """Plan the badge of a row: the same with other days, or another one that ends the one before."""
    row, known = item.row, list(item.person.badges.all()) if item.person else []
    left: dt.date | None = row.get("left")
    number: str | None = row.get("badge")
    if number is None:
        open_ones = [badge for badge in known if badge.to_day is None and left is not None]
        if open_ones:
            item.badge = BadgeChange({badge: (badge.from_day, left) for badge in open_ones})
            item.note("badge_to", None, left)
        return
    same = next((badge for badge in reversed(known) if badge.number == number), None)
    to_day = row.get("badge_to") or (same.to_day if same else None) or left
    from_day = row.get("badge_from") or (same.from_day if same else _first_day(item, today))
    if to_day is not None and to_day < from_day:
        table.problem(
            row,
            "badge_to" if row.has("badge_to") else "badge",
            worded(_("The badge would end before it begins, on {day}."), day=from_day),
            _("Correct the days of the badge."),
        )
        return
    if same is not None:
        _plan_days(item, same, from_day, to_day)
    else:
        _plan_new(table, item, known, (number, from_day, to_day))


def _first_day(item: PersonItem, today: dt.date) -> dt.date:
    hired: dt.date = item.row.get("hired", today)
    returned = item.stay is not None and item.stay.stay._state.adding
    return hired if item.person is None or returned else today


def _plan_days(item: PersonItem, badge: Badge, from_day: dt.date, to_day: dt.date | None) -> None:
    if (from_day, to_day) == (badge.from_day, badge.to_day):
        return
    item.badge = BadgeChange({badge: (from_day, to_day)})
    if from_day != badge.from_day:
        item.note("badge_from", badge.from_day, from_day)
    if to_day != badge.to_day:
        item.note("badge_to", badge.to_day, to_day)


def _plan_new(
    table: Table,
    item: PersonItem,
    known: list[Badge],
    given: tuple[str, dt.date, dt.date | None],
) -> None:
    number, from_day, _to_day = given
    running = [badge for badge in known if badge.to_day is None or badge.to_day >= from_day]
    late = next((badge for badge in running if badge.from_day >= from_day), None)
    if late is not None:
        table.problem(
            item.row,
            "badge",
            worded(
                _("The present badge {number} began on {day}, not before this one."),
                number=late.number,
                day=late.from_day,
            ),
            _("Give the day from which the new badge holds."),
        )
        return
    item.badge = BadgeChange({badge: (badge.from_day, from_day - DAY) for badge in running}, given)
    item.note("badge", ", ".join(badge.number for badge in running), number)


@dataclass(frozen=True, slots=True)
class _Held:
    from_day: dt.date
    to_day: dt.date
    owner: str
    name: str
    item: PersonItem | None


def check_overlaps(table: Table, items: Iterable[PersonItem], known: Known) -> None:
    """Note every badge number that two people would hold on the same day."""
    held: dict[str, list[_Held]] = defaultdict(list)
    rows = list(items)
    in_file = {item.row.get("personnel_no"): item for item in reversed(rows)}
    for number, person in known.people.items():
        item = in_file.get(number)
        dated = item.badge.dated if item and item.badge else {}
        for badge in person.badges.all():
            days = dated.get(badge, (badge.from_day, badge.to_day))
            held[badge.number].append(_held(days, number, person.name, item))
    for item in rows:
        if item.badge and item.badge.given:
            badge_number, from_day, to_day = item.badge.given
            owner = str(item.row.get("personnel_no"))
            held[badge_number].append(_held((from_day, to_day), owner, item.name, item))
    for holders in held.values():
        if len(holders) > 1:
            _check_one(table, holders)


def _held(
    days: tuple[dt.date, dt.date | None], owner: str, name: str, item: PersonItem | None
) -> _Held:
    return _Held(days[0], days[1] or dt.date.max, owner, name, item)


def _check_one(table: Table, holders: list[_Held]) -> None:
    # Whoever stands last in the file is told; who is only in the database cannot be.
    order = sorted(holders, key=lambda held: held.item.row.number if held.item else 0)
    for place, held in enumerate(order):
        for other in order[:place]:
            overlap = other.from_day <= held.to_day and held.from_day <= other.to_day
            if held.item is None or other.owner == held.owner or not overlap:
                continue
            where = (
                worded(_("in row {row}"), row=other.item.row.number)
                if other.item
                else _("in the register")
            )
            table.problem(
                held.item.row,
                "badge",
                worded(
                    _("{name} ({number}), {where}, holds this badge from {day} on."),
                    name=other.name,
                    number=other.owner,
                    where=where,
                    day=other.from_day,
                ),
                _("Give one of them another badge, or end the earlier one the day before."),
            )
