"""Importing people: what a sheet would change, and that it writes all of it or nothing."""

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.conftest import NOON, TODAY
from tests.training.people.sheet_files import csv_bytes, excel_day, workbook
from training.people import pins
from training.people.importing import check_people, write_people
from training.people.models import (
    Authorisation,
    Badge,
    Crew,
    Employment,
    Person,
    Role,
    VisionCheck,
)
from training.people.record.verify import verify
from training.people.sheets.days import DayOrder
from training.people.sheets.plan import MAIN, NotCleanError, Outcome, Plan, SheetFile

HEADER = "Personnel number;Name;Badge;Badge from;Badge to;Crew;Hire day;Leave day;Roles"


def check(data: str | bytes, *, by: Person | None = None, name: str = "people.csv") -> Plan[Any]:
    raw = csv_bytes(data) if isinstance(data, str) else data
    return check_people({MAIN: SheetFile(name, raw)}, order=DayOrder.BY_COLUMN, by=by, today=TODAY)


def load(data: str | bytes, *, by: Person | None = None, name: str = "people.csv") -> Outcome:
    plan = check(data, by=by, name=name)
    assert plan.problems == [], [str(problem) for problem in plan.problems]
    return write_people(plan, by=by, moment=NOON, today=TODAY)


def problems(data: str, *, by: Person | None = None) -> list[tuple[int | None, str, str]]:
    """Return row, column and words of every problem; nothing may have been written."""
    before = Person.objects.count()
    plan = check(data, by=by)
    with pytest.raises(NotCleanError):
        write_people(plan, by=by, moment=NOON, today=TODAY)
    assert Person.objects.count() == before
    assert all(str(problem.remedy) for problem in plan.problems)
    return [(each.row, each.column, str(each.message)) for each in plan.problems]


def test_a_full_row_becomes_a_person(crew: Crew, quality: Person) -> None:
    outcome = load(
        "Número de personal;Nombre;Gafete;Turno;Idioma;Idiomas que lee;Fecha de alta;Contrato;"
        "Funciones;Visión cercana;Visión cercana vence;Resultado visión cercana;"
        "Visión de colores;Resultado visión de colores;Curso de seguridad;Pinza de corte;Carpeta\n"
        "1001;María Núñez;70101;Mañana;español;español, inglés;25/11/2020;agencia;"
        "operadora, instructora;13/02/2026;13/02/2027;cumple con lentes;"
        "1-dic-2020;no juzga color;26.11.2020;2021-01-09;carpeta 5",
        by=quality,
    )
    person = Person.objects.get(personnel_no="1001")
    assert (person.name, person.crew, person.ui_language) == ("María Núñez", crew, "es")
    assert (person.languages, person.agency) == (["es", "en"], True)
    assert person.roles() == {Role.OPERATOR, Role.TRAINER}
    assert not person.has_usable_password()
    stay = person.employments.get()
    assert (stay.from_day, stay.to_day, stay.contract) == (dt.date(2020, 11, 25), None, "agency")
    badge = person.badges.get()
    assert (badge.number, badge.from_day, badge.to_day) == ("70101", stay.from_day, None)
    checks = {each.kind: each for each in person.vision_checks.all()}
    assert checks["near"].due_day == dt.date(2027, 2, 13)
    assert checks["near"].result.text == "meets_with_glasses"
    assert checks["colour"].result.text == "does_not_judge_colour"
    assert {(each.kind, each.day, each.paper_ref) for each in person.authorisations.all()} == {
        ("site_safety", dt.date(2020, 11, 26), "carpeta 5"),
        ("cutter", dt.date(2021, 1, 9), "carpeta 5"),
    }
    assert {each.recorded_by for each in checks.values()} == {quality}
    assert verify().breaks == ()
    pin = outcome.pins[0]
    assert (pin.personnel_no, pin.badge, len(pin.pin)) == ("1001", "70101", 6)
    assert pins.matches(pin.pin, person.pin)
    assert person.pin_is_initial


