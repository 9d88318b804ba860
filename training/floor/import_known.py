"""What the database holds of jobs before an import, and one row's changes as they are found."""

import difflib
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext_lazy as _

from training.floor.import_columns import JOB_COLUMNS
from training.floor.limits import Line
from training.floor.models import (
    Caution,
    Family,
    Job,
    JobGroup,
    LimitLine,
    Press,
    Product,
    WorkInstruction,
)
from training.floor.selectors import lines_of
from training.people.sheets.files import plain
from training.people.sheets.plan import Detail
from training.people.sheets.problems import Words, worded
from training.people.sheets.table import Row

HEADERS = {column.key: column for column in JOB_COLUMNS}


@dataclass(frozen=True)
class Known:
    """The floor by the codes that sheets use."""

    jobs: dict[str, Job]
    sheets: dict[str, WorkInstruction]
    lines: dict[str, list[Line]]
    presses: dict[str, Press]
    groups: dict[str, JobGroup]
    products: dict[str, Product]
    cautions: dict[str, Caution]
    # By code and by name in both languages, written plainly.
    families: dict[str, Family]

    def family(self, written: str) -> Family | None:
        return self.families.get(plain(written))


def load_known() -> Known:
    """Read the floor. Costs eleven queries."""
    jobs = Job.objects.select_related("press", "group", "product", "twin").prefetch_related(
        "alternates", "cautions", "tended_with"
    )
    sheets: dict[str, WorkInstruction] = {}
    for sheet in WorkInstruction.objects.select_related("job").newest_first():
        sheets.setdefault(sheet.job.number, sheet)
    newest = [sheet.pk for sheet in sheets.values()]
    lines: dict[str, list[LimitLine]] = {number: [] for number in sheets}
    rows = LimitLine.objects.filter(work_instruction__in=newest)
    for line in rows.select_related("family", "work_instruction__job"):
        if line.work_instruction is not None:
            lines[line.work_instruction.job.number].append(line)
    return Known(
        jobs={job.number: job for job in jobs},
        sheets=sheets,
        lines={number: lines_of(found) for number, found in lines.items()},
        presses={press.code: press for press in Press.objects.all()},
        groups={group.code: group for group in JobGroup.objects.all()},
        products={product.code: product for product in Product.objects.all()},
        cautions={caution.code: caution for caution in Caution.objects.all()},
        families=known_families(),
    )


def known_families() -> dict[str, Family]:
    """Return every family by its code and its names, written plainly. Costs one query.

    A part of a name ("Weld" of "Weld / knit line") counts where only one family has it.
    """
    full: dict[str, Family] = {}
    parts: dict[str, set[Family]] = defaultdict(set)
    for family in Family.objects.all():
        names = [*family.name.values(), *(family.short_name or {}).values()]
        for name in (*names, family.slug):
            full[plain(str(name))] = family
            for part in re.split(r"[/()]", str(name)):
                parts[plain(part)].add(family)
    unique = {part: found.pop() for part, found in parts.items() if part and len(found) == 1}
    return {**unique, **full}


@dataclass
class SheetChange:
    """A new revision of a work instruction."""

    revision: str
    day: Any
    needs: dict[str, str]
    steps: dict[str, list[str]]
    lines: list[Line]


@dataclass
class JobItem:
    """What one row would write about one job."""

    row: Row
    job: Job | None
    fields: dict[str, Any] = field(default_factory=dict)
    new_press: Press | None = None
    new_group: JobGroup | None = None
    twin: str | None = None
    alternates: list[str] | None = None
    cautions: list[str] | None = None
    tended_with: list[str] | None = None
    needs: dict[str, str] | None = None
    sheet: SheetChange | None = None
    details: list[Detail] = field(default_factory=list)

    @property
    def number(self) -> str:
        return str(self.row.get("number", ""))

    def note(self, key: str, before: object, after: object) -> None:
        """Note a value that would change, for the page that shows what would happen."""
        self.details.append(Detail(HEADERS[key].header, shown(before), shown(after)))


def shown(value: object) -> str:
    """Write a value for the table of changes."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "✓" if value else "–"
    if isinstance(value, Mapping):
        return " / ".join(str(words) for words in value.values())
    if isinstance(value, Iterable) and not isinstance(value, str):
        return ", ".join(str(each) for each in value)
    return str(value)


def unknown_family(name: str, families: Mapping[str, Family]) -> tuple[Words, Words]:
    """Say that a family is not known, and which one may be meant."""
    close = difflib.get_close_matches(plain(name), families, n=1, cutoff=0.6)
    if close:
        near = families[close[0]].slug
        remedy = worded(_("Is “{near}” meant? The page of families lists them all."), near=near)
    else:
        remedy = _("The page of families lists them all, with their codes.")
    return worded(_("There is no defect family “{name}”."), name=name), remedy
