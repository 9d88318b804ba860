"""One row of a jobs sheet against what is known: its own fields, its presses and other jobs."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from training.floor.import_columns import ZONE_LETTERS
from training.floor.import_known import HEADERS, JobItem, Known
from training.floor.models import Job, JobGroup, Press
from training.people.sheets.problems import Words, worded
from training.people.sheets.table import Row, Table
from training.people.texts import LANGUAGES

PLAIN_FIELDS = ("hand", "tool", "persons", "cavities", "cycle_s", "pack", "critical_job")
MORE_FIELDS = ("needs_colour_vision", "ended_day")


def plan_fields(table: Table, item: JobItem, known: Known) -> None:
    """Plan what stands in the job's own row."""
    row, job = item.row, item.job
    given: dict[str, Any] = {key: row.get(key) for key in (*PLAIN_FIELDS, *MORE_FIELDS)}
    given["part"] = _text_of(row, "part", job.part if job else None)
    given["colour"] = _text_of(row, "colour", job.colour if job else None)
    given["critical_why"] = _text_of(row, "why", job.critical_why if job else None)
    given["zones"] = _zones(row, job)
    if row.has("authorisations"):
        given["needs_authorisation"] = [str(kind) for kind in row.get("authorisations")]
    given["group"] = _group(item, known)
    given["press"] = _press(table, item, known)
    given["product"] = _known_code(table, item, "product", known.products)
    if job is None and not given["part"]:
        table.problem(
            row,
            "part_en" if "part_en" in table.headers else "part_es",
            _("A new job needs the name of its part."),
            _("Fill in the column “Part” or “Part in Spanish”."),
        )
    for key, after in given.items():
        before = getattr(job, key) if job else None
        if after is not None and after != before:
            item.fields[key] = after
            item.note(_column_of(key), before, after)


def _column_of(key: str) -> str:
    """Return the column that a field is shown under."""
    if key in HEADERS:
        return key
    several = {"critical_why": "why", "needs_authorisation": "authorisations"}
    name = several.get(key, key)
    spanish = (get_language() or "en").startswith("es")
    if key == "zones":
        name = "zone_A"
    return name if name in HEADERS else f"{name}_{'es' if spanish else 'en'}"


def _text_of(row: Row, key: str, before: Mapping[str, str] | None) -> dict[str, str] | None:
    given = {code: row.get(f"{key}_{code}") for code in LANGUAGES if row.has(f"{key}_{code}")}
    return {**(before or {}), **given} if given else None


def _zones(row: Row, job: Job | None) -> dict[str, Any] | None:
    before: dict[str, Any] = job.zones if job else {}
    given = {
        zone: found
        for zone in ZONE_LETTERS
        if (found := _text_of(row, f"zone_{zone}", before.get(zone))) is not None
    }
    return {**before, **given} if given else None


def _group(item: JobItem, known: Known) -> JobGroup | None:
    code = item.row.get("group") or (item.number if item.job is None else None)
    if not code:
        return None
    group = known.groups.get(code)
    if group is None:
        group = known.groups[code] = item.new_group = JobGroup(code=code)
    return group


def _press(table: Table, item: JobItem, known: Known) -> Press | None:
    row, code = item.row, item.row.get("press")
    if code is None:
        return None
    if code not in known.presses and row.has("press_tonnes"):
        item.new_press = Press(code=code, clamp_tonnes=row.get("press_tonnes"))
        known.presses[code] = item.new_press
    press: Press | None = _known_code(table, item, "press", known.presses)
    return press


def _known_code(table: Table, item: JobItem, key: str, known: Mapping[str, Any]) -> Any:
    code = item.row.get(key)
    if code is None or code in known:
        return known.get(code)
    table.problem(item.row, key, *_unknown(key, str(code), known))
    return None


def _unknown(key: str, code: str, known: Mapping[str, Any]) -> tuple[Words, Words]:
    listed = ", ".join(sorted(known)) or "–"
    remedy = worded(_("Write one of: {known}."), known=listed)
    if key in {"press", "alternates"}:
        remedy = worded(
            _("Write one of: {known}. For a new press add the column “Press tonnes”."), known=listed
        )
    return worded(_("There is no “{code}”."), code=code), remedy


def plan_relations(table: Table, item: JobItem, known: Known, in_file: Mapping[str, Row]) -> None:
    """Plan presses beside the usual one, cautions, jobs tended together and the twin."""
    row, job = item.row, item.job
    jobs = {**known.jobs, **in_file}
    for key, codes in (
        ("alternates", known.presses),
        ("cautions", known.cautions),
        ("tended_with", jobs),
    ):
        given = row.get(key)
        if given is None:
            continue
        unknown = [code for code in given if code not in codes]
        for code in unknown:
            table.problem(row, key, *_unknown(key, str(code), codes))
        before = sorted(_codes(job, key)) if job else []
        if not unknown and sorted(given) != before:
            setattr(item, key, list(given))
            item.note(key, before, sorted(given))
    _plan_twin(table, item, jobs)


def _codes(job: Job, key: str) -> list[str]:
    rows = getattr(job, key).all()
    return [each.number if key == "tended_with" else each.code for each in rows]


def _plan_twin(table: Table, item: JobItem, jobs: Mapping[str, Any]) -> None:
    row, twin = item.row, item.row.get("twin")
    if twin is None:
        return
    if twin not in jobs or twin == item.number:
        table.problem(
            row,
            "twin",
            worded(_("There is no other job “{code}”."), code=twin),
            _("Write the number of the other hand's job; it must stand here or in this file."),
        )
        return
    other = jobs[twin]
    back = other.get("twin") if isinstance(other, Row) else other.twin and other.twin.number
    hand = other.get("hand") if isinstance(other, Row) else other.hand
    own_hand = row.get("hand") or (item.job.hand if item.job else None)
    if back and back != item.number:
        table.problem(
            row,
            "twin",
            worded(_("Job {twin} has the twin {other}."), twin=twin, other=back),
            _("Two twins name each other."),
        )
    elif hand and own_hand and hand == own_hand:
        table.problem(
            row, "twin", _("Both twins have the same hand."), _("One is left, the other right.")
        )
    elif item.job is None or item.job.twin is None or item.job.twin.number != twin:
        before = item.job.twin.number if item.job and item.job.twin else None
        item.twin = twin
        item.note("twin", before, twin)
