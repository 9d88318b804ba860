"""Importing jobs and limits: what changes, what is refused, and that it is all or nothing."""

import datetime as dt
import io
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from tests.conftest import NOON, TODAY
from tests.training.people.sheet_files import csv_bytes, excel_day, workbook
from training.floor.importing import LIMITS, check_jobs, write_jobs
from training.floor.models import Caution, Job, JobGroup, LimitLine, Press, WorkInstruction
from training.people.models import Person
from training.people.sheets.days import DayOrder
from training.people.sheets.plan import MAIN, NotCleanError, Outcome, Plan, SheetFile

JOBS = "Job;Part;Press;Revision;Revision day;Families needed"
NEW = f"{JOBS}\n950;Cap;P01;A;2026-11-02;black-specks, burn"
LIMIT = "Job;Zone;Family;Measure;Value;Unit;Count"


def check(jobs: str | bytes, limits: str | None = None, name: str = "jobs.csv") -> Plan[Any]:
    files = {MAIN: SheetFile(name, csv_bytes(jobs) if isinstance(jobs, str) else jobs)}
    if limits is not None:
        files[LIMITS] = SheetFile("limits.csv", csv_bytes(limits))
    return check_jobs(files, order=DayOrder.BY_COLUMN, by=None, today=TODAY)


def load(jobs: str | bytes, limits: str | None = None, name: str = "jobs.csv") -> Outcome:
    plan = check(jobs, limits, name)
    assert [str(problem) for problem in plan.problems] == []
    return write_jobs(plan, by=None, moment=NOON, today=TODAY)


def problems(jobs: str | bytes, limits: str | None = None) -> list[tuple[int | None, str, str]]:
    """Return row, column and words of every problem; nothing may have been written."""
    before = (Job.objects.count(), LimitLine.objects.count(), WorkInstruction.objects.count())
    plan = check(jobs, limits)
    with pytest.raises(NotCleanError):
        write_jobs(plan, by=None, moment=NOON, today=TODAY)
    assert before == (
        Job.objects.count(),
        LimitLine.objects.count(),
        WorkInstruction.objects.count(),
    )
    assert all(str(problem.remedy) for problem in plan.problems)
    return [(each.row, each.column, str(each.message)) for each in plan.problems]


def test_a_new_job_with_its_limits(plant: SimpleNamespace) -> None:
    outcome = load(
        NEW,
        f"{LIMIT}\n950;A;black-specks;count at most;0,3;mm;2\n950;A;Quemadura;ninguna;;;",
    )
    assert outcome.summary == "1 new, 0 changed, 0 the same"
    job = Job.objects.get(number="950")
    assert (job.part, job.press, job.group.code) == ({"en": "Cap"}, plant.press, "950")
    sheet = job.work_instructions.get()
    assert (sheet.revision, sheet.day, sheet.replaces_with_check) == (
        "A",
        dt.date(2026, 11, 2),
        False,
    )
    assert sheet.needs == {"black-specks": "ordinary", "burn": "ordinary"}
    lines = [(line.family.slug, line.measure) for line in sheet.lines.select_related("family")]
    assert lines == [
        (
            "black-specks",
            {
                "measure": "count_at_most",
                "judged_by": "eye",
                "level": "ordinary",
                "value": 0.3,
                "unit": "mm",
                "count": 2,
            },
        ),
        ("burn", {"measure": "none", "judged_by": "eye", "level": "ordinary"}),
    ]


def test_limits_in_a_second_sheet_of_the_workbook(plant: SimpleNamespace) -> None:
    book = workbook(
        {
            "Trabajos": [
                ["Trabajo", "Pieza", "Prensa", "Hoja de trabajo", "Fecha de revisión", "Quemadura"],
                [950, "Tapa", "P01", "A", excel_day(2026, 11, 2), "crítico"],
            ],
            "Límites": [
                ["Trabajo", "Zona", "Familia", "Medida", "Valor", "Unidad"],
                [950, "A", "burn", "hasta", 0.4, "mm"],
            ],
        }
    )
    load(book, name="trabajos.xlsx")
    sheet = WorkInstruction.objects.get(job__number="950")
    assert sheet.needs == {"burn": "critical"}
    assert sheet.lines.get().measure["level"] == "critical"
    assert sheet.job.part == {"es": "Tapa"}


def test_a_known_job_changes_and_an_empty_cell_leaves_what_is_there(
    plant: SimpleNamespace,
) -> None:
    load("Job;Part;Part in Spanish;Tool;Persons\n901;Bench lid;;T-1;2")
    plant.job.refresh_from_db()
    assert (plant.job.part, plant.job.tool, plant.job.persons) == (
        {"en": "Bench lid", "es": "Cubierta de banco"},
        "T-1",
        2,
    )
    assert plant.job.work_instructions.count() == 1
    again = check("Job;Part;Part in Spanish;Tool;Persons\n901;Bench lid;;T-1;2")
    assert again.summary() == "0 new, 0 changed, 1 the same"


