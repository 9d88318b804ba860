"""One row of a people sheet against what is known: fields, stay, roles, eyes and authorisations."""

import datetime as dt

from django.utils.translation import gettext_lazy as _

from training.people.import_columns import AUTHORISATIONS
from training.people.import_known import Known, PersonItem, StayChange, not_in_future
from training.people.models import Authorisation, Crew, Employment, Person, Role, VisionCheck
from training.people.sheets.files import plain
from training.people.sheets.problems import worded
from training.people.sheets.table import Row, Table
from training.people.texts import LANGUAGES

CORRECT_DAY = _("Correct the day.")


def plan_fields(table: Table, item: PersonItem, known: Known) -> None:
    """Plan what stands in the person's own row: name, languages, crew, agency, note."""
    row, person = item.row, item.person
    given = {key: row.get(key) for key in ("name", "ui_language", "languages", "note")}
    if given["languages"] is not None:
        given["languages"] = list(given["languages"])
    contract = _contract(row)
    given["agency"] = None if contract is None else contract == "agency"
    if row.has("crew"):
        given["crew"] = _crew(table, item, known)
    for key, after in given.items():
        before = getattr(person, key) if person else None
        if after is not None and after != before:
            item.fields[key] = after
            if person is not None or (key != "name" and after is not False):
                item.note(key, before, after)
    if person is None:
        language = str(given["ui_language"] or LANGUAGES[0])
        item.fields.setdefault("ui_language", language)
        item.fields.setdefault("languages", [language])


def _contract(row: Row) -> str | None:
    contract: str | None = row.get("contract")
    if contract is None and row.has("agency"):
        return "agency" if row.get("agency") else "permanent"
    return contract


def _crew(table: Table, item: PersonItem, known: Known) -> Crew | None:
    row, name = item.row, str(item.row.get("crew"))
    crew = known.crews.get(plain(name))
    if crew is not None:
        return crew
    if row.has("shift_starts", "shift_ends") and len(name) <= 8:
        crew = Crew(
            code=name,
            name=dict.fromkeys(LANGUAGES, name),
            starts=row.get("shift_starts"),
            ends=row.get("shift_ends"),
        )
        known.crews[plain(name)] = item.new_crew = crew
        return crew
    codes = ", ".join(dict.fromkeys(each.code for each in known.crews.values())) or "–"
    table.problem(
        row,
        "crew",
        _("There is no such crew."),
        worded(
            _("Crews are: {codes}. For a new one add when its shift starts and ends."), codes=codes
        ),
    )
    return None


def plan_stay(table: Table, item: PersonItem, today: dt.date) -> None:
    """Plan the stay: a first one, a return after an ended one, or other days of the last."""
    row = item.row
    hired: dt.date | None = row.get("hired")
    left: dt.date | None = row.get("left")
    if hired is None or not not_in_future(table, row, "hired", today):
        return
    if left is not None and left < hired:
        table.problem(
            row, "left", _("The leave day lies before the hire day."), _("Correct one of the two.")
        )
        return
    stays = list(item.person.employments.all()) if item.person else []
    last = stays[-1] if stays else None
    earlier = stays[-2] if len(stays) > 1 else None
    contract = _contract(row) or (last.contract if last else "permanent")
    if last is None or (last.to_day is not None and hired > last.to_day):
        item.stay = StayChange(Employment(), hired, left, contract)
        item.note("hired", last.from_day if last else None, hired)
        if left is not None:
            item.note("left", None, left)
        return
    if earlier is not None and earlier.to_day is not None and hired <= earlier.to_day:
        table.problem(
            row,
            "hired",
            worded(_("An earlier stay lasted until {day}."), day=earlier.to_day),
            _("Give the first day of the last stay."),
        )
        return
    to_day = left or last.to_day
    if (hired, to_day, contract) != (last.from_day, last.to_day, last.contract):
        item.stay = StayChange(last, hired, to_day, contract)
        for key, before, after in (
            ("hired", last.from_day, hired),
            ("left", last.to_day, to_day),
            ("contract", last.contract, contract),
        ):
            if before != after:
                item.note(key, before, after)


