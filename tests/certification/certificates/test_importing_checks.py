"""Carrying observed checks over from a sheet: every fault named, a changed row a correction."""

import datetime as dt
import io
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.test import Client

from certification.certificates.importing_checks import (
    check_observed_checks,
    write_observed_checks,
)
from certification.certificates.models import ObservedCheck
from tests.conftest import NOON, TODAY
from tests.training.people.sheet_files import csv_bytes
from training.floor.models import Job, JobGroup
from training.people.models import Person
from training.people.record.verify import verify
from training.people.sheets.days import DayOrder
from training.people.sheets.plan import MAIN, Outcome, SheetFile

KEYS = (
    "person", "job", "group", "level", "day", "observer", "second", "signed", "planted", "good",
    "paper", "worked",
)  # fmt: skip
HEADER = (
    "Personnel number;Job;Job group;Level;Observed;Observer;Second signer;Trainee signed;"
    "Planted found;Good refused;Paper reference;Last worked"
)


@pytest.fixture(autouse=True)
def _data(settings: SimpleNamespace, tmp_path: Path, plant: SimpleNamespace, clock: None) -> None:
    settings.DATA_DIR = tmp_path


@pytest.fixture
def row(operator: Person, trainer: Person, quality: Person) -> Callable[..., str]:
    def line(**given: str) -> str:
        cells = {
            "person": operator.personnel_no,
            "job": "901",
            "group": "",
            "level": "runs alone",
            "day": "2026-05-04",
            "observer": trainer.personnel_no,
            "second": quality.personnel_no,
            "signed": "yes",
            "planted": "5/5",
            "good": "0/15",
            "paper": "binder 5 check 1",
            "worked": "2026-11-20",
            **given,
        }
        return ";".join(cells[key] for key in KEYS)

    return line


def plan(lines: str):  # type: ignore[no-untyped-def]
    files = {MAIN: SheetFile("checks.csv", csv_bytes(f"{HEADER}\n{lines}"))}
    return check_observed_checks(files, order=DayOrder.BY_COLUMN, by=None, today=TODAY)


def load(lines: str) -> Outcome:
    made = plan(lines)
    assert [str(problem) for problem in made.problems] == []
    return write_observed_checks(made, by=None, moment=NOON, today=TODAY)


def test_a_sign_off_holds_for_the_group_of_its_job(
    row: Callable[..., str], plant: SimpleNamespace, trainer: Person, quality: Person
) -> None:
    load(row())
    check = ObservedCheck.objects.get()
    assert (check.job, check.job_group, check.level) == (plant.job, plant.job.group, "runs_alone")
    assert (check.observer, check.second_signer, check.trainee_signed) == (trainer, quality, True)
    assert (check.planted_found, check.planted_shown) == (5, 5)
    assert (check.good_refused, check.good_shown) == (0, 15)
    assert (check.basis, check.paper_ref) == ("carried_over", "binder 5 check 1")
    assert check.last_worked_before == dt.date(2026, 11, 20)
    assert verify().breaks == ()


def test_a_group_alone_is_enough_and_the_day_observed_counts_as_worked(
    row: Callable[..., str],
) -> None:
    load(row(job="", group="G90", level="puede enseñar", worked="", planted="", good=""))
    check = ObservedCheck.objects.get()
    assert (check.job, check.level) == (None, "can_teach")
    assert check.last_worked_before == check.observed_day == dt.date(2026, 5, 4)


def test_again_the_same_and_changed_a_correction(row: Callable[..., str]) -> None:
    load(row())
    assert load(row()).summary == "0 new, 0 changed, 1 the same"
    assert load(row(level="can teach")).summary == "0 new, 1 changed, 0 the same"
    first, second = ObservedCheck.objects.order_by("position")
    assert (second.corrects, second.level) == (first, "can_teach")
    assert load(row(level="can teach")).summary == "0 new, 0 changed, 1 the same"


@pytest.mark.parametrize(
    ("given", "column", "words"),
    [
        ({"person": "77"}, "Personnel number", "nobody with the personnel number"),
        ({"job": "777"}, "Job", "There is no “777”"),
        ({"group": "G77"}, "Job group", "There is no “G77”"),
        ({"job": "", "group": ""}, "Job", "Neither a job nor a job group"),
        ({"group": "G91"}, "Job group", "belongs to the group G90"),
        ({"level": "expert"}, "Level", "not among the levels"),
        ({"day": "2019-05-04", "worked": ""}, "Observed", "not employed on this day"),
        ({"day": "2026-11-26", "worked": ""}, "Observed", "in the future"),
        ({"worked": "2026-01-01"}, "Last worked", "before the day observed"),
        ({"worked": "2026-12-01"}, "Last worked", "in the future"),
        ({"observer": "9001"}, "Observer", "their own observed check"),
        ({"second": "9002"}, "Second signer", "same person"),
        ({"planted": "6/5"}, "Planted found", "not a number out of a number"),
        ({"good": "none"}, "Good refused", "not a number out of a number"),
        ({"paper": ""}, "Paper reference", "cell is empty"),
    ],
)
def test_a_sign_off_that_cannot_be(
    row: Callable[..., str], operator: Person, trainer: Person, given: dict[str, str],
    column: str, words: str,
) -> None:  # fmt: skip
    assert (operator.personnel_no, trainer.personnel_no) == ("9001", "9002")
    Job.objects.create(number="902", part={"en": "Cap"}, group=JobGroup.objects.create(code="G91"))
    made = plan(row(**given))
    [problem] = made.problems
    assert (problem.row, problem.column) == (2, column)
    assert words in str(problem.message)
    assert str(problem.remedy)
    assert not ObservedCheck.objects.exists()


def test_the_same_check_twice_in_the_file(row: Callable[..., str]) -> None:
    [problem] = plan(f"{row()}\n{row()}").problems
    assert (problem.row, "row 2 already" in str(problem.message)) == (3, True)


def test_the_page_and_the_command(
    row: Callable[..., str],
    office: Callable[[Person], Client],
    quality: Person,
    operator: Person,
    tmp_path: Path,
) -> None:
    client, address = office(quality), "/observed-checks/import/"
    file = SimpleUploadedFile("c.csv", csv_bytes(f"{HEADER}\n{row()}"))
    checked = client.post(address, {"sheet": file, "days": "column"})
    client.post(address, {"token": checked.context["token"]})
    assert ObservedCheck.objects.get().recorded_by == quality
    assert office(operator).get(address).status_code == 403
    assert client.put(address).status_code == 405
    path = tmp_path / "c.csv"
    path.write_bytes(csv_bytes(f"{HEADER}\n{row()}"))
    out = io.StringIO()
    call_command("import_observed_checks", str(path), stdout=out)
    assert "0 new, 0 changed, 1 the same" in out.getvalue()
