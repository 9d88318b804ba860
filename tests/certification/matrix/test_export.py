"""The matrix as a sheet."""

import csv
import io
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client
from openpyxl import load_workbook

from training.people.models import Person, Role

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
URL = "/matrix/export/"


def test_xlsx_holds_people_jobs_and_sentences(
    office: Callable[[Person], Client],
    supervisor: Person,
    operator: Person,
    qualify: Callable[..., None],
) -> None:
    qualify(operator)
    response = office(supervisor).get(URL)
    sheet = load_workbook(io.BytesIO(response.content)).active
    rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
    assert rows[1][:4] == ["Number", "Name", "Crew", "901"]
    assert rows[3] == [operator.personnel_no, "Otto Operator", "D", "runs alone", None][:4] + [
        None
    ] * (len(rows[3]) - 4)


def test_csv_opens_with_accents(
    office: Callable[[Person], Client], supervisor: Person, operator: Person, plant: SimpleNamespace
) -> None:
    response = office(supervisor).get(URL, {"form": "csv"})
    text = response.content.decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(text)))
    assert response.content.startswith(b"\xef\xbb\xbf")
    assert rows[3][1] == "Otto Operator"
    assert "attachment" in response.headers["Content-Disposition"]


def test_a_name_that_looks_like_a_formula_is_disarmed(
    office: Callable[[Person], Client],
    supervisor: Person,
    make_person: Callable[..., Person],
    plant: SimpleNamespace,
) -> None:
    make_person("=1+1", Role.OPERATOR)
    text = office(supervisor).get(URL, {"form": "csv"}).content.decode("utf-8-sig")
    assert "'=1+1" in text


def test_operators_may_not(office: Callable[[Person], Client], operator: Person) -> None:
    assert office(operator).get(URL).status_code == 403


def test_other_methods_are_refused(office: Callable[[Person], Client], supervisor: Person) -> None:
    assert office(supervisor).post(URL).status_code == 405
