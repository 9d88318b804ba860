"""The pages of concessions: writing one, the second signature, its parts, its early end, the list."""

import datetime as dt
import uuid
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client

from tests.conftest import PASSWORD, TODAY
from training.floor.concessions import Conceded, sign_concession, write_concession
from training.floor.limits import JudgedBy, Line, Measure, Unit
from training.floor.models import Concession, ConcessionCount, Job
from training.floor.paper_words import line_key
from training.floor.selectors import rulings_on
from training.people.models import Person, Role
from training.people.signing import signatures_of

SignIn = Callable[[Person], Client]
ADD = "/concessions/add/?job=901"
NOTHING = Line("A", Measure.NONE, JudgedBy.EYE, family="burn")
LOOSER = Line("A", Measure.AT_MOST, JudgedBy.EYE, family="burn", value=0.5, unit=Unit.MM)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


@pytest.fixture
def second(make_person: Callable[..., Person]) -> Person:
    return make_person("Sigrid Second", Role.QUALITY)


@pytest.fixture
def paper(plant: SimpleNamespace, quality: Person) -> Concession:
    return write_concession(
        number="CN-01",
        job=plant.job,
        lines=[Conceded(LOOSER, NOTHING)],
        from_day=TODAY,
        to_day=TODAY + dt.timedelta(days=5),
        max_quantity=400,
        reason="Customer K, letter of 20 Nov",
        written_by=quality,
        today=TODAY,
    )


@pytest.fixture
def signed(paper: Concession, second: Person) -> Concession:
    return sign_concession(concession=paper, person=second, today=TODAY)


def url(paper: Concession, step: str = "") -> str:
    return f"/concessions/{paper.pk}/{step}"


def fields(**changed: Any) -> dict[str, Any]:
    sent: dict[str, Any] = {
        "number": "CN-07",
        "from_day": "2026-11-25",
        "to_day": "2026-12-01",
        "max_quantity": "",
        "reason": "Customer K, letter of 20 Nov",
        "secret": PASSWORD,
        "lines-TOTAL_FORMS": "4",
        "lines-INITIAL_FORMS": "0",
        "lines-0-instead_of": line_key(NOTHING),
        "lines-0-measure": "at_most",
        "lines-0-value": "0.5",
        "lines-0-unit": "mm",
        "lines-1-measure": "at_most",
        "lines-2-measure": "at_most",
        "lines-3-measure": "at_most",
    }
    return sent | {name.replace("line_", "lines-0-"): value for name, value in changed.items()}


# ---------------------------------------------------------------- writing one


def test_the_job_is_chosen_first(office: SignIn, quality: Person, plant: SimpleNamespace) -> None:
    page = office(quality).get("/concessions/add/").content.decode()
    assert "901 Bench cover" in page
    assert office(quality).get("/concessions/add/?job=777").status_code == 404


