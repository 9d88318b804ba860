"""A second small plant starts from nothing but its own files, as a plant really has them."""

import datetime as dt
import io
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from tests.training.people.sheet_files import csv_bytes, excel_day, workbook
from training.floor.models import Job, Press, WorkInstruction
from training.people.models import Crew, Person, Role

TEXTS = [
    "Nómina", "NOMBRE COMPLETO", "No. de gafete", "Turno", "Inicio del turno", "Fin del turno",
    "Idioma", "Fecha de ingreso", "Puesto", "Visión cercana", "Visión cercana vence",
    "Resultado visión cercana", "Curso de seguridad", "Talla de camisa",
]  # fmt: skip
EYES = ("13/02/2026", "13/02/2027", "Cumple")
PEOPLE: list[list[object]] = [
    ["0101", "Ágata Ñíguez Peña", 5101, "M1", "06:00", "14:00", "español",
     excel_day(2019, 3, 4), "calidad, administrador", *EYES, "4-mar-2019", "M"],
    ["0102", "Renée Façade-Ruiz", 5102, "M1", "06:00", "14:00", "Español",
     "25/11/2020", "supervisora", *EYES, "2020-11-26", "S"],
    ["0103", "Björn Łukasz", 5103, "M1", "06:00", "14:00", "inglés",
     "03/02/2021", "operador, instructor", *EYES, "3.2.2021", "L"],
    ["0104", "José  María   Ibáñez", 5104, "M1", "06:00", "14:00", "es",
     excel_day(2022, 5, 30), "operador", *EYES, excel_day(2022, 5, 31), "L"],
    [],
    ["0105", "Iñigo Güemes", 5105, "V1", "14:00", "22:00", "es",
     "17/08/2022", "operador", *EYES, "18 de agosto de 2022", "XL"],
    ["0106", "Zoë Ångström", 5106, "V1", "14:00", "22:00", "English",
     "1-sep-2023", "operadora", "13/02/2026", "13/02/2027", "cumple con lentes", None, "S"],
    ["0107", "Núria Coll", 5107, "V1", "14:00", "22:00", "es",
     "2023-09-04", "operadora", *EYES, None, "M"],
    ["0108", "Óscar Agüero", 5108, "V1", "14:00", "22:00", "es",
     "11/12/2023", "operador", *EYES, None, "M"],
    ["0109", "Dúnia Saïd", 5109, "N1", "22:00", "06:00", "es",
     "08/01/2024", "operadora", *EYES, None, "M"],
    ["0110", "Efraín Núñez", 5109, "N1", "22:00", "06:00", "es",
     "29/01/2024", "operador", *EYES, None, "M"],
    ["0111", "María Ñusta", 5111, "N1", "22:00", "06:00", "es",
     excel_day(2025, 10, 6), "operadora", *EYES, None, "M"],
    ["0112", "Thor Åse", None, "N1", "22:00", "06:00", "en",
     "02/11/2026", None, *EYES, None, "M"],
]  # fmt: skip
JOBS = """
Trabajo;Pieza;Prensa;Toneladas;Molde;Personas;Hoja de trabajo;Fecha de revisión;Familias que pide
7001;Tapón de depósito;I-1;80;M-11;1;A;02/11/2026;Puntos negros, flash, crack:crítico
7002;Asa izquierda;I-2;150;M-12;1;C;25/10/2026;weld-line, flash
7003;Asa derecha;I-2;150;M-13;1;C;25/10/2026;weld-line, flash

7004;Rejilla;I-1;;M-14;1;B;13/09/2026;short-shot, warp
7005;Botón;I-3;60;M-15;2;A;02/11/2026;scuff
"""
LIMITS = """
Trabajo;Zona;Familia;Medida;Valor;Unidad;Cantidad;Rasgo
7001;A;Puntos negros;cantidad máxima;0,3;mm;1;tamaño medio
7001;F;crack;no se acepta;;;;
7002;A;weld-line;hasta;8;mm;;largo visible
7004;F;warp;hasta;0,4;;;luz sobre la placa
"""


