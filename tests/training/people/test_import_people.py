"""The page and the command that import people: check, confirm once, problems with remedies."""

import datetime as dt
import io
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.test import Client

from tests.conftest import NOON
from tests.training.people.sheet_files import csv_bytes
from training.people.models import Badge, Crew, Person

URL = "/people/import/"
GOOD = "Personnel number;Name;Badge;Hire day;Roles\n1001;Ana López;70101;2020-11-25;operator"
BAD = f"{GOOD}\n1002;Bo;70101;2030-01-01;boss"

SignIn = Callable[[Person], Client]


@pytest.fixture(autouse=True)
def _private_folder(settings: SimpleNamespace, tmp_path: Path, clock: None) -> None:
    settings.DATA_DIR = tmp_path


def send(client: Client, text: str | bytes, name: str = "people.csv", **more: str) -> Any:
    data = csv_bytes(text) if isinstance(text, str) else text
    file = SimpleUploadedFile(name, data, content_type="text/csv")
    return client.post(URL, {"sheet": file, "days": "column", **more})


def token_of(answer: Any) -> str:
    return str(answer.context["token"])


def test_the_page_explains_its_columns(office: SignIn, quality: Person) -> None:
    page = office(quality).get(URL).content.decode()
    assert "Número de personal" in page
    assert 'enctype="multipart/form-data"' in page


def test_others_may_not(office: SignIn, trainer: Person, supervisor: Person) -> None:
    for person in (trainer, supervisor):
        assert office(person).get(URL).status_code == 403
        assert send(office(person), GOOD).status_code == 403
    assert not Person.objects.filter(personnel_no="1001").exists()


def test_the_wrong_method(office: SignIn, quality: Person) -> None:
    assert office(quality).put(URL).status_code == 405


def test_check_then_confirm_writes_once_and_shows_pins_once(
    office: SignIn, quality: Person, tmp_path: Path
) -> None:
    client = office(quality)
    checked = send(client, GOOD)
    assert checked.status_code == 200
    assert "1 new, 0 changed, 0 the same" in checked.content.decode()
    assert not Person.objects.filter(personnel_no="1001").exists()
    token = token_of(checked)
    done = client.post(URL, {"token": token})
    assert done.status_code == 200
    pin = done.context["outcome"].pins[0].pin
    assert pin in done.content.decode()
    assert "no-store" in done["Cache-Control"]
    assert Person.objects.get(personnel_no="1001").name == "Ana López"
    assert list((tmp_path / "imports").iterdir()) == []
    again = client.post(URL, {"token": token}, follow=True)
    assert again.redirect_chain == [(URL, 302)]
    assert "over or was written already" in again.content.decode()


def test_nothing_to_write_has_nothing_to_confirm(office: SignIn, quality: Person) -> None:
    client = office(quality)
    client.post(URL, {"token": token_of(send(client, GOOD))})
    again = send(client, GOOD).content.decode()
    assert "Every row stands here already." in again
    assert 'name="token"' not in again


def test_problems_are_listed_and_nothing_can_be_confirmed(office: SignIn, quality: Person) -> None:
    client = office(quality)
    answer = send(client, BAD)
    page = answer.content.decode()
    assert answer.status_code == 400
    assert [problem.row for problem in answer.context["problems"]] == [3, 3, 3]
    assert "lies in the future" in page
    assert "in row 2, holds this badge" in page
    assert 'name="token"' not in page
    token = token_of(answer)
    client.post(URL, {"token": token})
    assert not Person.objects.filter(personnel_no="1001").exists()
    found = client.get(URL, {"problems": token})
    lines = found.content.decode("utf-8-sig").splitlines()
    assert lines[0] == "file,row,column,value,what is wrong,what to do"
    assert len(lines) == 4
    assert found["Content-Disposition"] == 'attachment; filename="people-problems.csv"'


def test_a_list_of_problems_cannot_carry_a_formula(office: SignIn, quality: Person) -> None:
    client = office(quality)
    answer = send(client, "Personnel number;Name;Hire day\n1;Ana;=HYPERLINK(1)")
    found = client.get(URL, {"problems": token_of(answer)})
    assert ",'=HYPERLINK(1)," in found.content.decode()


def test_a_long_list_shows_its_head_and_gives_the_rest_as_a_file(
    office: SignIn, quality: Person
) -> None:
    client = office(quality)
    rows = "\n".join(f"{number};Ana;never" for number in range(700))
    answer = send(client, f"Personnel number;Name;Hire day\n{rows}")
    assert len(answer.context["problems"]) == 500
    assert "200 more in the list." in answer.content.decode()
    found = client.get(URL, {"problems": token_of(answer)})
    assert len(found.content.splitlines()) == 701


