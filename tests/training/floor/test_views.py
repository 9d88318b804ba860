"""Families, jobs and a job's sheet: who sees what, in which order, in which language."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.conftest import NOON, TODAY
from training.floor.alerts import raise_alert
from training.floor.limits import JudgedBy, Line, Measure
from training.floor.models import Acknowledgement, Alert, Caution, Family, FirstPiece, Job
from training.floor.services import acknowledge, publish_work_instruction
from training.people.models import Authorisation, Person
from training.people.record.chain import append

SignIn = Callable[[Person], Client]
URL = "/jobs/901/"


def queries(client: Client, address: str) -> int:
    """Count the queries of a page, once everything that is remembered is."""
    client.get(address)
    with CaptureQueriesContext(connection) as counted:
        assert client.get(address).status_code == 200
    return len(counted)


@pytest.fixture(autouse=True)
def _noon(clock: None) -> None:
    pass


@pytest.fixture
def alert(plant: SimpleNamespace, quality: Person) -> Alert:
    line = Line("A", Measure.NONE, JudgedBy.EYE, family="black-specks")
    return raise_alert(
        number="A-01",
        jobs=[plant.job],
        family=plant.specks,
        zone="A",
        text={"en": "Any speck: segregate.", "es": "Todo punto: separe."},
        from_day=TODAY,
        to_day=TODAY + dt.timedelta(days=9),
        written_day=TODAY,
        written_by=quality,
        lines=[line],
        checks=[{"en": "lamp at 4", "es": "lámpara en 4"}],
    )


@pytest.fixture
def caution(plant: SimpleNamespace) -> Caution:
    made = Caution.objects.create(
        code="hot-part",
        title={"en": "Hot parts", "es": "Piezas calientes"},
        text={"en": "Wear gloves.", "es": "Use guantes."},
    )
    plant.job.cautions.add(made)
    return made


# ---------------------------------------------------------------- families and jobs


def test_families_stand_under_their_group(
    office: SignIn, auditor: Person, plant: SimpleNamespace
) -> None:
    client = office(auditor)
    page = client.get("/families/").content.decode()
    assert page.index("Spots") < page.index("Black specks") < page.index("Burn mark")
    client.cookies["django_language"] = "es"
    assert "Puntos negros" in client.get("/families/").content.decode()
    assert client.post("/families/").status_code == 405


def test_more_families_cost_no_more_queries(
    office: SignIn, auditor: Person, plant: SimpleNamespace
) -> None:
    client = office(auditor)
    few = queries(client, "/families/")
    for number in range(9):
        Family.objects.create(slug=f"f{number}", name={"en": "More"}, group=plant.spots)
    assert queries(client, "/families/") == few


def test_operators_do_not_need_the_list_of_families(office: SignIn, operator: Person) -> None:
    assert office(operator).get("/families/").status_code == 403


def test_no_families_yet(office: SignIn, quality: Person) -> None:
    assert "No defect families yet." in office(quality).get("/families/").content.decode()


def test_jobs_with_an_alert_stand_first(
    office: SignIn, supervisor: Person, plant: SimpleNamespace, alert: Alert
) -> None:
    Job.objects.create(number="100", part={"en": "Cap"}, group=plant.job.group)
    Job.objects.create(
        number="099", part={"en": "Gone"}, group=plant.job.group, ended_day=dt.date(2026, 1, 1)
    )
    answer = office(supervisor).get("/jobs/")
    assert [row.job.number for row in answer.context["rows"]] == ["901", "100"]
    assert "A-01" in answer.content.decode()


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("bench", ["901"]),
        ("CUBIERTA banco", ["901"]),
        ("p01", ["901"]),
        ("carátula", []),
        ("90", ["901"]),
    ],
)
def test_a_job_is_found_by_its_words(
    office: SignIn, supervisor: Person, plant: SimpleNamespace, query: str, found: list[str]
) -> None:
    answer = office(supervisor).get("/jobs/", {"q": query})
    assert [row.job.number for row in answer.context["rows"]] == found
    if not found:
        assert "No job fits these words." in answer.content.decode()


def test_more_jobs_cost_no_more_queries(
    office: SignIn, supervisor: Person, plant: SimpleNamespace, alert: Alert
) -> None:
    client = office(supervisor)
    few = queries(client, "/jobs/")
    for number in range(200, 210):
        Job.objects.create(number=str(number), part={"en": "Cap"}, group=plant.job.group)
    assert queries(client, "/jobs/") == few


def test_the_list_on_the_floor_has_large_rows(
    floor: SignIn, operator: Person, plant: SimpleNamespace
) -> None:
    page = floor(operator).get("/jobs/").content.decode()
    assert '<body class="floor"' in page
    assert "Job sheet" in page
    assert "Import jobs" not in page


# ---------------------------------------------------------------- the sheet


def test_the_sheet_says_what_rules_and_why(
    office: SignIn, quality: Person, plant: SimpleNamespace, alert: Alert
) -> None:
    page = office(quality).get(URL).content.decode()
    assert "none accepted" in page
    assert "alert A-01" in page
    assert "instead of: at most 1 of up to 0.3 mm, in any 100 cm²: mean size" in page
    assert "work instruction rev A" in page
    assert "Look at the front." in page


def test_the_sheet_speaks_the_readers_language(
    floor: SignIn, operator: Person, plant: SimpleNamespace, alert: Alert, caution: Caution
) -> None:
    client = floor(operator)
    client.cookies["django_language"] = "es"
    page = client.get(URL).content.decode()
    for words in ("Cubierta de banco", "Mire el frente.", "Todo punto: separe.", "lámpara en 4",
                  "Piezas calientes", "no se acepta", "alerta A-01", "Puntos negros"):  # fmt: skip
        assert words in page, words
    assert "Primero están las reglas de seguridad de su planta" in page


def test_what_is_unread_is_counted_and_read_once(
    floor: SignIn, operator: Person, plant: SimpleNamespace, alert: Alert, caution: Caution
) -> None:
    client = floor(operator)
    page = client.get(URL)
    assert "3 papers are still to read" in page.content.decode()
    for kind, paper in (("wi", plant.sheet), ("alert", alert), ("caution", caution)):
        for _again in range(2):
            answer = client.post(f"{URL}read/{kind}/{paper.pk}/")
            assert (answer.status_code, answer["Location"]) == (302, URL)
    page = client.get(URL)
    assert "still to read" not in page.content.decode()
    assert "Read 25 Nov 2026, 12:00" in page.content.decode()
    read = Acknowledgement.objects.filter(person=operator)
    assert sorted(read.values_list("kind", flat=True)) == ["alert", "caution", "wi"]
    assert {row.day for row in read} == {TODAY}
    assert {row.read_at for row in read} == {NOON}


def test_only_papers_of_this_job_are_read_here(
    floor: SignIn, operator: Person, plant: SimpleNamespace
) -> None:
    client = floor(operator)
    stray = Caution.objects.create(code="fume", title={"en": "Fume"}, text={"en": "Go."})
    other = Job.objects.create(number="902", part={"en": "Cap"}, group=plant.job.group)
    assert client.post(f"{URL}read/caution/{stray.pk}/").status_code == 404
    assert client.post(f"/jobs/{other.number}/read/wi/{plant.sheet.pk}/").status_code == 404
    assert client.post(f"{URL}read/press/{plant.press.pk}/").status_code == 404
    assert client.post(f"/jobs/999/read/wi/{plant.sheet.pk}/").status_code == 404
    assert not Acknowledgement.objects.exists()


def test_reading_is_posted_and_not_for_auditors(
    office: SignIn, floor: SignIn, operator: Person, auditor: Person, plant: SimpleNamespace
) -> None:
    address = f"{URL}read/wi/{plant.sheet.pk}/"
    assert floor(operator).get(address).status_code == 405
    assert office(auditor).post(address).status_code == 403
    assert "I have read" not in office(auditor).get(URL).content.decode()


def test_a_night_reading_belongs_to_the_day_the_night_began(
    plant: SimpleNamespace, operator: Person, floor: SignIn
) -> None:
    import time_machine

    with time_machine.travel(dt.datetime(2026, 11, 26, 1, 30, tzinfo=dt.UTC), tick=False):
        floor(operator).post(f"{URL}read/wi/{plant.sheet.pk}/")
    assert Acknowledgement.objects.get().day == TODAY


def test_a_replacing_revision_is_to_read_again(
    floor: SignIn, operator: Person, plant: SimpleNamespace
) -> None:
    acknowledge(person=operator, subject=plant.sheet, moment=NOON, day=TODAY)
    publish_work_instruction(
        job=plant.job, revision="B", day=TODAY, needs=plant.sheet.needs, lines=[], reason="Letter"
    )
    page = floor(operator).get(URL).content.decode()
    assert "I have read revision B" in page
    assert "Changed because: Letter" in page
    assert "before it A" in page


def test_authorisations_are_shown_as_held_or_not(
    floor: SignIn, operator: Person, plant: SimpleNamespace
) -> None:
    plant.job.needs_authorisation = ["cutter", "lift"]
    plant.job.save()
    append(Authorisation(person=operator, kind="lift", day=TODAY), moment=NOON)
    answer = floor(operator).get(URL)
    held = {row.kind: row.held for row in answer.context["page"].authorities}
    assert held == {"cutter": False, "lift": True}
    assert "not by this program" in answer.content.decode()


def test_the_first_piece_shows_its_tag_where_it_differs_and_its_marks(
    floor: SignIn, operator: Person, quality: Person, plant: SimpleNamespace
) -> None:
    plant.job.tool = "T-9"
    plant.job.save()
    piece = FirstPiece.objects.create(
        job=plant.job,
        revision="A",
        work_instruction=plant.sheet,
        approved_at=NOON - dt.timedelta(hours=3),
        approved_by=quality,
        tag={"tool": "T-8", "press": "P01", "run": "R-7", "wi_revision": "A"},
        marks=[{"x": 0.47, "y": 0.36, "note": {"en": "faint line", "es": "línea tenue"}}],
    )
    answer = floor(operator).get(URL)
    page = answer.content.decode()
    assert [(row.tag, row.differs) for row in answer.context["tag"]] == [
        ("A", False),
        ("T-8", True),
        ("P01", False),
        ("R-7", False),
    ]
    assert f"/first-pieces/{piece.pk}/" in page
    assert 'cx="47.00%" cy="36.00%"' in page
    assert "faint line" in page
    assert "Approved 25 Nov 2026, 09:00, Quentin Quality." in page


def test_without_a_first_piece_nobody_starts(
    floor: SignIn, operator: Person, plant: SimpleNamespace
) -> None:
    assert "Do not start; ask quality." in floor(operator).get(URL).content.decode()


def test_a_job_without_a_sheet_says_so(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    Job.objects.create(number="902", part={"en": "Cap"}, group=plant.job.group)
    page = office(quality).get("/jobs/902/").content.decode()
    assert "no work instruction in force" in page
    assert office(quality).get("/jobs/903/").status_code == 404


def test_more_papers_cost_no_more_queries(
    floor: SignIn, operator: Person, plant: SimpleNamespace, alert: Alert, caution: Caution
) -> None:
    client = floor(operator)
    few = queries(client, URL)
    for number in range(5):
        more = Caution.objects.create(code=f"c{number}", title={"en": "x"}, text={"en": "y"})
        plant.job.cautions.add(more)
        other = Alert.objects.create(
            number=f"B-{number}", family=plant.burn, written_day=TODAY, from_day=TODAY,
            to_day=TODAY, text={"en": "More."},
        )  # fmt: skip
        other.jobs.add(plant.job)
    assert queries(client, URL) == few


def test_signed_out_goes_to_sign_in(client: Client, plant: SimpleNamespace) -> None:
    assert client.get(URL).status_code == 302
    assert client.get("/jobs/").status_code == 302
