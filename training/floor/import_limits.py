"""The limits that come with a jobs sheet: each row one structured line of a job."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from django.utils.translation import gettext_lazy as _

from training.floor.import_known import Known, unknown_family
from training.floor.limit_problems import limit_problem
from training.floor.limits import LimitError, Line, parse_line
from training.floor.models import Family
from training.people.sheets.problems import worded
from training.people.sheets.table import Row, Table

NUMBERS = ("value", "value2", "per_area_cm2", "spacing_mm", "distance_mm", "time_s")
WORDS = ("measure", "unit", "gauge", "sample", "compare_to")


def limits_by_job(
    table: Table, known: Known, jobs: Iterable[str], needs: dict[str, dict[str, str]]
) -> dict[str, list[Line]]:
    """Return the lines of each job in the order of the file, and note what cannot stand.

    `jobs` are the numbers that stand in the jobs sheet, `needs` the families and levels each asks.
    """
    numbers = set(jobs)
    found: dict[str, list[Line]] = defaultdict(list)
    for row in table.rows:
        job, family = row.get("job"), _family(table, row, known)
        if job is not None and job not in numbers:
            table.problem(
                row,
                "job",
                worded(_("Job {job} does not stand in the jobs sheet."), job=job),
                _("Add its row there, with the revision that these limits belong to."),
            )
        if family is None or job is None or not row.has("zone", "measure"):
            continue
        line = _line(table, row, family, needs.get(job, {}))
        if line is not None and job in numbers:
            found[job].append(line)
    return dict(found)


def _family(table: Table, row: Row, known: Known) -> Family | None:
    name = row.get("family")
    if name is None:
        return None
    family = known.family(name)
    if family is None:
        table.problem(row, "family", *unknown_family(name, known.families))
    return family


def _line(table: Table, row: Row, family: Family, needs: dict[str, str]) -> Line | None:
    level = row.get("level") or needs.get(family.slug) or _default_level(family)
    data: dict[str, Any] = {
        "zone": row.get("zone"),
        "judged_by": str(row.get("judged_by") or _judged_by(family, row.get("zone"))),
        "level": str(level),
        "count": row.get("count"),
        "feature": _feature(row),
        **{key: _number(row.get(key)) for key in NUMBERS},
        **{key: str(row.get(key)) for key in WORDS if row.has(key)},
    }
    if _unreadable(row, table):
        return None
    try:
        line = parse_line(data, family=family.slug)
    except LimitError as error:
        table.problem(row, _column(table, error.field), *limit_problem(error))
        return None
    if needs and not _fits(table, row, line, needs):
        return None
    return line


def _fits(table: Table, row: Row, line: Line, needs: dict[str, str]) -> bool:
    needed = needs.get(line.family)
    if needed is None:
        table.problem(
            row,
            "family",
            worded(_("The job does not need the family {family}."), family=line.family),
            _("Add it to the families of the job, or take this limit out."),
        )
    elif needed != line.level:
        table.problem(
            row,
            "level" if "level" in table.headers else "family",
            worded(_("The job needs the family at the level {level}."), level=needed),
            _("Limit and family have one level: correct one of the two."),
        )
    return needed == line.level


def _unreadable(row: Row, table: Table) -> bool:
    """Whether a cell of the row holds something that could not be read; it is named already."""
    return any(
        place < len(row.cells) and row.cells[place] is not None and row.values.get(key) is None
        for key, place in table.places.items()
    )


def _column(table: Table, field: str) -> str:
    if field == "feature":
        return "feature_en" if "feature_en" in table.headers else "feature_es"
    return field if field in table.headers else "measure"


def _number(written: str | None) -> float | int | None:
    if written is None:
        return None
    return float(written) if "." in written else int(written)


def _feature(row: Row) -> dict[str, str] | None:
    english, spanish = row.get("feature_en"), row.get("feature_es")
    if english is None and spanish is None:
        return None
    return {"en": english or spanish, "es": spanish or english}


def _judged_by(family: Family, zone: str) -> str:
    by_zone = family.judged_by.get("by_zone", {})
    return str(by_zone.get(zone) or family.judged_by.get("default", "eye"))


def _default_level(family: Family) -> str:
    return "critical" if family.always_critical else "ordinary"
