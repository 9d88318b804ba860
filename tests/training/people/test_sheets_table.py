"""A sheet becomes a table: headers in two languages, values, and every problem with its remedy."""

import datetime as dt

import pytest
from django.utils.translation import override

from tests.training.people.sheet_files import csv_bytes, excel_day, workbook
from training.people.sheets import values
from training.people.sheets.days import DayOrder
from training.people.sheets.problems import Problem
from training.people.sheets.table import Column, Table, read_table

COLUMNS = (
    Column(
        "number", ("Number", "No"), ("Número",), values.number_text(8), needed=True, filled=True
    ),
    Column("name", ("Name",), ("Nombre completo",), values.text(20)),
    Column("hired", ("Hire day",), ("Fecha de alta",), values.day),
    Column("left", ("Leave day",), ("Fecha de baja",), values.day),
    Column("size", ("Size",), ("Tamaño",), values.measured),
    Column("many", ("Many",), ("Cuántos",), values.whole(1, 9)),
    Column("yes", ("Yes",), ("Sí",), values.yes_no),
    Column(
        "roles",
        ("Roles",),
        ("Funciones",),
        values.several(values.choice({"a": "a", "á la b": "b"}, of="letters", known="a, b")),
    ),
    Column("at", ("At",), ("A las",), values.time_of_day),
)


def read(data: bytes | str, *, name: str = "a.csv", order: DayOrder = DayOrder.BY_COLUMN) -> Table:
    raw = csv_bytes(data) if isinstance(data, str) else data
    return read_table(raw, file_name=name, columns=COLUMNS, order=order)


def only(table: Table) -> Problem:
    assert len(table.problems) == 1, [str(problem) for problem in table.problems]
    return table.problems[0]


@pytest.mark.parametrize(
    "header", ["NUMERO;nombre  COMPLETO", "número;Nombre_Completo", "No.;name"]
)
def test_headers_are_known_without_case_accents_and_signs(header: str) -> None:
    table = read(f"{header}\n1;Ana")
    assert table.problems == []
    assert table.rows[0].values == {"number": "1", "name": "Ana"}


def test_values_of_every_kind() -> None:
    table = read(
        """Number;Name;Hire day;Size;Many;Yes;Roles;At
        0042;  Ana   López ;25.11.2026;0,40;3;sí;a, A la B;22:00"""
    )
    assert table.problems == []
    assert table.rows[0].values == {
        "number": "0042",
        "name": "Ana López",
        "hired": dt.date(2026, 11, 25),
        "size": "0.4",
        "many": 3,
        "yes": True,
        "roles": ("a", "b"),
        "at": dt.time(22),
    }


@pytest.mark.parametrize(
    ("written", "read_as"), [("-0,1", "-0.1"), ("−0.10", "-0.1"), ("40", "40"), ("1 000", "1000")]
)
def test_measured_numbers_are_plain_decimals(written: str, read_as: str) -> None:
    assert read(f"Number;Size\n1;{written}").rows[0].values["size"] == read_as


def test_a_workbook_row_has_the_same_values() -> None:
    rows: list[list[object]] = [
        ["Number", "Hire day", "Size", "Many", "Yes", "At"],
        [42, excel_day(2026, 11, 25), 0.4, 3.0, True, dt.time(22)],
    ]
    table = read(workbook({"Sheet": rows}), name="a.xlsx")
    assert table.problems == []
    assert table.rows[0].values == {
        "number": "42",
        "hired": dt.date(2026, 11, 25),
        "size": "0.4",
        "many": 3,
        "yes": True,
        "at": dt.time(22),
    }


@pytest.mark.parametrize(
    ("column", "value", "words"),
    [
        ("Name", "x" * 21, "21 characters"),
        ("Name", "MarÃ­a", "wrong encoding"),
        ("Name", "#N/A", "error of a formula"),
        ("Hire day", "31.02.2026", "not a day"),
        ("Hire day", "2026-11-25 13:00", "not a day"),
        ("Hire day", "1-ene-1492", "1492 cannot be meant"),
        ("Size", "0.4 mm", "not a number"),
        ("Size", "1.000,5", "not a number"),
        ("Many", "2.5", "whole number from 1 to 9"),
        ("Many", "10", "whole number from 1 to 9"),
        ("Yes", "maybe", "neither yes nor no"),
        ("Roles", "a, z", "not among the letters"),
        ("At", "25:00", "not a time of day"),
    ],
)
def test_what_a_cell_cannot_hold_is_a_problem(column: str, value: str, words: str) -> None:
    table = read(f"Number;{column}\n1;{value}")
    problem = only(table)
    assert (problem.row, problem.column, problem.value) == (2, column, value)
    assert words in str(problem.message)
    assert str(problem.remedy)


