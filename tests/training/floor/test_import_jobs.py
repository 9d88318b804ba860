"""The page that imports jobs and limits: two files, checked together, confirmed once."""

from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from tests.training.people.sheet_files import csv_bytes
from training.floor.models import Job
from training.people.models import Person

URL = "/jobs/import/"
JOBS = "Job;Part;Press;Revision;Revision day;Families needed\n950;Cap;P01;A;2026-11-02;burn"
SignIn = Callable[[Person], Client]


@pytest.fixture(autouse=True)
def _private_folder(
    settings: SimpleNamespace, tmp_path: Path, plant: SimpleNamespace, clock: None
) -> None:
    settings.DATA_DIR = tmp_path


def upload(name: str, text: str) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, csv_bytes(text), content_type="text/csv")


def test_two_files_are_checked_together_and_confirmed(office: SignIn, quality: Person) -> None:
    client = office(quality)
    limits = "Job;Zone;Family;Measure;Value;Unit\n950;A;burn;at most;0.4;mm"
    checked = client.post(
        URL,
        {"sheet": upload("j.csv", JOBS), "limits": upload("l.csv", limits), "days": "column"},
    )
    assert checked.status_code == 200
    assert "up to 0.4 mm" in checked.content.decode()
    done = client.post(URL, {"token": checked.context["token"]})
    assert "1 new, 0 changed, 0 the same" in done.content.decode()
    sheet = Job.objects.get(number="950").work_instructions.get()
    assert (sheet.lines.count(), sheet.signed_by) == (1, quality)


def test_problems_name_the_file_they_stand_in(office: SignIn, quality: Person) -> None:
    limits = "Job;Zone;Family;Measure;Value\n950;A;burn;at most;0.4"
    answer = office(quality).post(
        URL, {"sheet": upload("j.csv", JOBS), "limits": upload("l.csv", limits), "days": "column"}
    )
    assert answer.status_code == 400
    [problem] = answer.context["problems"]
    assert (problem.sheet, problem.row) == ("l.csv", 2)
    assert "This limit lacks a unit." in answer.content.decode()
    assert not Job.objects.filter(number="950").exists()


def test_each_sheet_has_an_empty_one_to_fill_in(office: SignIn, quality: Person) -> None:
    client = office(quality)
    assert client.get(URL, {"empty": "sheet"}).content.decode("utf-8-sig").startswith("Job,Part,")
    limits = client.get(URL, {"empty": "limits"})
    assert limits.content.decode("utf-8-sig").startswith("Job,Zone,Family,Measure,")
    assert limits["Content-Disposition"] == 'attachment; filename="limits.csv"'
    assert "Empty sheet: Limits" in client.get(URL).content.decode()


def test_others_may_not(
    office: SignIn, floor: SignIn, supervisor: Person, operator: Person, quality: Person
) -> None:
    assert office(supervisor).get(URL).status_code == 403
    assert floor(operator).get(URL).status_code == 403
    assert office(quality).delete(URL).status_code == 405