def test_a_workbook_with_excel_days(crew: Crew) -> None:
    rows: list[list[object]] = [
        ["Name", "Personnel number", "Hire day", "Badge"],
        ["Ana", 1001, excel_day(2020, 11, 25), 70101.0],
        [],
        ["José", "0007", excel_day(2021, 3, 1), None],
    ]
    outcome = load(workbook({"People": rows}), name="people.xlsx")
    assert outcome.summary == "2 new, 0 changed, 0 the same"
    ana = Person.objects.get(personnel_no="1001")
    assert ana.badges.get().number == "70101"
    assert ana.roles() == {Role.OPERATOR}
    assert Person.objects.get(personnel_no="0007").employments.get().from_day.year == 2021


def test_the_same_sheet_again_changes_nothing(crew: Crew) -> None:
    data = (
        f"{HEADER};Near vision day;Near vision due;Near vision result;Lifting boxes\n"
        "1001;Ana;70101;;;D;2020-11-25;;operator;2026-02-13;2027-02-13;meets;2021-01-09\n"
        "1002;Bo;70102;;;D;2020-11-25;;trainer;;;;"
    )
    load(data)
    plan = check(data)
    assert plan.summary() == "0 new, 0 changed, 2 the same"
    outcome = write_people(plan, by=None, moment=NOON, today=TODAY)
    assert outcome.pins == ()
    assert (VisionCheck.objects.count(), Authorisation.objects.count()) == (1, 1)
    assert (Badge.objects.count(), Employment.objects.count()) == (2, 2)


def test_new_changed_and_same_are_counted_and_said(crew: Crew) -> None:
    load(
        f"{HEADER}\n1001;Ana;70101;;;D;2020-11-25;;operator\n1002;Bo;70102;;;D;2020-11-25;;operator"
    )
    plan = check(
        f"{HEADER}\n1001;Ana María;70101;;;D;2020-11-25;;operator,trainer\n"
        "1002;Bo;70102;;;D;2020-11-25;;operator\n1003;Cy;;;;D;2026-11-25;;"
    )
    assert plan.summary() == "1 new, 1 changed, 1 the same"
    details = [(str(each.label), each.before, each.after) for each in plan.changes[0].details]
    assert details == [
        ("Name", "Ana", "Ana María"),
        ("Roles", "operator", "operator, trainer"),
    ]


def test_an_empty_cell_leaves_what_is_there(crew: Crew) -> None:
    load(f"{HEADER};Note\n1001;Ana;70101;;;D;2020-11-25;;trainer;left-handed")
    plan = check("Personnel number;Name;Hire day;Crew;Roles;Note\n1001;Ana;2020-11-25;;;")
    assert plan.summary() == "0 new, 0 changed, 1 the same"


def test_another_badge_ends_the_one_before(crew: Crew) -> None:
    load(f"{HEADER}\n1001;Ana;70101;;;D;2020-11-25;;")
    load(f"{HEADER}\n1001;Ana;70177;2026-11-20;;D;2020-11-25;;")
    badges = Badge.objects.order_by("from_day").values_list("number", "from_day", "to_day")
    assert list(badges) == [
        ("70101", dt.date(2020, 11, 25), dt.date(2026, 11, 19)),
        ("70177", dt.date(2026, 11, 20), None),
    ]


def test_a_leave_day_ends_stay_and_badge_and_frees_the_number(crew: Crew) -> None:
    load(f"{HEADER}\n1001;Ana;70101;;;D;2020-11-25;;")
    load(
        f"{HEADER}\n1002;Bo;70101;2026-11-20;;D;2026-11-20;;\n1001;Ana;;;;D;2020-11-25;2026-11-19;"
    )
    ana = Person.objects.get(personnel_no="1001")
    assert ana.employments.get().to_day == dt.date(2026, 11, 19)
    assert ana.badges.get().to_day == dt.date(2026, 11, 19)
    assert Person.objects.get(personnel_no="1002").badges.get().number == "70101"


