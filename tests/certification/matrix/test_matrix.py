"""The skills matrix page: cells with reasons, any moment, cover, and a fixed number of queries."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client

from certification.matrix.selectors import make_matrix
from certification.staffing.models import Attendance
from tests.conftest import NOON, TODAY
from training.people.models import Person, Role

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Office = Callable[[Person], Client]
URL = "/matrix/"


def cell_of(client: Client, person: Person, **asked: str) -> object:
    shown = client.get(URL, asked).context["matrix"]
    row = next(row for row in shown.rows if row.person == person)
    return row.cells[0]


def test_who_may_run_alone_is_drawn_so(
    office: Office, supervisor: Person, operator: Person, qualify: Callable[..., None]
) -> None:
    qualify(operator)
    assert cell_of(office(supervisor), operator).kind == "alone"


def test_what_ends_soon_says_in_how_many_days(
    office: Office, supervisor: Person, operator: Person, qualify: Callable[..., None]
) -> None:
    qualify(operator, expires=TODAY + dt.timedelta(days=12))
    cell = cell_of(office(supervisor), operator)
    assert (cell.kind, cell.word) == ("due", "12 d")


def test_what_has_lapsed_may_be_run_with_a_buddy_only(
    office: Office, supervisor: Person, operator: Person, qualify: Callable[..., None]
) -> None:
    qualify(operator, expires=TODAY - dt.timedelta(days=1))
    cell = cell_of(office(supervisor), operator)
    assert cell.kind == "buddy"
    assert "ended yesterday, 24 Nov" in cell.sentence


def test_what_has_lapsed_on_a_critical_job_is_no(
    office: Office,
    supervisor: Person,
    operator: Person,
    plant: SimpleNamespace,
    qualify: Callable[..., None],
) -> None:
    plant.job.critical_job = True
    plant.job.save()
    qualify(operator, expires=TODAY - dt.timedelta(days=1))
    cell = cell_of(office(supervisor), operator)
    assert cell.kind == "lapsed"
    assert "ended yesterday, 24 Nov" in cell.sentence


def test_it_answers_for_any_moment(
    office: Office, supervisor: Person, operator: Person, qualify: Callable[..., None]
) -> None:
    qualify(operator, expires=TODAY - dt.timedelta(days=1))
    client = office(supervisor)
    assert cell_of(client, operator, at="2026-11-24T12:00").kind == "due"
    assert cell_of(client, operator, at="2026-11-25T12:00").kind == "buddy"


def test_the_night_belongs_to_the_day_it_began(
    office: Office, supervisor: Person, operator: Person, qualify: Callable[..., None]
) -> None:
    qualify(operator, expires=TODAY - dt.timedelta(days=1))
    assert cell_of(office(supervisor), operator, at="2026-11-25T02:00").kind == "due"


def test_who_is_away_is_not_counted_as_cover(
    office: Office, supervisor: Person, operator: Person, qualify: Callable[..., None]
) -> None:
    qualify(operator)
    Attendance.objects.create(
        person=operator, day=TODAY, crew=operator.crew, planned="in", actual="absent", reason="sick"
    )
    shown = office(supervisor).get(URL).context["matrix"]
    row = next(row for row in shown.rows if row.person == operator)
    assert (row.cells[0].kind, row.cells[0].word) == ("away", "sick")
    assert shown.columns[0].alone == 0


def test_a_selected_cell_gives_every_reason_and_remedy(
    office: Office, supervisor: Person, operator: Person, plant: SimpleNamespace
) -> None:
    response = office(supervisor).get(URL, {"cell": f"{operator.personnel_no}:901"})
    answer = response.context["selected"]["answer"]
    assert answer.verdict == "no"
    assert len(answer.reasons) >= 5
    assert all(remedy for _text, remedy in answer.reasons)


def test_the_most_urgent_come_first(
    office: Office,
    supervisor: Person,
    operator: Person,
    trainer: Person,
    qualify: Callable[..., None],
) -> None:
    qualify(operator)
    qualify(trainer, expires=TODAY - dt.timedelta(days=1))
    rows = office(supervisor).get(URL).context["matrix"].rows
    assert [row.person for row in rows] == [trainer, operator]


def test_the_day_a_job_loses_its_last_person_is_told(
    operator: Person, trainer: Person, qualify: Callable[..., None]
) -> None:
    qualify(operator, expires=TODAY + dt.timedelta(days=20))
    qualify(trainer, expires=TODAY + dt.timedelta(days=9))
    shown = make_matrix(moment=NOON)
    assert [(loss.jobs, loss.day, loss.people) for loss in shown.becomes_thin] == [
        ("901", TODAY + dt.timedelta(days=10), ("Tessa Trainer",))
    ]
    assert [(loss.jobs, loss.day, loss.people) for loss in shown.loses_last] == [
        ("901", TODAY + dt.timedelta(days=21), ("Otto Operator",))
    ]


def test_bad_input_is_told(office: Office, supervisor: Person) -> None:
    response = office(supervisor).get(URL, {"at": "last Thursday"})
    assert response.status_code == 400
    assert "Give day and time as 2026-11-25 22:00." in response.content.decode()


def test_an_unknown_cell_selects_nothing(office: Office, supervisor: Person) -> None:
    for cell in ("1:2", "nonsense", ":"):
        assert office(supervisor).get(URL, {"cell": cell}).context["selected"] is None


def test_an_empty_crew_says_so(office: Office, supervisor: Person) -> None:
    assert "Nobody to show." in office(supervisor).get(URL).content.decode()


def test_operators_may_not(office: Office, operator: Person) -> None:
    assert office(operator).get(URL).status_code == 403


def test_the_unsigned_are_sent_to_sign_in(client: Client) -> None:
    assert client.get(URL).status_code == 302


def test_other_methods_are_refused(office: Office, supervisor: Person) -> None:
    assert office(supervisor).post(URL).status_code == 405


def test_names_are_escaped(
    office: Office, supervisor: Person, make_person: Callable[..., Person], plant: SimpleNamespace
) -> None:
    make_person("<b>Bold</b>", Role.OPERATOR)
    text = office(supervisor).get(URL).content.decode()
    assert "<b>Bold</b>" not in text
    assert "&lt;b&gt;Bold&lt;/b&gt;" in text


def test_queries_do_not_grow_with_people(
    office: Office,
    supervisor: Person,
    make_person: Callable[..., Person],
    qualify: Callable[..., None],
    django_assert_max_num_queries: Callable[..., object],
) -> None:
    client = office(supervisor)
    for number in range(3):
        qualify(make_person(f"Person {number}", Role.OPERATOR))
    with django_assert_max_num_queries(40) as few:
        client.get(URL)
    for number in range(27):
        qualify(make_person(f"Person {number} more", Role.OPERATOR))
    with django_assert_max_num_queries(40) as many:
        client.get(URL)
    assert len(few) == len(many)