def plan_roles(table: Table, item: PersonItem, by: Person | None) -> None:
    """Plan the roles; only an administrator gives or takes the role of administrator."""
    given = item.row.get("roles")
    before = item.person.roles() if item.person else frozenset()
    if given is None:
        after = before if item.person else frozenset({str(Role.OPERATOR)})
    else:
        after = frozenset(str(role) for role in given)
    if after == before:
        return
    if Role.ADMINISTRATOR in before ^ after and by is not None and not _is_administrator(by):
        table.problem(
            item.row,
            "roles",
            _("Only an administrator gives or takes the role of administrator."),
            _("Leave the role as it is, or ask an administrator to import this row."),
        )
        return
    item.roles = after
    item.note("roles", before, after)


def _is_administrator(person: Person) -> bool:
    return Role.ADMINISTRATOR in person.roles()


def plan_vision(table: Table, item: PersonItem, today: dt.date) -> None:
    """Plan the eye checks; one of a known kind and day with other words is a correction."""
    for kind, prefix in ((VisionCheck.Kind.NEAR, "near"), (VisionCheck.Kind.COLOUR, "colour")):
        _plan_check(table, item, kind, prefix, today)


def _plan_check(
    table: Table, item: PersonItem, kind: VisionCheck.Kind, prefix: str, today: dt.date
) -> None:
    row, key = item.row, f"{prefix}_day"
    day, due = row.get(key), row.get(f"{prefix}_due")
    result: str | None = row.get(f"{prefix}_result")
    if day is None:
        for other in (f"{prefix}_due", f"{prefix}_result"):
            if row.has(other) and key not in row.values:
                table.problem(
                    row,
                    other,
                    _("The day of the eye check is missing."),
                    _("Give the day it was done, or leave this cell empty too."),
                )
                break
        return
    wanted = {f"{prefix}_result": result}
    if kind == VisionCheck.Kind.NEAR:
        wanted["near_due"] = due
    missing = [name for name, value in wanted.items() if value is None]
    for name in missing:
        table.problem(
            row,
            name if name in table.headers else key,
            _("An eye check needs its result, near vision also the day the next is due."),
            _("Fill in the columns “Near vision result” and “Near vision due”.")
            if kind == VisionCheck.Kind.NEAR
            else _("Fill in the column “Colour vision result”."),
        )
    fine = not_in_future(table, row, key, today) and not missing
    if fine and due is not None and due < day:
        table.problem(
            row,
            f"{prefix}_due",
            _("The next check would be due before this one."),
            CORRECT_DAY,
        )
        fine = False
    if fine:
        _note_check(item, VisionCheck(kind=kind, day=day, due_day=due), str(result), key)


def _note_check(item: PersonItem, check: VisionCheck, result: str, key: str) -> None:
    known = list(item.person.vision_checks.all()) if item.person else []
    corrected = {each.corrects_id for each in known}
    same_day = next(
        (
            each
            for each in known
            if (each.kind, each.day) == (check.kind, check.day) and each.pk not in corrected
        ),
        None,
    )
    if same_day is not None:
        if (same_day.due_day, same_day.result.text) == (check.due_day, result):
            return
        check.corrects = same_day
    item.vision.append((check, result))
    item.note(key, same_day.day if same_day else None, check.day)


def plan_authorisations(table: Table, item: PersonItem, today: dt.date) -> None:
    """Plan what the person was authorised to do; a known kind and day is not written twice."""
    known = {(each.kind, each.day) for each in _authorisations(item.person)}
    for kind in AUTHORISATIONS:
        day: dt.date | None = item.row.get(kind)
        if day is None or (kind, day) in known:
            continue
        if not_in_future(table, item.row, kind, today):
            reference = item.row.get("paper_ref", "")
            item.authorisations.append(Authorisation(kind=kind, day=day, paper_ref=reference))
            item.note(kind, None, day)


def _authorisations(person: Person | None) -> list[Authorisation]:
    return list(person.authorisations.all()) if person else []