def test_the_next_revision_keeps_what_the_file_leaves_out(plant: SimpleNamespace) -> None:
    plan = check("Job;Revision;Revision day\n901;B;2026-11-25")
    assert plan.summary() == "0 new, 1 changed, 0 the same"
    write_jobs(plan, by=None, moment=NOON, today=TODAY)
    sheet = WorkInstruction.objects.get(revision="B")
    assert sheet.replaces_with_check
    assert (sheet.needs, sheet.steps) == (plant.sheet.needs, plant.sheet.steps)
    assert [line.measure for line in sheet.lines.all()] == [
        line.measure for line in plant.sheet.lines.all()
    ]


def test_changed_limits_are_said_line_by_line(plant: SimpleNamespace) -> None:
    plan = check(
        "Job;Revision;Revision day\n901;B;2026-11-25",
        f"{LIMIT}\n901;A;black-specks;count at most;0.2;mm;1\n901;A;burn;none;;;\n"
        "901;A;grease-oil;none;;;",
    )
    said = [
        (str(each.label), str(each.before), str(each.after)) for each in plan.changes[0].details
    ]
    assert ("black-specks A", "at most 1 of up to 0.3 mm, in any 100 cm²: mean size",
            "at most 1 of up to 0.2 mm") in said  # fmt: skip
    assert not [label for label, _before, _after in said if label.startswith("burn")]


def test_twins_name_each_other(plant: SimpleNamespace) -> None:
    load(
        "Job;Part;Hand;Twin;Job group;Press;Revision;Revision day;Families needed\n"
        "951;Cover;left;952;G95;P01;A;2026-11-02;burn\n"
        "952;Cover;DER;951;G95;P01;A;2026-11-02;burn"
    )
    left, right = Job.objects.filter(group__code="G95")
    assert (left.twin, right.twin, left.hand, right.hand) == (right, left, "left", "right")


def test_a_new_press_comes_with_its_tonnes(plant: SimpleNamespace) -> None:
    load(
        "Job;Part;Press;Press tonnes;Other presses;Revision;Revision day;Families needed\n"
        "951;Cover;P21;150;P01;A;2026-11-02;burn"
    )
    job = Job.objects.get(number="951")
    assert (job.press, [press.code for press in job.alternates.all()]) == (
        Press.objects.get(code="P21", clamp_tonnes=150),
        ["P01"],
    )


@pytest.mark.parametrize(
    ("jobs", "column", "words"),
    [
        (f"{JOBS}\n950;Cap;P77;A;2026-11-02;burn", "Press", "There is no “P77”"),
        (f"{JOBS}\n950;;P01;A;2026-11-02;burn", "Part", "name of its part"),
        (f"{JOBS}\n950;Cap;P01;;;burn", "Revision", "revision of its work instruction"),
        (f"{JOBS}\n950;Cap;P01;A;;burn", "Revision day", "needs its day"),
        (f"{JOBS}\n950;Cap;P01;A;2026-11-02;", "Families needed", "at least one defect family"),
        (f"{JOBS}\n950;Cap;P01;A;2026-11-02;bum", "Families needed", "no defect family “bum”"),
        (f"{JOBS}\n950;Cap;P01;A;2026-11-02;burn:high", "Families needed", "not a level"),
        (f"{JOBS}\n901;;;A;2026-11-02;", "Revision day", "Revision A is of 2026-01-05"),
        (f"{JOBS}\n901;;;B;2025-11-02;", "Revision day", "cannot be older"),
        (f"{JOBS}\n901;;;A;;burn", "Revision", "differ from revision A on record"),
        (f"{JOBS}\n901;;;;;burn", "Revision", "differ from revision A on record"),
        (f"{JOBS}\n901;;;B;soon;", "Revision day", "not a day"),
        (f"{JOBS}\n;Cap;P01;A;2026-11-02;burn", "Job", "cell is empty"),
        ("Job;Hand\n901;up", "Hand", "not among the hands"),
        ("Job;Twin\n901;777", "Twin", "no other job “777”"),
        ("Job;Twin\n901;901", "Twin", "no other job “901”"),
        ("Job;Cautions\n901;hot", "Cautions", "There is no “hot”"),
        ("Job;May be tended with\n901;777", "May be tended with", "There is no “777”"),
        ("Job;Persons\n901;0", "Persons", "whole number from 1 to 9"),
        ("Job;Authorisations\n901;fly", "Authorisations", "not among the authorisations"),
        ("Job;Burn mark\n901;perhaps", "Burn mark", "not among the levels"),
    ],
)
def test_a_row_that_cannot_be(plant: SimpleNamespace, jobs: str, column: str, words: str) -> None:
    found = problems(jobs)
    assert [(row, name) for row, name, _message in found] == [(2, column)]
    assert words in found[0][2]


def test_a_misspelt_family_names_the_one_meant(plant: SimpleNamespace) -> None:
    plan = check(f"{JOBS}\n950;Cap;P01;A;2026-11-02;blak specks")
    assert "“black-specks”" in str(plan.problems[0].remedy)