@pytest.mark.parametrize("value", ["70 101", "7.01E+04", excel_day(2026, 11, 25)])
def test_a_number_that_names_something_is_kept_as_written(value: object) -> None:
    table = read(workbook({"a": [["Number", "Name"], [value, "Ana"]]}), name="a.xlsx")
    assert "Format the column as text" in str(only(table).remedy)


def test_an_empty_cell_where_every_row_needs_a_value() -> None:
    problem = only(read("Number;Name\n1;Ana\n;Bo"))
    assert (problem.row, problem.column) == (3, "Number")


def test_a_missing_column_names_the_one_that_looks_like_it() -> None:
    problem = only(read("Numbr;Name\n1;Ana"))
    assert "“Number / Número” is missing" in str(problem.message)
    assert "“Numbr”" in str(problem.remedy)
    assert "Add it" in str(only(read("Name\nAna")).remedy)


def test_a_column_that_stands_twice_is_refused() -> None:
    problem = only(read("Number;No\n1;2"))
    assert (problem.row, problem.column) == (1, "No")
    assert "stands twice" in str(problem.message)


def test_columns_nobody_asked_for_are_left_aside_and_named() -> None:
    table = read("Number;Shoe size\n1;44")
    assert (table.problems, table.unused) == ([], ["Shoe size"])


def test_a_header_alone_is_not_enough() -> None:
    assert "nothing below it" in str(only(read("Number;Name")).message)


def test_a_row_that_slipped_by_a_separator_is_found() -> None:
    problem = only(read("Number;Name\n1;López; Ana"))
    assert (problem.row, problem.value) == (2, "Ana")
    assert "quotation marks" in str(problem.remedy)


def test_an_open_order_of_days_is_one_problem_that_names_the_remedy() -> None:
    problem = only(read("Number;Hire day\n1;04/04/2026\n2;03/04/2026\n3;05/06/2026"))
    assert (problem.row, problem.column, problem.value) == (3, "Hire day", "03/04/2026")
    assert "choose the order" in str(problem.remedy)


def test_each_column_tells_its_own_order() -> None:
    table = read("Number;Hire day;Leave day\n1;25/11/2020;11/25/2026\n2;03/04/2021;03/04/2026")
    assert table.problems == []
    assert table.rows[1].values["hired"] == dt.date(2021, 4, 3)
    assert table.rows[1].values["left"] == dt.date(2026, 3, 4)


def test_a_chosen_order_decides_and_is_checked() -> None:
    data = "Number;Hire day\n1;03/04/2026\n2;25/11/2026"
    first = read(data, order=DayOrder.DAY_FIRST)
    assert [row.values["hired"] for row in first.rows] == [
        dt.date(2026, 4, 3),
        dt.date(2026, 11, 25),
    ]
    other = read(data, order=DayOrder.MONTH_FIRST)
    problem = only(other)
    assert (problem.row, problem.value) == (3, "25/11/2026")


def test_a_column_with_both_orders_is_refused() -> None:
    problem = only(read("Number;Hire day\n1;25/11/2026\n2;11/25/2026"))
    assert "Some days" in str(problem.message)


def test_the_error_in_row_49_999_is_listed_like_the_one_in_row_2() -> None:
    rows = [f"{n};Ana;2020-01-0{n % 9 + 1}" for n in range(1, 50_001)]
    rows[0], rows[49_997] = "1;Ana;32.01.2020", "49998;Ana;32.01.2020"
    table = read(("Number;Name;Hire day\n" + "\n".join(rows)).encode())
    assert len(table.rows) == 50_000
    first, last = table.problems
    assert (first.row, last.row) == (2, 49_999)
    assert (first.column, first.value) == (last.column, last.value)
    assert (str(first.message), str(first.remedy)) == (str(last.message), str(last.remedy))


def test_every_problem_reads_in_both_languages_after_it_was_found() -> None:
    problem = only(read("Number;Many\n1;10"))
    english = str(problem)
    with override("es"):
        spanish = str(problem)
    assert english.startswith("a.csv · row 2 · Many “10”: Not a whole number from 1 to 9.")
    assert spanish != english
    assert "fila 2" in spanish


def test_a_file_that_breaks_off_keeps_the_problems_before_it() -> None:
    table = read(b'Number;Hire day\n1;03/04/2026\n2;"x\n')
    assert [problem.row for problem in table.problems] == [3, 2]
    assert table.rows[0].values["hired"] is None
