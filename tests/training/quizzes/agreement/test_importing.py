"""Loading a study's answers: both layouts, either language, and what is wrong with a file."""

import datetime as dt
from collections.abc import Callable
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import NOON, TODAY
from tests.training.people.sheet_files import csv_bytes, workbook
from training.people.models import Person
from training.people.record.verify import verify
from training.people.sheets.days import DayOrder
from training.people.sheets.plan import MAIN, NotCleanError, Plan, SheetFile
from training.quizzes.agreement.columns import person_and_round
from training.quizzes.agreement.importing import check_study, write_study
from training.quizzes.agreement.layouts import StudyItem
from training.quizzes.models import AgreementStudy, StudyAnswer
from training.quizzes.selectors.studies import progress_of_study, study_table

pytestmark = pytest.mark.django_db

WIDE = "Part,Reference,A-1,A-2,B-1,B-2\n7,accept,accept,accept,reject,accept\n8,0,0,0,1,0"
LONG = """Pieza;Referencia;Persona;Ronda;Respuesta
7;aceptar;A;1;aceptar
7;aceptar;A;2;aceptar
8;rechazar;A;1;rechazar
8;rechazar;A;2;rechazar
7;aceptar;B;1;rechazar
7;aceptar;B;2;aceptar
8;rechazar;B;1;aceptar
8;rechazar;B;2;rechazar"""


@pytest.fixture
def check(quality: Person) -> Callable[..., Plan[StudyItem]]:
    def run(
        data: str | bytes, name: str = "bench study.csv", by: Person | None = quality
    ) -> Plan[StudyItem]:
        sent = csv_bytes(data) if isinstance(data, str) else data
        files = {MAIN: SheetFile(name, sent)}
        return check_study(files, order=DayOrder.BY_COLUMN, by=by, today=TODAY)

    return run


def said(plan: Plan[StudyItem]) -> list[tuple[int | None, str, str]]:
    return [(each.row, each.column, str(each.message)) for each in plan.problems]


def write(plan: Plan[StudyItem], by: Person) -> AgreementStudy:
    write_study(plan, by=by, moment=NOON, today=TODAY)
    return AgreementStudy.objects.get()


@pytest.mark.parametrize("text", [WIDE, LONG], ids=["wide", "long"])
def test_either_layout_gives_the_same_study(
    text: str, check: Callable[..., Plan[StudyItem]], quality: Person
) -> None:
    plan = check(text)
    assert said(plan) == []
    study = write(plan, quality)
    assert (study.number, study.name, study.basis) == ("AG-0001", "bench study", "file")
    assert (study.repeats, study.closed_at, study.opened_by) == (2, NOON, quality)
    answers = study_table(progress_of_study(study, NOON)).answers
    assert answers is not None
    assert answers.parts == ("7", "8")
    assert answers.reference == (True, False)
    assert answers.accepted == (((True, True), (False, True)), ((False, False), (True, False)))


def test_answers_are_facts_on_the_studys_own_chain(
    check: Callable[..., Plan[StudyItem]], quality: Person
) -> None:
    study = write(check(WIDE), quality)
    assert set(StudyAnswer.objects.values_list("chain", flat=True)) == {f"study:{study.pk}"}
    assert not verify().breaks


def test_the_other_layout_of_the_same_answers_is_known(
    check: Callable[..., Plan[StudyItem]], quality: Person
) -> None:
    write(check(WIDE), quality)
    plan = check(LONG)
    assert plan.summary() == "0 new, 0 changed, 2 the same"
    assert [str(note) for note in plan.notes] == ["These answers stand here already as AG-0001."]


def test_a_workbook_with_numbers_is_read(check: Callable[..., Plan[StudyItem]]) -> None:
    rows: list[list[object]] = [["Part", "Ref", "Ana 1", "Ana 2"], [1, 1, 1, 0], [2, 0, 0, 0.0]]
    plan = check(workbook({"answers": rows}), "answers.xlsx")
    assert said(plan) == []
    (item,) = plan.items
    assert item.judges == {"ana": "Ana"}
    assert item.answers["1", "ana", 2] == "reject"


def test_a_small_study_and_one_without_bad_parts_are_told_so(
    check: Callable[..., Plan[StudyItem]],
) -> None:
    notes = [str(note) for note in check("Part,Reference,A-1\n1,1,1\n2,1,0").notes]
    assert notes[0] == "The study needs both good and bad parts for a verdict."
    assert notes[1].startswith("Smaller than the usual 50 parts, 3 people and 3 rounds")


def test_a_name_column_names_the_study(check: Callable[..., Plan[StudyItem]]) -> None:
    (item,) = check("Study,Part,Reference,A1\nFlash,1,1,1\nFlash,2,0,1").items
    assert item.name == "Flash"