def test_a_family_that_is_always_critical(plant: SimpleNamespace) -> None:
    plant.burn.always_critical = True
    plant.burn.save()
    assert "always critical" in problems(NEW)[0][2]


@pytest.mark.parametrize(
    ("limit", "column", "words"),
    [
        ("950;A;burn;at most;0.4;;", "Unit", "lacks a unit"),
        ("950;A;burn;at most;;mm;", "Value", "lacks a value"),
        ("950;A;burn;count at most;0.4;mm;", "Count", "lacks a number of marks"),
        ("950;A;burn;none;;;3", "Count", "no use for a number of marks"),
        ("950;A;burn;at most;0;mm;", "Value", "a value: out of range"),
        ("950;A;ghost;none;;;", "Family", "no defect family “ghost”"),
        ("950;A;grease-oil;none;;;", "Family", "does not need the family grease-oil"),
        ("950;Q;burn;none;;;", "Zone", "not among the zones"),
        ("950;A;burn;some;;;", "Measure", "not among the kinds of limit"),
        ("950;A;burn;at most;0.4;inch;", "Unit", "not among the units"),
        ("777;A;burn;none;;;", "Job", "Job 777 does not stand in the jobs sheet"),
        ("950;A;burn;at most;a bit;mm;", "Value", "not a number"),
    ],
)
def test_a_limit_that_cannot_be(
    plant: SimpleNamespace, limit: str, column: str, words: str
) -> None:
    found = problems(NEW, f"{LIMIT}\n{limit}")
    assert [(row, name) for row, name, _message in found] == [(2, column)]
    assert words in found[0][2]


def test_a_limit_has_the_level_of_its_family(plant: SimpleNamespace) -> None:
    found = problems(NEW, "Job;Zone;Family;Measure;Level\n950;A;burn;none;critical")
    assert found == [(2, "Level", "The job needs the family at the level ordinary.")]


def test_two_jobs_of_one_number_and_twins_that_disagree(plant: SimpleNamespace) -> None:
    found = problems(
        "Job;Part;Hand;Twin;Revision;Revision day;Families needed\n"
        "951;Cover;left;952;A;2026-11-02;burn\n952;Cover;left;951;A;2026-11-02;burn\n"
        "953;Cover;left;951;A;2026-11-02;burn\n953;Cover;;;A;2026-11-02;burn"
    )
    assert [(row, column) for row, column, _words in found] == [
        (2, "Twin"),
        (3, "Twin"),
        (4, "Twin"),
        (5, "Job"),
    ]
    assert "same hand" in found[0][2]
    assert "Job 951 has the twin 952." in found[2][2]


def test_relations_are_written_and_compared(plant: SimpleNamespace) -> None:
    Caution.objects.create(code="hot-part", title={"en": "Hot"}, text={"en": "Wait."})
    Press.objects.create(code="P02", clamp_tonnes=90)
    Job.objects.create(number="902", part={"en": "x"}, group=JobGroup.objects.create(code="G91"))
    data = "Job;Cautions;Other presses;May be tended with;Authorisations\n901;hot-part;P02;902;lift, cutter"
    load(data)
    assert [each.code for each in plant.job.cautions.all()] == ["hot-part"]
    assert [each.number for each in plant.job.tended_with.all()] == ["902"]
    plant.job.refresh_from_db()
    assert plant.job.needs_authorisation == ["lift", "cutter"]
    assert check(data).summary() == "0 new, 0 changed, 1 the same"


def test_a_write_that_fails_half_way_leaves_nothing(
    plant: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = check(NEW)

    def fail(**_given: object) -> None:
        raise RuntimeError("power cut")

    monkeypatch.setattr("training.floor.importing.publish_work_instruction", fail)
    with pytest.raises(RuntimeError, match="power cut"):
        write_jobs(plan, by=None, moment=NOON, today=TODAY)
    assert not Job.objects.filter(number="950").exists()
    assert not JobGroup.objects.filter(code="950").exists()


def test_the_command_takes_two_files(
    plant: SimpleNamespace, quality: Person, tmp_path: Path
) -> None:
    jobs, limits = tmp_path / "jobs.csv", tmp_path / "limits.csv"
    jobs.write_bytes(csv_bytes(NEW))
    limits.write_bytes(csv_bytes(f"{LIMIT}\n950;A;burn;at most;0.4;;"))
    err = io.StringIO()
    with pytest.raises(CommandError, match="1 problem"):
        call_command("import_jobs", str(jobs), limits=limits, stderr=err, stdout=io.StringIO())
    assert "limits.csv · row 2 · Unit" in err.getvalue()
    limits.write_bytes(csv_bytes(f"{LIMIT}\n950;A;burn;at most;0.4;mm;"))
    out = io.StringIO()
    call_command("import_jobs", str(jobs), limits=limits, by=quality.personnel_no, stdout=out)
    assert "Written: 1 new, 0 changed, 0 the same." in out.getvalue()
    assert WorkInstruction.objects.get(job__number="950").signed_by == quality
