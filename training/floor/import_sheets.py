"""The work instruction of a row: the revision on record, or a new one with families and limits."""

import re
from collections.abc import Mapping

from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from training.floor.import_columns import LEVELS
from training.floor.import_known import JobItem, Known, SheetChange, unknown_family
from training.floor.limit_words import line_text
from training.floor.limits import Line
from training.floor.models import Family, Level, WorkInstruction
from training.people.sheets.files import plain
from training.people.sheets.plan import Detail
from training.people.sheets.problems import worded
from training.people.sheets.table import Row, Table
from training.people.texts import LANGUAGES

NEED = "need:"
LEVEL_CODES = {plain(written): str(level) for written, level in LEVELS.items()}


def plan_sheet(table: Table, item: JobItem, known: Known, lines: list[Line] | None) -> None:
    """Plan the work instruction: the one on record, or a new revision of it.

    `lines` are the limits that came along, None where none did for this job.
    """
    row = item.row
    before = known.sheets.get(item.number)
    needs = item.needs
    steps = _steps(row)
    revision: str | None = row.get("revision")
    if revision is None:
        if before is None:
            table.problem(
                row,
                "revision",
                _("A new job needs the revision of its work instruction."),
                _("Fill in the columns “Work instruction” and “Revision day”."),
            )
        elif _differs(before, needs, steps, lines, known.lines[item.number]):
            _ask_for_revision(table, row, before)
        return
    if before is not None and revision == before.revision:
        if _differs(before, needs, steps, lines, known.lines[item.number]):
            _ask_for_revision(table, row, before)
        elif row.has("revision_day") and row.get("revision_day") != before.day:
            table.problem(
                row,
                "revision_day",
                worded(_("Revision {revision} is of {day}."), revision=revision, day=before.day),
                _("Give that day, or another revision."),
            )
        return
    _plan_revision(table, item, known, SheetChange(revision, None, needs or {}, steps, lines or []))


def _plan_revision(table: Table, item: JobItem, known: Known, change: SheetChange) -> None:
    row, before = item.row, known.sheets.get(item.number)
    change.day = row.get("revision_day")
    if change.day is None:
        if "revision_day" not in table.headers or row_is_empty(table, row, "revision_day"):
            table.problem(
                row,
                "revision_day" if "revision_day" in table.headers else "revision",
                worded(_("Revision {revision} needs its day."), revision=change.revision),
                _("Fill in the column “Revision day”."),
            )
        return
    if before is not None and change.day < before.day:
        table.problem(
            row,
            "revision_day",
            worded(
                _("Revision {revision} is of {day}; a new one cannot be older."),
                revision=before.revision,
                day=before.day,
            ),
            _("Correct the day or the revision."),
        )
    old_lines = known.lines.get(item.number, [])
    if before is not None:
        # What the file leaves out stays as it was in the revision before.
        change.needs = change.needs or dict(before.needs)
        change.steps = {**before.steps, **change.steps}
        change.lines = change.lines or old_lines
    if not change.needs and row.has("needs"):
        # What stands there is not known; that is named already.
        return
    if not change.needs:
        table.problem(
            row,
            "needs",
            _("A new job needs at least one defect family."),
            _("Fill in the column “Families needed”, or one column for each family."),
        )
        return
    item.sheet = change
    item.note("revision", before.revision if before else None, change.revision)
    if before is None or before.needs != change.needs:
        item.note("needs", _said(before.needs) if before else None, _said(change.needs))
    _note_lines(item, old_lines, change.lines)


def row_is_empty(table: Table, row: Row, key: str) -> bool:
    """Return whether a cell holds nothing, and not something that could not be read."""
    place = table.places[key]
    return place >= len(row.cells) or row.cells[place] is None


def _differs(
    before: WorkInstruction,
    needs: dict[str, str] | None,
    steps: dict[str, list[str]],
    lines: list[Line] | None,
    old_lines: list[Line],
) -> bool:
    return (
        (needs is not None and needs != before.needs)
        or any(before.steps.get(code) != words for code, words in steps.items())
        or (lines is not None and lines != old_lines)
    )


def _ask_for_revision(table: Table, row: Row, before: WorkInstruction) -> None:
    table.problem(
        row,
        "revision",
        worded(
            _("Families, steps or limits differ from revision {revision} on record."),
            revision=before.revision,
        ),
        _("What people have read is not changed: give the next revision and its day."),
    )


def _note_lines(item: JobItem, before: list[Line], after: list[Line]) -> None:
    language = "es" if (get_language() or "en").startswith("es") else "en"
    gone = [line for line in before if line not in after]
    come = [line for line in after if line not in before]
    for line in come:
        same = next(
            (old for old in gone if (old.family, old.zone) == (line.family, line.zone)), None
        )
        if same is not None:
            gone.remove(same)
        label = f"{line.family} {line.zone}"
        words = line_text(same, language) if same else ""
        item.details.append(Detail(label, words, line_text(line, language)))
    for line in gone:
        item.details.append(Detail(f"{line.family} {line.zone}", line_text(line, language), "–"))


def _said(needs: Mapping[str, str]) -> list[str]:
    return [
        slug if level == Level.ORDINARY else f"{slug}:{level}"
        for slug, level in sorted(needs.items())
    ]


def planned_needs(table: Table, item: JobItem, known: Known) -> dict[str, str]:
    """Read the families asked for and their levels; return those that would hold for the job."""
    item.needs = _given_needs(table, item, known)
    before = known.sheets.get(item.number)
    return item.needs or (dict(before.needs) if before else {})


def _given_needs(table: Table, item: JobItem, known: Known) -> dict[str, str] | None:
    """Return what the file asks for, None where it says nothing of families."""
    row = item.row
    found: dict[str, str] = {
        key.removeprefix(NEED): level
        for key, level in row.values.items()
        if key.startswith(NEED) and level is not None
    }
    for part in row.get("needs") or ():
        name, _colon, written = str(part).partition(":")
        family, level = known.family(name), LEVEL_CODES.get(plain(written or "ordinary"))
        if family is None:
            table.problem(row, "needs", *unknown_family(name.strip(), known.families))
        elif level is None:
            table.problem(
                row,
                "needs",
                worded(_("“{level}” is not a level."), level=written),
                _("Write ordinary or critical after the colon."),
            )
        else:
            found[family.slug] = str(level)
    for slug, level in found.items():
        _check_level(table, row, _by_slug(known, slug), level)
    return found or None


def _by_slug(known: Known, slug: str) -> Family:
    return known.families[plain(slug)]


def _check_level(table: Table, row: Row, family: Family, level: str) -> None:
    if family.always_critical and level != Level.CRITICAL:
        key = f"{NEED}{family.slug}"
        table.problem(
            row,
            key if key in table.headers else "needs",
            worded(_("The family {family} is always critical."), family=family.slug),
            worded(_("Write {family}:critical."), family=family.slug),
        )


def _steps(row: Row) -> dict[str, list[str]]:
    return {
        code: [
            step.strip() for step in re.split(r"[\n|]+", row.get(f"steps_{code}")) if step.strip()
        ]
        for code in LANGUAGES
        if row.has(f"steps_{code}")
    }
