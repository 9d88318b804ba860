"""Files of every kind offices send become rows; the others are refused with a remedy."""

import datetime as dt
import zipfile
from io import BytesIO

import pytest

from tests.training.people.sheet_files import csv_bytes, excel_day, workbook
from training.people.sheets import files
from training.people.sheets.files import read_cells
from training.people.sheets.problems import FileError

TEXT = "Nombre;Gafete\r\nMaría Núñez;70101\r\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_accents_survive_every_encoding_of_an_office(encoding: str) -> None:
    assert list(read_cells(TEXT.encode(encoding), "a.csv")) == [
        (1, ("Nombre", "Gafete")),
        (2, ("María Núñez", "70101")),
    ]


@pytest.mark.parametrize("separator", [";", ",", "\t"])
def test_the_separator_is_found(separator: str) -> None:
    data = f'"a, b; c"{separator}d\n1{separator}2\n'.encode()
    assert list(read_cells(data, "a.txt")) == [(1, ("a, b; c", "d")), (2, ("1", "2"))]


def test_a_single_column_needs_no_separator() -> None:
    assert list(read_cells(b"a\n1\n", "a.csv")) == [(1, ("a",)), (2, ("1",))]


def test_the_note_of_a_spreadsheet_about_its_separator_is_row_one() -> None:
    assert list(read_cells(b"sep=;\na;b\n1;2\n", "a.csv")) == [(2, ("a", "b")), (3, ("1", "2"))]


def test_blank_rows_keep_their_numbers() -> None:
    data = b"a;b\n\n;;\n1;2\n"
    assert [number for number, _cells in read_cells(data, "a.csv")] == [1, 4]


def test_line_breaks_inside_a_value_are_one_row() -> None:
    data = b'a;b\n"one\ntwo";x\ny;z\n'
    assert list(read_cells(data, "a.csv"))[1:] == [(2, ("one\ntwo", "x")), (3, ("y", "z"))]


def test_no_break_spaces_and_loose_accents_are_tidied() -> None:
    data = "a\n\u00a0Nu\u0301n\u0303ez\u00a0\n".encode()
    assert list(read_cells(data, "a.csv"))[1] == (2, ("Núñez",))


def test_a_workbook_gives_days_numbers_and_texts() -> None:
    data = workbook(
        {"Hoja1": [["a", "b", "c"], [excel_day(2026, 11, 25), 7, "x"], [], [None, 0.4]]}
    )
    assert list(read_cells(data, "a.xlsx")) == [
        (1, ("a", "b", "c")),
        (2, (dt.date(2026, 11, 25), 7, "x")),
        (4, (None, 0.4)),
    ]


def test_a_sheet_is_found_by_name_and_a_missing_one_is_empty() -> None:
    data = workbook({"Jobs": [["a"]], "Límites": [["b"], ["1"]]})
    assert [cells for _n, cells in read_cells(data, "a.xlsx", ["limits", "limites"])] == [
        ("b",),
        ("1",),
    ]
    assert list(read_cells(data, "a.xlsx", ["presses"])) == []


def refusal(data: bytes, name: str = "a.csv") -> FileError:
    with pytest.raises(FileError) as raised:
        list(read_cells(data, name))
    return raised.value


def test_an_empty_file_is_refused() -> None:
    for data in (b"", b"\r\n\r\n", b"\xef\xbb\xbf  \n"):
        assert str(refusal(data).message) == "The file is empty."


def test_a_text_with_the_name_of_a_spreadsheet_is_refused() -> None:
    assert "has the name of a spreadsheet" in str(refusal(b"a;b\n1;2\n", "people.xlsx").message)


def test_an_old_or_locked_spreadsheet_is_refused() -> None:
    assert "old .xls" in str(refusal(b"\xd0\xcf\x11\xe0" + b"\0" * 500, "people.xlsx").message)


@pytest.mark.parametrize("data", [b"PK\x03\x04 not a zip", None])
def test_a_zip_that_is_no_spreadsheet_is_refused(data: bytes | None) -> None:
    if data is None:
        packed = BytesIO()
        with zipfile.ZipFile(packed, "w") as archive:
            archive.writestr("readme.txt", "hello")
        data = packed.getvalue()
    assert "damaged" in str(refusal(data, "people.xlsx").message)


def test_a_spreadsheet_cut_short_is_refused() -> None:
    data = workbook({"a": [["x"], *[[f"row {n}"] for n in range(500)]]})
    assert "damaged" in str(refusal(data[: len(data) // 2], "a.xlsx").message)


def test_a_spreadsheet_that_unpacks_to_far_too_much_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(files, "MAX_UNPACKED_BYTES", 1000)
    assert "unpacks" in str(refusal(workbook({"a": [["x"]]}), "a.xlsx").message)


def test_bytes_that_are_no_text_are_refused() -> None:
    # 0x81 and 0x9d stand for nothing in Windows-1252 and begin nothing in UTF-8.
    for data in (b"name\n\x81\x9d\n", b"name\n\x00\x01\n"):
        assert "neither a spreadsheet nor text" in str(refusal(data).message)


def test_an_open_quotation_mark_names_its_row() -> None:
    error = refusal(b'a;b\n1;2\n3;"4\n5;6\n')
    assert error.row == 3
    assert "quotation mark" in str(error.message)


def test_too_many_bytes_and_too_many_rows_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "MAX_ROWS", 3)
    error = refusal(b"a\n1\n\n2\n3\n")
    assert (error.row, "more than 3 rows" in str(error.message)) == (5, True)
    monkeypatch.setattr(files, "MAX_BYTES", 10)
    assert "at most 0 MB" in str(refusal(csv_bytes("a;b\n1;2\n3;4")).message)