def test_somebody_who_returns_gets_a_second_stay(crew: Crew) -> None:
    load(f"{HEADER}\n1001;Ana;70101;;;D;2020-11-25;2024-01-31;")
    load(f"{HEADER}\n1001;Ana;70155;;;D;2026-11-02;;")
    stays = Employment.objects.order_by("from_day").values_list("from_day", "to_day")
    assert list(stays) == [
        (dt.date(2020, 11, 25), dt.date(2024, 1, 31)),
        (dt.date(2026, 11, 2), None),
    ]
    assert Badge.objects.get(number="70155").from_day == dt.date(2026, 11, 2)


def test_an_eye_check_of_a_known_day_with_another_result_is_a_correction(crew: Crew) -> None:
    head = "Personnel number;Name;Hire day;Near vision day;Near vision due;Near vision result"
    load(f"{head}\n1001;Ana;2020-11-25;2026-02-13;2027-02-13;meets")
    load(f"{head}\n1001;Ana;2020-11-25;2026-02-13;2027-02-13;meets with glasses")
    first, second = VisionCheck.objects.order_by("position")
    assert second.corrects == first
    assert second.result.text == "meets_with_glasses"
    again = check(f"{head}\n1001;Ana;2020-11-25;2026-02-13;2027-02-13;meets with glasses")
    assert again.summary() == "0 new, 0 changed, 1 the same"


def test_a_new_crew_comes_with_its_hours(db: None) -> None:
    load(
        "Personnel number;Name;Hire day;Crew;Shift starts;Shift ends\n1;Ana;2020-11-25;N;22:00;06:00"
    )
    crew = Crew.objects.get(code="N")
    assert (crew.starts, crew.ends) == (dt.time(22), dt.time(6))
    assert Person.objects.get().crew == crew


def test_a_badge_twice_in_the_file_names_both_rows(crew: Crew) -> None:
    found = problems(
        f"{HEADER}\n1001;Ana;70101;;;D;2020-11-25;;\n1002;Bo;70102;;;D;2020-11-25;;\n"
        "1003;Cy;70101;;;D;2022-01-10;;"
    )
    assert found == [(4, "Badge", "Ana (1001), in row 2, holds this badge from 2020-11-25 on.")]


def test_a_personnel_number_twice_hides_no_badge_twice(crew: Crew) -> None:
    found = problems(
        f"{HEADER}\n1001;Ana;70101;;;D;2020-11-25;;\n1002;Bo;70101;;;D;2020-11-25;;\n"
        "1001;Ana;70109;;;D;2020-11-25;;"
    )
    assert [(row, column) for row, column, _words in found] == [
        (3, "Badge"),
        (4, "Personnel number"),
    ]


def test_a_badge_twice_on_different_days_is_fine(crew: Crew) -> None:
    outcome = load(
        f"{HEADER}\n1001;Ana;70101;;2021-12-31;D;2020-11-25;;\n1003;Cy;70101;;;D;2022-01-01;;"
    )
    assert outcome.summary == "2 new, 0 changed, 0 the same"


def test_a_badge_that_somebody_at_the_plant_holds(operator: Person) -> None:
    number = operator.badges.get().number
    found = problems(f"{HEADER}\n1001;Ana;{number};;;;2020-11-25;;")
    assert found == [
        (
            2,
            "Badge",
            f"{operator.name} (9001), in the register, holds this badge from 2020-01-01 on.",
        )
    ]


