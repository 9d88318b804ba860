"""Carrying certificates over from a sheet: every fault named, a changed row a correction."""

import datetime as dt
import io
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from certification.certificates.importing import check_certificates, write_certificates
from certification.certificates.models import Certificate, CertificateEvent
from tests.conftest import NOON, TODAY
from tests.training.people.sheet_files import csv_bytes, excel_day, workbook
from training.people.models import Person
from training.people.record.chain import append, erasable
from training.people.record.verify import verify
from training.people.sheets.days import DayOrder
from training.people.sheets.plan import MAIN, Outcome, SheetFile

HEADER = "Personnel number;Family;Level;Granted;Last day;Paper reference;Vouched for by"


@pytest.fixture(autouse=True)
def _data(settings: SimpleNamespace, tmp_path: Path, plant: SimpleNamespace, clock: None) -> None:
    settings.DATA_DIR = tmp_path


def plan(data: str | bytes, name: str = "paper.csv"):  # type: ignore[no-untyped-def]
    raw = csv_bytes(data) if isinstance(data, str) else data
    files = {MAIN: SheetFile(name, raw)}
    return check_certificates(files, order=DayOrder.BY_COLUMN, by=None, today=TODAY)


def load(data: str | bytes, name: str = "paper.csv") -> Outcome:
    made = plan(data, name)
    assert [str(problem) for problem in made.problems] == []
    return write_certificates(made, by=None, moment=NOON, today=TODAY)


def row(person: Person, vouches: Person, **given: str) -> str:
    cells = {
        "family": "black-specks",
        "level": "ordinary",
        "granted": "2026-02-01",
        "last": "2027-02-01",
        "paper": "binder 5 sheet 3",
        "number": person.personnel_no,
        "voucher": vouches.personnel_no,
        **given,
    }
    keys = ("number", "family", "level", "granted", "last", "paper", "voucher")
    return ";".join(cells[key] for key in keys)


def test_paper_certificates_are_carried_over_and_say_so(operator: Person, quality: Person) -> None:
    outcome = load(
        f"{HEADER}\n{row(operator, quality)}\n"
        f"{row(operator, quality, family='Quemadura', level='crítico', granted='1-feb-2026')}"
    )
    assert outcome.summary == "2 new, 0 changed, 0 the same"
    specks, burn = Certificate.objects.order_by("family__slug")
    assert (specks.basis, specks.paper_ref, specks.voucher) == (
        "carried_over",
        "binder 5 sheet 3",
        quality,
    )
    assert (burn.family.slug, burn.level, burn.granted_day) == (
        "burn",
        "critical",
        dt.date(2026, 2, 1),
    )
    assert verify().breaks == ()


def test_from_a_workbook_in_spanish(operator: Person, quality: Person) -> None:
    rows: list[list[object]] = [
        ["Nómina", "Familia", "Nivel", "Otorgado", "Vence", "Carpeta", "Avala"],
        [
            int(operator.personnel_no),
            "Puntos negros",
            None,
            excel_day(2026, 2, 1),
            excel_day(2027, 2, 1),
            "c5",
            int(quality.personnel_no),
        ],
    ]
    load(workbook({"Hoja1": rows}), "papel.xlsx")
    assert Certificate.objects.get().level == "ordinary"


def test_the_same_sheet_again_changes_nothing(operator: Person, quality: Person) -> None:
    data = f"{HEADER}\n{row(operator, quality)}"
    load(data)
    assert load(data).summary == "0 new, 0 changed, 1 the same"
    assert Certificate.objects.count() == 1


def test_another_last_day_is_a_correction(operator: Person, quality: Person) -> None:
    load(f"{HEADER}\n{row(operator, quality)}")
    outcome = load(f"{HEADER}\n{row(operator, quality, last='2026-12-31')}")
    assert outcome.summary == "0 new, 1 changed, 0 the same"
    first, second = Certificate.objects.order_by("position")
    assert (second.corrects, second.expires_day) == (first, dt.date(2026, 12, 31))
    assert verify().breaks == ()


