"""The pages about how specimens are answered: list, sheet, one specimen, map, hours, panel."""

import csv
import datetime as dt
import io
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client
from openpyxl import load_workbook

from tests.conftest import NOON
from tests.training.quizzes.answered import write_sitting
from training.people.models import Person
from training.people.record.chain import append
from training.quizzes.models import ExamPlan
from training.specimens.models import (
    PanelItem,
    PanelLook,
    PanelRound,
    ReferenceDecision,
    Specimen,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
LIST, SHEET = "/specimens/statistics/", "/specimens/statistics/sheet/"
MAP, HOURS, PANEL = "/specimens/difficulty/", "/specimens/missed-when/", "/specimens/panel-members/"


@pytest.fixture
def answered(
    plans: dict[str, ExamPlan], make_person: Callable[..., Person], bank: SimpleNamespace
) -> SimpleNamespace:
    """Twenty people judge the exam pool; everybody is against the key of one bad part."""
    decisions = list(
        ReferenceDecision.objects.filter(specimen__pool="exam").order_by("specimen__number")
    )
    suspect = Specimen.objects.get(pk=decisions[0].specimen_id)
    for place in range(20):
        judge = make_person(f"Judge {place}", "operator")
        missed = {suspect.pk, decisions[1 + place % 9].specimen_id}
        write_sitting(f"S-{place:04d}", judge, plans["short-bank"], decisions, missed)
    return SimpleNamespace(suspect=suspect, plant=bank)


def page(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 200
    return response.content.decode()


class TestList:
    def test_without_answers_it_says_what_is_missing(
        self, office: Sign, quality: Person, bank: SimpleNamespace
    ) -> None:
        assert "not enough answers (0 of 8)" in page(office(quality), LIST)

    def test_without_specimens_it_says_where_they_come_from(
        self, office: Sign, quality: Person
    ) -> None:
        assert "No specimens yet." in page(office(quality), LIST)

    def test_a_trainer_without_teaching_specimens_reads_why(
        self, office: Sign, trainer: Person
    ) -> None:
        assert "No specimen teaches yet." in page(office(trainer), LIST)

    def test_a_suspect_key_stands_on_top_with_its_step(
        self, office: Sign, quality: Person, answered: SimpleNamespace
    ) -> None:
        response = office(quality).get(LIST)
        to_do = response.context["to_do"]
        assert [row.line.number for row in to_do] == [answered.suspect.number]
        assert [doubt.key for doubt in to_do[0].doubts] == ["check_key"]
        assert response.context["rows"][0].line.number == answered.suspect.number
        body = response.content.decode()
        assert "Withdraw from exams" in body
        assert f"/specimens/{answered.suspect.pk}/pool/" in body
        assert f"/panels/open/?specimen={answered.suspect.pk}" in body

    def test_the_step_withdraws_it_and_comes_back_to_the_list(
        self, office: Sign, quality: Person, answered: SimpleNamespace
    ) -> None:
        client = office(quality)
        response = client.post(
            f"/specimens/{answered.suspect.pk}/pool/", {"pool": "neither", "next": LIST}
        )
        assert response.url == LIST  # type: ignore[attr-defined]
        assert client.get(LIST).context["to_do"] == []

    def test_a_step_never_leads_to_another_site(
        self, office: Sign, quality: Person, answered: SimpleNamespace
    ) -> None:
        response = office(quality).post(
            f"/specimens/{answered.suspect.pk}/pool/",
            {"pool": "neither", "next": "https://elsewhere.example/"},
        )
        assert response.url == f"/specimens/{answered.suspect.pk}/"  # type: ignore[attr-defined]

    def test_an_auditor_sees_it_all_and_changes_nothing(
        self, office: Sign, auditor: Person, answered: SimpleNamespace
    ) -> None:
        body = page(office(auditor), LIST)
        assert answered.suspect.number in body
        assert "Withdraw from exams" not in body

    def test_a_trainer_sees_no_specimen_that_examines(
        self, office: Sign, trainer: Person, answered: SimpleNamespace
    ) -> None:
        response = office(trainer).get(LIST)
        assert response.context["to_do"] == []
        assert {row.line.pool for row in response.context["rows"]} == {"teaching"}
        assert answered.suspect.number not in response.content.decode()

    @pytest.mark.parametrize(
        ("query", "numbers"),
        [
            ("doubt=check_key", 1),
            ("doubt=any", 1),
            ("doubt=perhaps_known", 0),
            ("pool=teaching", 16),
            ("pool=exam", 28),
            ("pool=retired", 0),
            ("family=black-specks", 44),
            ("number=ex-b", 14),
            ("family=nonsense&order=nonsense", 44),
        ],
    )
    def test_it_is_narrowed(
        self,
        office: Sign,
        quality: Person,
        answered: SimpleNamespace,
        query: str,
        numbers: int,
    ) -> None:
        found = office(quality).get(f"{LIST}?{query}").context["page_obj"].paginator
        assert found.count == numbers

    @pytest.mark.parametrize("order", ["hard", "easy", "met", "long_ago", "few", "number"])
    def test_it_is_ordered(
        self, office: Sign, quality: Person, answered: SimpleNamespace, order: str
    ) -> None:
        rows = [row.line for row in office(quality).get(f"{LIST}?order={order}").context["rows"]]
        value = {
            "hard": lambda line: line.figures.proportion or 9,
            "easy": lambda line: -(line.figures.proportion or 0),
            "met": lambda line: -line.people,
            "long_ago": lambda line: line.last or NOON + dt.timedelta(days=1),
            "few": lambda line: (line.figures.answered >= 8, -line.figures.answered),
            "number": lambda line: line.number,
        }[order]
        assert rows == sorted(rows, key=value)

    def test_who_may_not(
        self, office: Sign, supervisor: Person, floor: Sign, quality: Person
    ) -> None:
        assert office(supervisor).get(LIST).status_code == 403
        assert floor(quality).get(LIST).status_code == 403

    def test_wrong_method(self, office: Sign, quality: Person) -> None:
        assert office(quality).post(LIST).status_code == 405

    def test_queries_do_not_grow(
        self,
        office: Sign,
        quality: Person,
        answered: SimpleNamespace,
        django_assert_max_num_queries: Callable[..., object],
    ) -> None:
        client = office(quality)
        with django_assert_max_num_queries(26):  # type: ignore[attr-defined]
            client.get(LIST)


class TestSheet:
    def test_csv_has_every_specimen_with_its_numbers(
        self, office: Sign, quality: Person, answered: SimpleNamespace
    ) -> None:
        body = office(quality).get(f"{SHEET}?form=csv").content.decode("utf-8-sig")
        rows = list(csv.reader(io.StringIO(body)))
        assert len(rows) == 2 + 44
        head, first = rows[1], rows[2]
        cells = dict(zip(head, first, strict=True))
        assert cells["Number"] == answered.suspect.number
        assert cells["Doubts"] == "Check the key"
        assert cells["Right"] == "0"
        assert int(cells["First answers in exams"]) >= 15

    def test_xlsx_holds_numbers_as_numbers(
        self, office: Sign, quality: Person, answered: SimpleNamespace
    ) -> None:
        response = office(quality).get(f"{SHEET}?number=ex-b")
        sheet = load_workbook(io.BytesIO(response.content)).active
        assert sheet is not None
        assert sheet.max_row == 2 + 14
        assert isinstance(sheet.cell(3, 8).value, int)
        assert "specimens-2026-11-25-1200.xlsx" in response.headers["Content-Disposition"]

    def test_a_trainer_s_sheet_holds_no_exam_specimen(
        self, office: Sign, trainer: Person, answered: SimpleNamespace
    ) -> None:
        body = office(trainer).get(f"{SHEET}?form=csv").content.decode()
        assert answered.suspect.number not in body

    def test_who_may_not_and_wrong_method(
        self, office: Sign, supervisor: Person, quality: Person
    ) -> None:
        assert office(supervisor).get(SHEET).status_code == 403
        assert office(quality).post(SHEET).status_code == 405


class TestOneSpecimen:
    def address(self, specimen: Specimen) -> str:
        return f"/specimens/{specimen.pk}/answers/"

    def test_it_says_how_it_was_answered_and_by_whom(
        self, office: Sign, quality: Person, answered: SimpleNamespace
    ) -> None:
        response = office(quality).get(self.address(answered.suspect))
        rows = response.context["answers"]
        assert len(rows) >= 15
        assert not any(row["right"] for row in rows)
        body = response.content.decode()
        assert 'id="answers"' in body
        assert "Judge 1" in body

    def test_the_specimen_s_own_page_leads_to_it(
        self, office: Sign, quality: Person, answered: SimpleNamespace
    ) -> None:
        body = page(office(quality), f"/specimens/{answered.suspect.pk}/")
        assert f'hx-get="{self.address(answered.suspect)}"' in body

    def test_unanswered_it_says_so(
        self, office: Sign, quality: Person, bank: SimpleNamespace
    ) -> None:
        specimen = Specimen.objects.all()[0]
        assert "Nobody has answered it in an exam yet." in page(
            office(quality), self.address(specimen)
        )

    def test_a_trainer_does_not_find_one_that_examines(
        self, office: Sign, trainer: Person, answered: SimpleNamespace
    ) -> None:
        assert office(trainer).get(self.address(answered.suspect)).status_code == 404

    def test_wrong_method(self, office: Sign, quality: Person, answered: SimpleNamespace) -> None:
        assert office(quality).post(self.address(answered.suspect)).status_code == 405


class TestMap:
    def test_it_draws_the_family_and_names_the_doubted(
        self, office: Sign, quality: Person, answered: SimpleNamespace
    ) -> None:
        body = page(office(quality), MAP)
        assert "Black specks: how far from the limit is it still answered right?" in body
        assert f"{answered.suspect.number}, check the key" in body
        assert "<desc" in body

    def test_a_family_that_is_not_there_shows_the_first(
        self, office: Sign, quality: Person, answered: SimpleNamespace
    ) -> None:
        shown = office(quality).get(f"{MAP}?family=nonsense").context["shown"]
        assert shown.slug == "black-specks"

    def test_without_answers(self, office: Sign, quality: Person) -> None:
        assert "No specimen was answered in an exam yet." in page(office(quality), MAP)

    def test_who_may_not_and_wrong_method(
        self, office: Sign, supervisor: Person, quality: Person
    ) -> None:
        assert office(supervisor).get(MAP).status_code == 403
        assert office(quality).post(MAP).status_code == 405


class TestHours:
    def test_it_draws_crews_and_hours(
        self, office: Sign, supervisor: Person, answered: SimpleNamespace
    ) -> None:
        body = page(office(supervisor), HOURS)
        assert "No crew and hour misses more than its specimens explain." in body
        assert "12–14" in body
        assert MAP not in body

    def test_the_list_of_sittings_leads_to_it(self, office: Sign, trainer: Person) -> None:
        assert HOURS in page(office(trainer), "/sittings/")

    def test_without_answers(self, office: Sign, supervisor: Person) -> None:
        assert "No bad part was judged in an exam yet." in page(office(supervisor), HOURS)

    def test_who_may_not_and_wrong_method(
        self, office: Sign, administrator: Person, quality: Person
    ) -> None:
        assert office(administrator).get(HOURS).status_code == 403
        assert office(quality).post(HOURS).status_code == 405


class TestPanel:
    @pytest.fixture
    def round_(self, bank: SimpleNamespace, make_person: Callable[..., Person]) -> PanelRound:
        """A round in which the fifth of five members accepts everything."""
        members = [make_person(f"Member {place}", "quality") for place in range(5)]
        round_ = PanelRound.objects.create(
            number="PR-001", seed="x", opened_at=NOON, opened_by=members[0]
        )
        round_.members.set(members)
        for specimen in Specimen.objects.filter(number__contains="ex-b"):
            item = PanelItem.objects.create(
                round=round_, specimen=specimen, work_instruction=bank.sheet
            )
            append(
                *(
                    PanelLook(
                        item=item,
                        member=member,
                        number=number,
                        answer="accept" if place == 4 else "reject",
                        looked_at=NOON + dt.timedelta(days=number),
                    )
                    for place, member in enumerate(members)
                    for number in (1, 2)
                ),
                chain="panel:x",
                moment=NOON,
            )
        return round_

    def close(self, round_: PanelRound) -> None:
        round_.closed_at = NOON
        round_.save(update_fields=["closed_at"])

    def test_a_lenient_member_stands_first(
        self, office: Sign, auditor: Person, round_: PanelRound
    ) -> None:
        self.close(round_)
        members = office(auditor).get(PANEL).context["members"]
        assert members[0]["person"].name == "Member 4"
        assert members[0]["word"] == "More lenient than the others"
        assert [each["status"] for each in members[1:]] == ["done"] * 4

    def test_nothing_is_shown_of_a_round_that_runs(
        self, office: Sign, quality: Person, round_: PanelRound
    ) -> None:
        assert "No round of the panel is closed yet." in page(office(quality), PANEL)

    def test_its_verdicts_stand_beside_the_answers(
        self, office: Sign, quality: Person, round_: PanelRound
    ) -> None:
        self.close(round_)
        rows = office(quality).get(f"{LIST}?number=ex-b").context["rows"]
        assert {row.line.figures.panel for row in rows} == {(8, 10)}

    def test_who_may_not_and_wrong_method(
        self, office: Sign, trainer: Person, quality: Person
    ) -> None:
        assert office(trainer).get(PANEL).status_code == 403
        assert office(quality).post(PANEL).status_code == 405