def test_a_badge_from_before_the_present_one(crew: Crew) -> None:
    load(f"{HEADER}\n1001;Ana;70101;2026-11-01;;D;2020-11-25;;")
    [(row, column, words)] = problems(f"{HEADER}\n1001;Ana;70102;2026-10-01;;D;2020-11-25;;")
    assert (row, column) == (2, "Badge")
    assert words == "The present badge 70101 began on 2026-11-01, not before this one."


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        ("1001;Ana;;;;D;2026-11-26;;", "Hire day", "lies in the future"),
        ("1001;Ana;;;;D;2020-11-25;2020-01-01;", "Leave day", "before the hire day"),
        ("1001;Ana;70101;2020-11-25;2020-01-01;D;2020-11-25;;", "Badge to", "end before it begins"),
        ("1001;Ana;;;;Z;2020-11-25;;", "Crew", "no such crew"),
        ("1001;Ana;;;;D;2020-11-25;;boss", "Roles", "not among the roles"),
        ("1001;;;;;D;2020-11-25;;", "Name", "cell is empty"),
        ("1001;Ana;;;;D;yesterday;;", "Hire day", "not a day"),
        (";Ana;;;;D;2020-11-25;;", "Personnel number", "cell is empty"),
    ],
)
def test_a_row_that_cannot_be(crew: Crew, row: str, column: str, words: str) -> None:
    [(number, found_column, message)] = problems(f"{HEADER}\n{row}")
    assert (number, found_column) == (2, column)
    assert words in message


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ("2026-02-13;;meets", "needs its result, near vision also the day"),
        ("2026-02-13;2027-02-13;", "needs its result"),
        ("2026-12-13;2027-02-13;meets", "lies in the future"),
        ("2026-02-13;2025-02-13;meets", "due before this one"),
        (";2027-02-13;", "day of the eye check is missing"),
    ],
)
def test_an_eye_check_that_cannot_be(db: None, cells: str, words: str) -> None:
    head = "Personnel number;Name;Hire day;Near vision day;Near vision due;Near vision result"
    [(_row, _column, message)] = problems(f"{head}\n1001;Ana;2020-11-25;{cells}")
    assert words in message


def test_an_authorisation_of_tomorrow(db: None) -> None:
    [(_row, column, _words)] = problems(
        "Personnel number;Name;Hire day;Gate cutter\n1001;Ana;2020-11-25;2026-11-26"
    )
    assert column == "Gate cutter"


def test_a_personnel_number_twice(crew: Crew) -> None:
    found = problems(f"{HEADER}\n1001;Ana;;;;D;2020-11-25;;\n1001;Bo;;;;D;2020-11-25;;")
    assert found == [(3, "Personnel number", "The personnel number stands in row 2 already.")]


def test_only_an_administrator_makes_administrators(
    crew: Crew, quality: Person, administrator: Person
) -> None:
    data = f"{HEADER}\n1001;Ana;;;;D;2020-11-25;;administrator"
    [(_row, column, words)] = problems(data, by=quality)
    assert (column, words) == (
        "Roles",
        "Only an administrator gives or takes the role of administrator.",
    )
    assert load(data, by=administrator).summary.startswith("1 new")
    [(_row, column, _words)] = problems(
        f"{HEADER}\n{administrator.personnel_no};Ada Administrator;;;;D;2020-01-01;;operator",
        by=quality,
    )
    assert column == "Roles"


def test_every_problem_of_the_file_is_listed(crew: Crew) -> None:
    found = problems(f"{HEADER}\n1001;Ana;;;;Z;2026-11-26;;boss\n1001;;;;;D;never;;operator")
    assert [(row, column) for row, column, _words in found] == [
        (2, "Roles"),
        (2, "Crew"),
        (2, "Hire day"),
        (3, "Name"),
        (3, "Hire day"),
        (3, "Personnel number"),
    ]


def test_a_write_that_fails_half_way_leaves_nothing(
    crew: Crew, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = check(f"{HEADER}\n1001;Ana;70101;;;D;2020-11-25;;\n1002;Bo;70102;;;D;2020-11-25;;")

    def fail(**_given: object) -> None:
        raise RuntimeError("power cut")

    monkeypatch.setattr("training.people.importing.give_badge", fail)
    with pytest.raises(RuntimeError, match="power cut"):
        write_people(plan, by=None, moment=NOON, today=TODAY)
    assert (Person.objects.count(), Employment.objects.count()) == (0, 0)


def test_checking_more_people_costs_no_more_queries(
    make_person: Callable[..., Person],
) -> None:
    def queries(rows: list[str]) -> int:
        with CaptureQueriesContext(connection) as counted:
            assert check(f"{HEADER}\n" + "\n".join(rows)).problems == []
        return len(counted)

    rows = []
    for number in range(20):
        person = make_person(f"Person {number}", Role.OPERATOR)
        rows.append(f"{person.personnel_no};{person.name};;;;D;2020-01-01;;")
    assert queries(rows[:1]) == queries(rows)