def test_a_certificate_that_was_suspended_is_not_corrected_by_a_sheet(
    operator: Person, quality: Person
) -> None:
    load(f"{HEADER}\n{row(operator, quality)}")
    event = CertificateEvent(
        certificate=Certificate.objects.get(),
        kind=CertificateEvent.Kind.SUSPENDED,
        day=TODAY,
        reason=erasable("two escapes"),
    )
    append(event, moment=NOON)
    made = plan(f"{HEADER}\n{row(operator, quality, last='2026-12-31')}")
    assert "suspended or restored" in str(made.problems[0].message)


@pytest.mark.parametrize(
    ("given", "column", "words"),
    [
        ({"number": "77"}, "Personnel number", "nobody with the personnel number 77"),
        ({"family": "black speks"}, "Family", "no defect family"),
        ({"level": "high"}, "Level", "not among the levels"),
        ({"granted": "2019-12-31"}, "Granted", "before hiring"),
        ({"granted": "2026-11-26"}, "Granted", "in the future"),
        ({"last": "2026-01-01"}, "Last day", "before the day it was granted"),
        ({"last": "2030-01-01"}, "Last day", "The rule allows 2027-03-03"),
        ({"paper": ""}, "Paper reference", "cell is empty"),
        ({"voucher": "77"}, "Vouched for by", "nobody with the personnel number 77"),
        ({"voucher": "9001"}, "Vouched for by", "their own certificate"),
        ({"granted": "soon"}, "Granted", "not a day"),
    ],
)
def test_a_paper_that_cannot_be_carried_over(
    operator: Person, quality: Person, given: dict[str, str], column: str, words: str
) -> None:
    assert operator.personnel_no == "9001"
    made = plan(f"{HEADER}\n{row(operator, quality, **given)}")
    found = [str(each.message) for each in made.problems if (each.row, each.column) == (2, column)]
    assert any(words in message for message in found), [str(each) for each in made.problems]
    assert all(str(problem.remedy) for problem in made.problems)
    assert not Certificate.objects.exists()


def test_a_misspelt_family_names_the_one_meant(operator: Person, quality: Person) -> None:
    made = plan(f"{HEADER}\n{row(operator, quality, family='black speks')}")
    assert "“black-specks”" in str(made.problems[0].remedy)


def test_the_same_paper_twice_in_the_file(operator: Person, quality: Person) -> None:
    line = row(operator, quality)
    [problem] = plan(f"{HEADER}\n{line}\n{line}").problems
    assert (problem.row, "row 2 already" in str(problem.message)) == (3, True)


def test_checking_more_rows_costs_no_more_queries(
    make_person: Callable[..., Person], quality: Person
) -> None:
    def queries(lines: list[str]) -> int:
        with CaptureQueriesContext(connection) as counted:
            assert plan(f"{HEADER}\n" + "\n".join(lines)).problems == []
        return len(counted)

    lines = [row(make_person(f"Person {number}"), quality) for number in range(15)]
    assert queries(lines[:1]) == queries(lines)


def test_the_page_checks_and_confirms(
    office: Callable[[Person], Client], operator: Person, quality: Person, supervisor: Person
) -> None:
    client = office(quality)
    file = SimpleUploadedFile("p.csv", csv_bytes(f"{HEADER}\n{row(operator, quality)}"))
    checked = client.post("/certificates/import/", {"sheet": file, "days": "column"})
    assert checked.status_code == 200
    client.post("/certificates/import/", {"token": checked.context["token"]})
    assert Certificate.objects.get().recorded_by == quality
    assert office(supervisor).get("/certificates/import/").status_code == 403
    assert client.delete("/certificates/import/").status_code == 405


def test_the_command(operator: Person, quality: Person, tmp_path: Path) -> None:
    path = tmp_path / "p.csv"
    path.write_bytes(csv_bytes(f"{HEADER}\n{row(operator, quality)}"))
    out = io.StringIO()
    call_command("import_certificates", str(path), "--by", quality.personnel_no, stdout=out)
    assert "Written: 1 new, 0 changed, 0 the same." in out.getvalue()
    path.write_bytes(csv_bytes(f"{HEADER}\n{row(operator, quality, number='77')}"))
    with pytest.raises(CommandError, match="1 problem"):
        call_command("import_certificates", str(path), stderr=io.StringIO(), stdout=out)
