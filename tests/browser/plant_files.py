"""The sheets of a second small plant, as an office sends them: people as XLSX, jobs as CSV."""

import datetime as dt
from pathlib import Path

from openpyxl import Workbook

HERE = Path(__file__).parent / "second_plant"
JOBS, LIMITS = HERE / "trabajos.csv", HERE / "limites.csv"
HEADERS = (
    "Nómina", "Nombre completo", "Gafete", "Turno", "Inicio del turno", "Fin del turno", "Idioma", "Fecha de ingreso", "Contrato",
    "Puesto", "Visión cercana", "Próxima visión cercana", "Resultado visión cercana",
    "Curso de seguridad", "Comedor",
)  # fmt: skip
TODAY = dt.datetime.now(dt.UTC).date()
SEEN, DUE = TODAY - dt.timedelta(days=40), TODAY + dt.timedelta(days=325)


def _row(
    number: int, name: str, badge: str, role: str, hired: object, contract: str = "planta"
) -> list:
    return [
        number, name, badge, "Mañana", dt.time(6), "14:00", "es" if role == "operaria" else "inglés", hired, contract,
        role, SEEN.strftime("%d/%m/%Y"), DUE, "cumple con lentes", SEEN.isoformat(), "sí",
    ]  # fmt: skip


def people_rows(*, with_fault: bool) -> list[list]:
    """Twelve people; days in three ways of writing, a blank row, accents, and a badge given twice."""
    nadia = "5012" if not with_fault else "5003"
    return [
        _row(2001, "Íñigo Peñalba", "5001", "supervisora", dt.date(2019, 3, 4)),
        _row(2002, "Zoë Ångström", "5002", "calidad", "12/06/2018"),
        _row(2003, "Ramón Ibáñez Núñez", "5003", "operador", "2020-01-15"),
        _row(2004, "Lucía Cañizares", "5004", "instructora", "15/08/2017"),
        [],
        _row(2005, "José Ángel Müller", "5005", "operador", "01/02/2021", "agencia"),
        _row(2006, "Begoña Etxeberria", "5006", "operaria", dt.date(2022, 9, 12)),
        _row(2007, "Tomás Ávila", "5007", "operador", "30/11/2023"),
        _row(2008, "Chloé Dubois", "5008", "auditora", "07/07/2020"),
        _row(2009, "Paweł Żółtek", "5009", "operador", "18/05/2024", "eventual"),
        _row(2010, "María José Öztürk", "5010", "operaria", "22/10/2024"),
        _row(2011, "Sofía Güell", "5011", "operaria", "13/01/2025"),
        _row(2012, "Nadia Beltrán", nadia, "operaria", TODAY - dt.timedelta(days=3)),
    ]


def write_people(path: Path, *, with_fault: bool = False) -> Path:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(list(HEADERS))
    for row in people_rows(with_fault=with_fault):
        sheet.append(row)
    book.save(path)
    return path


def write_observed_check(path: Path, number: int, job: str) -> Path:
    """A sign-off that was made on paper, carried over in its own sheet."""
    path.write_text(
        "Personnel number;Job;Level;Observed;Observer;Second signer;Trainee signed;"
        "Planted found;Good refused;Paper reference;Last worked\n"
        f"{number};{job};runs alone;{TODAY - dt.timedelta(days=1)};2004;2002;yes;5/5;0/15;"
        f"binder 1 sheet 7;{TODAY - dt.timedelta(days=1)}\n",
        encoding="utf-8",
    )
    return path