@pytest.fixture
def files(db: None, tmp_path: Path, clock: None) -> Path:
    call_command("starter_families", stdout=io.StringIO())
    (tmp_path / "personal.xlsx").write_bytes(workbook({"Hoja1": [TEXTS, *PEOPLE]}))
    (tmp_path / "trabajos.csv").write_bytes(csv_bytes(JOBS, "cp1252"))
    (tmp_path / "limites.csv").write_bytes(csv_bytes(LIMITS, "cp1252"))
    return tmp_path


def run(command: str, path: Path, **options: object) -> str:
    out = io.StringIO()
    call_command(command, str(path), language="es", stdout=out, stderr=out, **options)
    return out.getvalue()


def test_a_plant_of_its_own_starts_from_its_files(files: Path) -> None:
    book = files / "personal.xlsx"
    err = io.StringIO()
    with pytest.raises(CommandError, match="1 problema; no se escribió nada"):
        call_command("import_people", str(book), language="es", stderr=err, stdout=io.StringIO())
    assert err.getvalue().startswith(
        "personal.xlsx · fila 12 · No. de gafete “5109”: Dúnia Saïd (0109), en la fila 11,"
    )
    assert not Person.objects.exists()
    assert not Crew.objects.exists()

    rows = [list(row) for row in PEOPLE]
    rows[10][2] = 5110
    book.write_bytes(workbook({"Hoja1": [TEXTS, *rows]}))
    said = run("import_people", book)
    assert "12 nuevas, 0 cambiadas, 0 iguales" in said
    assert Person.objects.count() == 12
    assert Person.objects.get(personnel_no="0104").name == "José María Ibáñez"
    assert Person.objects.get(personnel_no="0101").roles() == {Role.QUALITY, Role.ADMINISTRATOR}
    assert Person.objects.get(personnel_no="0112").roles() == {Role.OPERATOR}
    assert Person.objects.get(personnel_no="0103").employments.get().from_day == dt.date(2021, 2, 3)
    assert {crew.code: crew.starts.hour for crew in Crew.objects.all()} == {
        "M1": 6,
        "V1": 14,
        "N1": 22,
    }
    assert "0 nuevas, 0 cambiadas, 12 iguales" in run("import_people", book)

    jobs, limits = files / "trabajos.csv", files / "limites.csv"
    with pytest.raises(CommandError, match="1 problema"):
        run("import_jobs", jobs, limits=limits)
    limits.write_bytes(csv_bytes(LIMITS.replace("0,4;;", "0,4;mm por 200 mm;"), "cp1252"))
    assert "5 nuevas" in run("import_jobs", jobs, limits=limits, by="0101")
    assert {press.code for press in Press.objects.all()} == {"I-1", "I-2", "I-3"}
    sheet = WorkInstruction.objects.get(job__number="7001")
    assert sheet.needs == {"black-specks": "ordinary", "flash": "ordinary", "crack": "critical"}
    assert [line.measure["level"] for line in sheet.lines.all()] == ["ordinary", "critical"]
    assert Job.objects.get(number="7001").part == {"es": "Tapón de depósito"}


def test_the_sheet_of_an_imported_job_is_read_at_the_bench(files: Path) -> None:
    rows = [row for row in PEOPLE if row and row[0] != "0110"]
    (files / "personal.xlsx").write_bytes(workbook({"Hoja1": [TEXTS, *rows]}))
    (files / "limites.csv").write_bytes(
        csv_bytes(LIMITS.replace("0,4;;", "0,4;mm por 200 mm;"), "cp1252")
    )
    run("import_people", files / "personal.xlsx")
    run("import_jobs", files / "trabajos.csv", limits=files / "limites.csv")
    client = Client()
    client.force_login(
        Person.objects.get(personnel_no="0101"), backend="training.people.backends.OfficeBackend"
    )
    client.cookies["django_language"] = "es"
    page = client.get("/jobs/7001/").content.decode()
    for words in ("Tapón de depósito", "máximo 1 de hasta 0.3 mm: tamaño medio", "Grieta"):
        assert words in page, words
