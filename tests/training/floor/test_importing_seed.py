"""The invented plant's 24 jobs and their limits survive a jobs sheet and a limits sheet whole."""

import csv
import io
from collections.abc import Iterator
from typing import Any

import pytest

from media_demo.plant.read import documents, rows
from tests.conftest import NOON, TODAY
from training.floor.importing import LIMITS, check_jobs, write_jobs
from training.floor.models import Caution, Family, FamilyGroup, Job, Press, Product, WorkInstruction
from training.people.sheets.days import DayOrder
from training.people.sheets.plan import MAIN, SheetFile

JOBS = documents("jobs")
FIELDS = "value value2 unit count per_area_cm2 distance_mm time_s gauge sample compare_to".split()  # noqa: SIM905


def sheet(header: list[str], lines: Iterator[list[Any]]) -> SheetFile:
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=";")
    writer.writerow(header)
    writer.writerows(["" if cell is None else cell for cell in line] for line in lines)
    return SheetFile("plant.csv", text.getvalue().encode())


def job_lines() -> Iterator[list[Any]]:
    for job in JOBS:
        zones = [job["zones"].get(zone, {}).get(code) for zone in "ABCF" for code in ("en", "es")]
        yield [
            job["no"], job["part"]["en"], job["part"]["es"], job["hand"], job["twin"],
            *((job["colour"] or {}).get(code) for code in ("en", "es")),
            job["job_group"], job["product"], job["tool"], job["presses"]["normal"],
            ",".join(job["presses"]["alternates"]), job["persons"], job["cavities"],
            job["cycle_s"], job["pack"], *zones, "yes" if job["critical_job"] else "no",
            "yes" if job["needs_colour_vision"] else "no", ",".join(job["needs_authorisation"]),
            ",".join(job["cautions"]), ",".join(job["may_be_tended_with"]),
            job["work_instruction"]["revision"], "2026-01-05",
            ", ".join(f"{family}:{level}" for family, level in job["needs"].items()),
            "|".join(job["work_instruction"]["steps"]["en"]),
            "\n".join(job["work_instruction"]["steps"]["es"]),
        ]  # fmt: skip


JOB_HEADER = [
    "Job", "Part", "Part in Spanish", "Hand", "Twin", "Colour", "Colour in Spanish", "Job group",
    "Product", "Tool", "Press", "Other presses", "Persons", "Cavities", "Cycle", "Pack",
    *(header for zone in "ABCF" for header in (f"Zone {zone}", f"Zone {zone} in Spanish")),
    "Critical job", "Colour vision", "Authorisations", "Cautions", "May be tended with",
    "Revision", "Revision day", "Families needed", "Steps", "Steps in Spanish",
]  # fmt: skip
LIMIT_HEADER = [
    "Job", "Zone", "Family", "Measure", "Value", "Upper value", "Unit", "Count", "Per area",
    "Distance", "Time", "Gauge", "Sample", "Compare to", "Feature", "Feature in Spanish",
    "Judged by", "Level",
]  # fmt: skip


def limit_lines() -> Iterator[list[Any]]:
    for job in JOBS:
        for line in job["limits"]:
            feature = line.get("feature", {})
            yield [
                job["no"], line["zone"], line["family"], line["measure"],
                *(line.get(key) for key in FIELDS),
                feature.get("en"), feature.get("es"), line["judged_by"], line["level"],
            ]  # fmt: skip


@pytest.fixture
def files(db: None) -> dict[str, SheetFile]:
    group = FamilyGroup.objects.create(code="all", name={"en": "All"})
    Family.objects.bulk_create(
        Family(
            slug=item["slug"],
            name={"en": item["name"], "es": item["es"]},
            group=group,
            judged_by=item["judged_by"],
            always_critical=item["level"]["always_critical"],
        )
        for item in documents("families")
    )
    Press.objects.bulk_create(
        Press(code=row["press"], clamp_tonnes=int(row["clamp_tonnes"])) for row in rows("presses")
    )
    Caution.objects.bulk_create(
        Caution(code=item["code"], title={"en": item["title"]}, text={"en": item["text"]})
        for item in documents("cautions")
    )
    Product.objects.bulk_create(
        Product(code=row["code"], name={"en": row["name"]}) for row in rows("products")
    )
    return {MAIN: sheet(JOB_HEADER, job_lines()), LIMITS: sheet(LIMIT_HEADER, limit_lines())}


def stored_lines(revision: WorkInstruction) -> list[dict[str, Any]]:
    lines = revision.lines.select_related("family")
    return [{"family": each.family.slug, "zone": each.zone, **each.measure} for each in lines]


def test_the_seed_jobs_load_whole_and_twice_is_the_same(files: dict[str, SheetFile]) -> None:
    plan = check_jobs(files, order=DayOrder.BY_COLUMN, by=None, today=TODAY)
    assert [str(problem) for problem in plan.problems] == []
    assert plan.summary() == "24 new, 0 changed, 0 the same"
    write_jobs(plan, by=None, moment=NOON, today=TODAY)
    for item in JOBS:
        job = Job.objects.get(number=item["no"])
        revision = job.work_instructions.get()
        assert stored_lines(revision) == item["limits"]
        assert revision.needs == item["needs"]
        assert revision.steps == item["work_instruction"]["steps"]
        assert (job.part, job.colour, job.zones) == (item["part"], item["colour"], item["zones"])
        assert (job.twin.number if job.twin else None) == item["twin"]
        assert sorted(press.code for press in job.alternates.all()) == sorted(
            item["presses"]["alternates"]
        )
        assert {each.number for each in job.tended_with.all()} >= set(item["may_be_tended_with"])
        assert [each.code for each in job.cautions.all()] == sorted(item["cautions"])
        assert (job.critical_job, job.persons, job.pack, job.cycle_s) == (
            item["critical_job"],
            item["persons"],
            item["pack"],
            item["cycle_s"],
        )
    again = check_jobs(files, order=DayOrder.BY_COLUMN, by=None, today=TODAY)
    assert [str(problem) for problem in again.problems] == []
    assert again.summary() == "0 new, 0 changed, 24 the same"