@pytest.mark.parametrize(
    ("data", "name", "words"),
    [
        (b"", "people.csv", "The file is empty."),
        (csv_bytes(GOOD), "people.xlsx", "has the name of a spreadsheet but is none"),
        (b"Name\n\x81\x9d\n", "people.csv", "neither a spreadsheet nor text"),
        (csv_bytes("Name;Hire day\nAna;2020-11-25"), "people.csv", "Personnel number"),
        (csv_bytes("Personnel number;Name;Hire day"), "people.csv", "nothing below it"),
    ],
)
def test_a_file_that_cannot_be_used(
    office: SignIn, quality: Person, data: bytes, name: str, words: str
) -> None:
    answer = send(office(quality), data, name)
    assert answer.status_code == 400
    assert words in answer.content.decode()


def test_no_file_at_all(office: SignIn, quality: Person) -> None:
    answer = office(quality).post(URL, {"days": "column"})
    assert answer.status_code == 400
    assert "To put right before this can be saved" in answer.content.decode()


def test_a_file_that_is_too_large(
    office: SignIn, quality: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("training.people.import_forms.MAX_BYTES", 10)
    answer = send(office(quality), GOOD)
    assert answer.status_code == 400
    assert "more than 0 MB" in answer.content.decode()


def test_the_order_of_days_is_chosen_beside_the_file(office: SignIn, quality: Person) -> None:
    data = "Personnel number;Name;Hire day\n1001;Ana;03/04/2020"
    client = office(quality)
    assert send(client, data).status_code == 400
    client.post(URL, {"token": token_of(send(client, data, days="month_first"))})
    stay = Person.objects.get(personnel_no="1001").employments.get()
    assert stay.from_day == dt.date(2020, 3, 4)


def test_a_check_belongs_to_who_made_it_and_ends(
    office: SignIn, quality: Person, administrator: Person
) -> None:
    token = token_of(send(office(quality), GOOD))
    office(administrator).post(URL, {"token": token})
    with time_machine.travel(NOON + dt.timedelta(minutes=61), tick=False):
        office(quality).post(URL, {"token": token})
    office(quality).post(URL, {"token": "../../../etc/passwd"})
    assert not Person.objects.filter(personnel_no="1001").exists()


def test_the_register_may_change_between_check_and_confirmation(
    office: SignIn, quality: Person, operator: Person
) -> None:
    client = office(quality)
    token = token_of(send(client, GOOD))
    Badge.objects.filter(person=operator).update(number="70101")
    answer = client.post(URL, {"token": token})
    assert answer.status_code == 400
    assert "in the register, holds this badge" in answer.content.decode()
    assert not Person.objects.filter(personnel_no="1001").exists()


def test_an_empty_sheet_to_fill_in(office: SignIn, quality: Person) -> None:
    client = office(quality)
    english = client.get(URL, {"empty": "sheet"}).content.decode("utf-8-sig")
    assert english.startswith("Personnel number,Name,Badge,")
    client.cookies["django_language"] = "es"
    spanish = client.get(URL, {"empty": "sheet"}).content.decode("utf-8-sig")
    assert spanish.startswith("Número de personal;Nombre;Gafete;")


# ---------------------------------------------------------------- the command


def run(path: Path, *more: str) -> tuple[str, str]:
    out, err = io.StringIO(), io.StringIO()
    call_command("import_people", str(path), *more, stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


def test_the_command_writes_and_prints_pins_once(db: None, tmp_path: Path) -> None:
    path = tmp_path / "people.csv"
    path.write_bytes(csv_bytes(GOOD))
    out, _err = run(path, "--dry-run")
    assert "1 new, 0 changed, 0 the same" in out
    assert not Person.objects.exists()
    out, _err = run(path)
    assert "Initial PINs" in out
    assert "1001  70101  Ana López  " in out
    assert "Nothing was written." in run(path)[0]


def test_the_command_lists_every_problem_in_spanish(
    crew: Crew, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "people.csv"
    path.write_bytes(csv_bytes(BAD))
    err = io.StringIO()
    with pytest.raises(CommandError, match="3 problemas"):
        call_command("import_people", str(path), "--language", "es", stderr=err)
    assert len(err.getvalue().splitlines()) == 3
    assert "people.csv · fila 3 · Hire day" in err.getvalue()
    assert not Person.objects.exists()


def test_the_command_says_what_it_cannot_read_and_whom_it_does_not_know(
    db: None, tmp_path: Path
) -> None:
    with pytest.raises(CommandError, match="cannot be read"):
        run(tmp_path / "nothing.csv")
    path = tmp_path / "people.csv"
    path.write_bytes(csv_bytes(GOOD))
    with pytest.raises(CommandError, match="nobody with the personnel number 77"):
        run(path, "--by", "77")