BAD_FILES = {
    "no reference": (
        "Part,A-1\n1,1",
        (1, "Reference", "The column “Reference / Referencia” is missing."),
    ),
    "no answers": ("Part,Reference\n1,1\n2,0", (None, "", "The sheet has no answers.")),
    "both layouts": (
        "Part,Reference,Person,A-1\n1,1,A,1\n2,0,A,1",
        (None, "Person", "The sheet has columns of both layouts."),
    ),
    "not an answer": (
        "Part,Reference,A-1\n1,1,maybe\n2,0,1",
        (2, "A-1", "This is not among the answers."),
    ),
    "an empty answer": ("Part,Reference,A-1\n1,1,\n2,0,1", (2, "A-1", "The cell is empty.")),
    "a part twice": (
        "Part,Reference,A-1\n1,1,1\n1,1,1",
        (3, "Part", "The part stands in row 2 already."),
    ),
    "a round twice": (
        "Part,Reference,A-1,A1\n1,1,1,1\n2,0,1,1",
        (1, "A1", "The column stands twice, as “A-1” and as “A1”."),
    ),
    "a round too few": (
        "Part,Reference,A-1,A-2,B-1\n1,1,1,1,1\n2,0,1,1,1",
        (None, "", "B has no round 2."),
    ),
    "one part": (
        "Part,Reference,A-1\n1,1,1",
        (None, "", "A study needs at least two parts."),
    ),
    "two names": (
        "Study,Part,Reference,A-1\nX,1,1,1\nY,2,0,1",
        (3, "Study", "One file holds one study; another name stands above."),
    ),
    "an answer twice": (
        "Part,Reference,Person,Round,Answer\n1,1,A,1,1\n1,1,A,1,0\n2,0,A,1,1",
        (3, "Answer", "This person's round of this part stands in row 2 already."),
    ),
    "two references": (
        "Part,Reference,Person,Round,Answer\n1,1,A,1,1\n1,0,B,1,0\n2,0,A,1,1\n2,0,B,1,1",
        (3, "Reference", "Row 2 gives the part another reference."),
    ),
    "a missing answer": (
        "Part,Reference,Person,Round,Answer\n1,1,A,1,1\n1,1,A,2,1\n2,0,A,2,1",
        (4, "Part", "The answer of A in round 1 is missing."),
    ),
    "a blank cell in the long layout": (
        "Part,Reference,Person,Round,Answer\n1,1,A,1,1\n2,0,,1,1",
        (3, "Person", "The cell is empty."),
    ),
    "a round that is no number": (
        "Part,Reference,Person,Round,Answer\n1,1,A,first,1\n2,0,A,1,1",
        (2, "Round", "This is not a number."),
    ),
    "an empty file": ("", (None, "", "The file is empty.")),
}


@pytest.mark.parametrize("case", BAD_FILES)
def test_a_problem_names_row_and_column_and_nothing_is_written(
    case: str, check: Callable[..., Plan[StudyItem]], quality: Person
) -> None:
    text, expected = BAD_FILES[case]
    plan = check(text)
    assert expected in said(plan)
    assert all(str(each.remedy) for each in plan.problems)
    with pytest.raises(NotCleanError):
        write_study(plan, by=quality, moment=NOON, today=TODAY)
    assert not AgreementStudy.objects.exists()


def test_without_somebody_who_loads_it_nothing_is_loaded(
    check: Callable[..., Plan[StudyItem]],
) -> None:
    assert said(check(WIDE, by=None)) == [(None, "", "It is not said who loads the study.")]


@pytest.mark.parametrize(
    ("header", "expected"),
    [
        ("A1", ("A", 1)),
        ("A-1", ("A", 1)),
        ("B 2", ("B", 2)),
        ("Op 12-3", ("Op 12", 3)),
        ("Ana, round 2", ("Ana", 2)),
        ("Ana ronda 2", ("Ana", 2)),
        ("Ana repetición 2", ("Ana", 2)),
        ("C_10", ("C", 10)),
        ("code", None),
        ("ref_value", None),
        ("2026", ("20", 26)),
        ("A-0", None),
        ("A-21", None),
        ("-1", None),
    ],
)
def test_headers_of_answers(header: str, expected: tuple[str, int] | None) -> None:
    if header == "2026":
        # Two digits at most are a round; a year is nobody's, because no round is above 20.
        assert person_and_round(header) is None
        return
    assert person_and_round(header) == expected


@given(st.text(min_size=1, max_size=12), st.integers(1, 20))
def test_a_header_of_a_person_and_a_round_is_understood_or_left_aside(
    name: str, number: int
) -> None:
    found = person_and_round(f"{name}-{number}")
    assert found is None or found[1] == number or name.strip()[-1:].isdigit()


def test_the_command_loads_a_file_or_nothing(tmp_path: Path, quality: Person, clock: None) -> None:
    good, bad = tmp_path / "wide.csv", tmp_path / "bad.csv"
    good.write_bytes(csv_bytes(WIDE))
    bad.write_bytes(csv_bytes(WIDE.replace("8,0,0", "8,0,perhaps")))
    out, err = StringIO(), StringIO()
    with pytest.raises(CommandError, match="1 problem; nothing was written"):
        call_command("import_study", str(bad), by=quality.personnel_no, stdout=out, stderr=err)
    assert "row 3 · A-1 “perhaps”: This is not among the answers. Write one of" in err.getvalue()
    assert not AgreementStudy.objects.exists()
    call_command("import_study", str(good), by=quality.personnel_no, stdout=out, stderr=err)
    assert "Written: AG-0001, wide: 2 parts, 2 people." in out.getvalue()
    assert AgreementStudy.objects.get().opened_at.date() == dt.date(2026, 11, 25)