def test_the_form_offers_the_lines_in_force(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    page = office(quality).get(ADD).content.decode()
    assert "Burn mark, zone A: none accepted" in page
    assert 'label="work instruction rev A"' in page
    assert "no decision on a specimen changes" in page
    assert 'value="CN-01"' in page


def test_it_is_written_signed_and_waits(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    client = office(quality)
    answer = client.post(ADD, fields())
    paper = Concession.objects.get()
    assert (answer.status_code, answer["Location"]) == (302, url(paper))
    assert (paper.signed_by, paper.signed_twice) == (quality, False)
    assert [each.meaning for each in signatures_of(paper)] == ["wrote a concession"]
    line = paper.lines.get()
    assert (line.measure["value"], line.measure["judged_by"]) == (0.5, "eye")
    assert line.instead_of["measure"] == "none"
    page = client.get(url(paper)).content.decode()
    assert "It has no effect before the second signature" in page
    assert "another person of quality" in page
    assert "instead of: none accepted" in page
    assert [each.source.kind.value for each in rulings_on(plant.job, TODAY, "burn", "A")] == [
        "work_instruction"
    ]
    assert "CN-01" not in client.get(ADD).context["form"].initial["number"]


def test_several_lines_are_written_at_once(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    grease = Line("A", Measure.NONE, JudgedBy.EYE, family="grease-oil")
    more = {"lines-1-instead_of": line_key(grease), "lines-1-value": "2", "lines-1-unit": "mm2"}
    office(quality).post(ADD, fields() | more)
    lines = Concession.objects.get().lines.all()
    assert [(each.family.slug, each.measure["value"]) for each in lines] == [
        ("burn", 0.5),
        ("grease-oil", 2),
    ]


@pytest.mark.parametrize(
    ("changed", "field", "words"),
    [
        ({"number": ""}, "number", "required"),
        ({"to_day": ""}, "to_day", "A concession ends"),
        ({"to_day": "2026-11-24", "from_day": "2026-11-25"}, "to_day", "before it begins"),
        ({"from_day": "2026-11-24"}, "from_day", "does not reach back"),
        ({"from_day": "2026-13-40"}, "from_day", "valid date"),
        ({"from_day": "soon"}, "from_day", "valid date"),
        ({"max_quantity": "0"}, "max_quantity", "greater than or equal to 1"),
        ({"max_quantity": "9" * 20}, "max_quantity", "less than or equal to"),
        ({"reason": ""}, "reason", "required"),
        ({"secret": "wrong"}, "secret", "Nothing was signed"),
        ({"line_instead_of": ""}, "instead_of", "required"),
        ({"line_instead_of": "0123"}, "instead_of", "not in force any more"),
        ({"line_value": ""}, "value", "lacks a value"),
        ({"line_unit": ""}, "unit", "lacks a unit"),
        ({"line_measure": "any"}, "measure", "Select a valid choice"),
        (
            {"line_measure": "none", "line_value": "", "line_unit": ""},
            "instead_of",
            "lets nothing through that “none accepted” refuses",
        ),
    ],
)
def test_bad_input_says_where_and_keeps_nothing(
    office: SignIn,
    quality: Person,
    plant: SimpleNamespace,
    changed: dict[str, Any],
    field: str,
    words: str,
) -> None:
    answer = office(quality).post(ADD, fields(**changed))
    assert answer.status_code == 400
    found = answer.context["form"].errors | answer.context["formset"].errors[0]
    assert words in str(found[field])
    assert words in answer.content.decode()
    assert not Concession.objects.exists()


def test_a_critical_line_is_not_offered(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    plant.burn.always_critical = True
    plant.burn.save()
    page = office(quality).get(ADD).content.decode()
    assert "Burn mark" not in page
    assert "1 critical line cannot be loosened" in page
    answer = office(quality).post(ADD, fields())
    assert "instead_of" in answer.context["formset"].errors[0]


def test_another_concession_on_the_line_is_named(
    office: SignIn, quality: Person, paper: Concession
) -> None:
    answer = office(quality).post(ADD, fields())
    assert answer.status_code == 400
    assert "Concession CN-01 speaks of the same line" in answer.content.decode()
    assert Concession.objects.count() == 1


def test_a_number_is_used_once(
    office: SignIn, quality: Person, signed: Concession, plant: SimpleNamespace
) -> None:
    grease = Line("A", Measure.NONE, JudgedBy.EYE, family="grease-oil")
    answer = office(quality).post(
        ADD, fields(number="CN-01", line_instead_of=line_key(grease), line_unit="mm2")
    )
    assert answer.status_code == 400
    assert "already exists" in str(answer.context["form"].errors["number"])
    assert Concession.objects.count() == 1


def test_a_job_without_a_sheet_has_nothing_to_loosen(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    Job.objects.create(number="902", part={"en": "Cap"}, group=plant.job.group)
    answer = office(quality).get("/concessions/add/?job=902")
    assert answer["Location"] == "/jobs/902/"


# ---------------------------------------------------------------- the second signature


def test_the_second_signs_from_the_list_of_those_that_wait(
    office: SignIn, second: Person, paper: Concession, plant: SimpleNamespace
) -> None:
    client = office(second)
    listed = client.get("/concessions/").content.decode()
    assert "Concessions waiting for the second signature" in listed
    assert url(paper) in listed
    assert url(paper, "sign/") in client.get(url(paper)).content.decode()
    assert "up to 0.5 mm" in client.get(url(paper, "sign/")).content.decode()
    answer = client.post(url(paper, "sign/"), {"secret": PASSWORD})
    assert (answer.status_code, answer["Location"]) == (302, url(paper))
    paper.refresh_from_db()
    assert (paper.second_signed_by, paper.second_signed_day) == (second, TODAY)
    assert [each.meaning for each in signatures_of(paper)] == ["second signature of a concession"]
    sheet = client.get("/jobs/901/").content.decode()
    assert "concession CN-01, instead of: none accepted (work instruction rev A)" in sheet
    assert "Concession CN-01 loosens lines below, until 30 Nov, 400 of 400 parts left." in sheet


def test_the_list_of_jobs_says_that_one_waits(
    office: SignIn, second: Person, supervisor: Person, paper: Concession
) -> None:
    words = "1 concession waits for its second signature"
    assert words in office(second).get("/jobs/").content.decode()
    assert words not in office(supervisor).get("/jobs/").content.decode()
    sign_concession(concession=paper, person=second, today=TODAY)
    assert words not in office(second).get("/jobs/").content.decode()


def test_the_floor_sees_what_the_line_rests_on(
    floor: SignIn, operator: Person, signed: Concession
) -> None:
    page = floor(operator).get("/jobs/901/").content.decode()
    assert "concession CN-01" in page
    assert url(signed) not in page


def test_the_writer_does_not_sign_twice(office: SignIn, quality: Person, paper: Concession) -> None:
    client = office(quality)
    assert url(paper, "sign/") not in client.get(url(paper)).content.decode()
    for answer in (
        client.get(url(paper, "sign/")),
        client.post(url(paper, "sign/"), {"secret": PASSWORD}),
    ):
        assert "Its second signature is another person" in answer.content.decode()
    paper.refresh_from_db()
    assert not paper.signed_twice
    assert not signatures_of(paper).exists()


@pytest.mark.parametrize("secret", ["wrong", ""])
def test_a_wrong_secret_signs_nothing(
    office: SignIn, second: Person, paper: Concession, secret: str
) -> None:
    answer = office(second).post(url(paper, "sign/"), {"secret": secret})
    assert answer.status_code == 400
    paper.refresh_from_db()
    assert not paper.signed_twice


# ---------------------------------------------------------------- parts and the early end


def test_parts_are_counted_until_none_is_left(
    office: SignIn, supervisor: Person, signed: Concession, plant: SimpleNamespace
) -> None:
    client = office(supervisor)
    answer = client.post(url(signed, "parts/"), {"parts": "150"}, follow=True)
    assert "250 of 400 parts left" in answer.content.decode()
    assert "Some" not in str(ConcessionCount.objects.get().recorded_by)
    answer = client.post(url(signed, "parts/"), {"parts": "400"}, follow=True)
    assert "All its parts are made" in answer.content.decode()
    assert "Its parts are made" in answer.content.decode()
    (ruling,) = rulings_on(plant.job, TODAY, "burn", "A")
    assert ruling.source.kind.value == "work_instruction"
    assert client.get(url(signed, "parts/"))["Location"] == url(signed)


@pytest.mark.parametrize("parts", ["-1", "", "many", "9" * 20])
def test_a_count_that_is_none(
    office: SignIn, supervisor: Person, signed: Concession, parts: str
) -> None:
    answer = office(supervisor).post(url(signed, "parts/"), {"parts": parts})
    assert answer.status_code == 400
    assert "parts" in answer.context["form"].errors
    assert not ConcessionCount.objects.exists()


def test_parts_of_one_that_waits_are_not_counted(
    office: SignIn, supervisor: Person, paper: Concession
) -> None:
    answer = office(supervisor).post(url(paper, "parts/"), {"parts": "1"})
    assert answer.status_code == 400
    assert not ConcessionCount.objects.exists()


def test_it_is_withdrawn_with_reason_and_signature(
    office: SignIn, quality: Person, signed: Concession, plant: SimpleNamespace
) -> None:
    client = office(quality)
    assert "Tell the press" in client.get(url(signed, "withdraw/")).content.decode()
    for given in ({"reason": "", "secret": PASSWORD}, {"reason": "why", "secret": "wrong"}):
        assert client.post(url(signed, "withdraw/"), given).status_code == 400
    client.post(url(signed, "withdraw/"), {"reason": "Parts came back", "secret": PASSWORD})
    signed.refresh_from_db()
    assert (signed.withdrawn_day, signed.withdrawn_by) == (TODAY, quality)
    assert signatures_of(signed).last().meaning == "withdrew a concession"
    page = client.get(url(signed)).content.decode()
    assert "Parts came back" in page
    assert url(signed, "withdraw/") not in page
    assert "Ended" in client.get("/concessions/").content.decode()
    again = client.post(url(signed, "withdraw/"), {"reason": "again", "secret": PASSWORD})
    assert "has ended already" in again.content.decode()


# ---------------------------------------------------------------- who may, and the rest


def test_who_may(
    office: SignIn,
    floor: SignIn,
    supervisor: Person,
    trainer: Person,
    auditor: Person,
    quality: Person,
    paper: Concession,
) -> None:
    for person in (supervisor, trainer, auditor):
        assert office(person).get("/concessions/").status_code == 200
        assert office(person).get(url(paper)).status_code == 200
        for step in (ADD, url(paper, "sign/"), url(paper, "withdraw/")):
            assert office(person).post(step, fields()).status_code == 403
    assert office(trainer).post(url(paper, "parts/"), {"parts": "1"}).status_code == 403
    assert floor(quality).get("/concessions/").status_code == 403
    paper.refresh_from_db()
    assert (paper.signed_twice, paper.withdrawn_day) == (False, None)


@pytest.mark.parametrize("step", ["", "sign/", "withdraw/", "parts/"])
def test_wrong_method_and_unknown(
    office: SignIn, quality: Person, paper: Concession, step: str
) -> None:
    assert office(quality).delete(url(paper, step)).status_code == 405
    assert office(quality).get(f"/concessions/{uuid.UUID(int=9)}/{step}").status_code == 404
    assert office(quality).put("/concessions/").status_code == 405
    assert office(quality).put(ADD).status_code == 405


def test_a_list_without_any(office: SignIn, quality: Person, plant: SimpleNamespace) -> None:
    assert "No concession was written yet" in office(quality).get("/concessions/").content.decode()


def test_the_list_of_one_job(office: SignIn, auditor: Person, signed: Concession) -> None:
    page = office(auditor).get("/concessions/", {"job": "901"}).content.decode()
    assert url(signed) in page
    assert "In force" in page
    assert url(signed) not in office(auditor).get("/concessions/", {"job": "9"}).content.decode()


def test_a_long_list_asks_no_more_questions(
    office: SignIn,
    quality: Person,
    paper: Concession,
    django_assert_max_num_queries: Callable[..., Any],
) -> None:
    for number in range(2, 9):
        old = Concession.objects.create(
            number=f"CN-{number:02d}",
            job=paper.job,
            from_day=TODAY,
            to_day=TODAY,
            max_quantity=9,
            reason="letter",
            signed_by=quality,
            second_signature="customer, on paper",
        )
        for line in paper.lines.all():
            line.pk, line.concession, line.instead_of = uuid.uuid4(), old, None
            line.save(force_insert=True)
    client = office(quality)
    for address, most in (("/concessions/", 10), (url(paper), 12), (ADD, 18)):
        with django_assert_max_num_queries(most):
            assert client.get(address).status_code == 200
