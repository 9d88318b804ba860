"""A moved limit: what it takes out of the exams, decided again in one step, or sent to a panel."""

import uuid
from collections.abc import Callable
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON, PASSWORD, TODAY
from training.floor.models import LimitLine, WorkInstruction
from training.people.models import Person, Signature
from training.quizzes.selectors.bank import bank_for
from training.specimens.models import Pool, ReferenceDecision, Specimen
from training.specimens.services.deciding_again import decide_again_by_measurement
from training.specimens.settling import Way, to_settle

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
URL = reverse("specimens:decide_again")


@pytest.fixture
def bank(make_bank: Callable[..., list[Specimen]]) -> list[Specimen]:
    """Five specks of growing size, all decided by a limit of 0.3 mm."""
    return [make_bank(1, severity=size)[0] for size in (0.15, 0.35, 0.39, 0.45, 0.9)]


@pytest.fixture
def moved(bank: list[Specimen], plant: SimpleNamespace) -> WorkInstruction:
    """Revision B of the sheet: 0.4 mm."""
    sheet = WorkInstruction.objects.create(
        job=plant.job, revision="B", day=TODAY, steps=plant.sheet.steps, needs=plant.sheet.needs
    )
    for line in LimitLine.objects.filter(work_instruction=plant.sheet):
        line.pk, line.work_instruction = uuid.uuid4(), sheet
        if line.family_id == plant.specks.pk:
            line.measure = {**line.measure, "value": 0.4}
        line.save(force_insert=True)
    return sheet


def ways(specimens: list[Specimen]) -> list[Way]:
    found = {each.specimen.pk: each.way for each in to_settle(TODAY, decided_before=True)}
    return [found[each.pk] for each in specimens]


def test_all_of_it_leaves_the_exams_at_once(
    bank: list[Specimen], operator: Person, request: pytest.FixtureRequest
) -> None:
    assert len(bank_for(operator, pool=Pool.EXAM, day=TODAY).rows) == 5
    request.getfixturevalue("moved")
    left = bank_for(operator, pool=Pool.EXAM, day=TODAY)
    assert (left.rows, left.undecided) == ({}, {"black-specks": 5})


def test_what_lies_clear_of_the_new_limit_is_measured_what_lies_at_it_is_not(
    bank: list[Specimen], moved: WorkInstruction
) -> None:
    measure, near = Way.MEASURE, Way.NEAR
    assert ways(bank) == [measure, measure, near, measure, measure]


def test_the_whole_path_from_the_page_that_moves_the_limit(
    bank: list[Specimen], quality: Person, operator: Person, office: Sign
) -> None:
    client = office(quality)
    given = {
        "family": "black-specks",
        "zone": "A",
        "replaces": "0",
        "made_from": "A",
        "measure": "count_at_most",
        "value": "0.4",
        "unit": "mm",
        "count": "1",
        "per_area_cm2": "100",
        "judged_by": "eye",
        "reason": "Customer K, letter of 20 Nov",
        "day": TODAY.isoformat(),
        "secret": PASSWORD,
    }
    assert client.post("/jobs/901/limits/", given).status_code == 302
    assert bank_for(operator, pool=Pool.EXAM, day=TODAY).rows == {}
    # 0.35 mm lay beyond the old limit and lies within the new one; 0.39 mm lies at it.
    page = client.get(URL).text
    between = page[page.index(f'value="{bank[1].pk}"') :]
    assert "changes side" in between[: between.index("</tr>")]
    keys = [each.pk for each in bank if each != bank[2]]
    client.post(URL, {"specimens": keys, "secret": PASSWORD})
    back = bank_for(operator, pool=Pool.EXAM, day=TODAY)
    assert {row.key: row.bad for row in back.candidates} == {
        str(each.pk): each in bank[3:] for each in bank if each != bank[2]
    }
    chosen = client.get(reverse("specimens:panel_open"), {"specimen": [bank[2].pk]}).text
    assert bank[2].number in chosen


class TestPage:
    def test_previewed_confirmed_signed(
        self,
        bank: list[Specimen],
        moved: WorkInstruction,
        quality: Person,
        operator: Person,
        office: Sign,
    ) -> None:
        client = office(quality)
        assert "5 specimens left the exams" in client.get(reverse("specimens:specimen_list")).text
        page = client.get(URL).text
        assert "4 lie clear of their new limit" in page
        assert page.count("changes side") == 2  # once in the sentence, once in the row
        assert "Open a panel round for these" in page
        keys = [each.pk for each in bank if each != bank[2]]
        sent = {"specimens": keys, "reason": "Customer's limit", "secret": PASSWORD}
        response = client.post(URL, sent, follow=True)
        assert "Signed: 4 specimens are decided again." in response.text
        decided = {each.pk: each.decided for each in Specimen.objects.with_decision(TODAY)}
        assert [decided[each.pk] for each in bank] == [
            "accept",
            "accept",
            None,
            "reject",
            "reject",
        ]
        assert Signature.objects.filter(meaning="decides specimen").count() == 4
        back = bank_for(operator, pool=Pool.EXAM, day=TODAY)
        assert set(back.rows) == {str(key) for key in keys}
        assert "1 that a measurement does not decide" in client.get(URL).text

    @pytest.mark.parametrize(
        ("fields", "words"),
        [
            ({"specimens": []}, "Tick at least one"),
            ({"secret": "wrong"}, "password is not right"),
            ({"specimens": [uuid.uuid4()]}, "not one of the available choices"),
        ],
    )
    def test_bad_input_writes_nothing(
        self,
        bank: list[Specimen],
        moved: WorkInstruction,
        quality: Person,
        office: Sign,
        fields: dict[str, Any],
        words: str,
    ) -> None:
        before = ReferenceDecision.objects.count()
        sent = {"specimens": [bank[0].pk], "secret": PASSWORD} | fields
        response = office(quality).post(URL, sent)
        assert response.status_code == 400
        assert words in response.text
        assert ReferenceDecision.objects.count() == before

    def test_nothing_to_do(self, bank: list[Specimen], quality: Person, office: Sign) -> None:
        assert "Nothing is to be decided again" in office(quality).get(URL).text

    def test_only_quality(self, trainer: Person, office: Sign) -> None:
        assert office(trainer).get(URL).status_code == 403

    def test_it_costs_the_same_however_many_wait(
        self,
        bank: list[Specimen],
        moved: WorkInstruction,
        quality: Person,
        office: Sign,
        django_assert_max_num_queries: Any,
    ) -> None:
        client = office(quality)
        client.get(URL)
        with django_assert_max_num_queries(14):
            client.get(URL)


class TestService:
    def test_it_keeps_what_was_to_be_done_about_the_part(
        self, bank: list[Specimen], moved: WorkInstruction, quality: Person
    ) -> None:
        (fact,) = decide_again_by_measurement(
            specimens=[bank[4].pk], by=quality, moment=NOON, day=TODAY
        )
        assert (fact.decision, fact.action, fact.clear) == ("reject", "segregate", True)
        assert fact.severity_ratio == Decimal("2.25")
        assert fact.work_instruction == moved

    def test_all_or_none(
        self, bank: list[Specimen], moved: WorkInstruction, quality: Person
    ) -> None:
        before = ReferenceDecision.objects.count()
        with pytest.raises(ValidationError, match=bank[2].number):
            decide_again_by_measurement(
                specimens=[bank[0].pk, bank[2].pk], by=quality, moment=NOON, day=TODAY
            )
        assert ReferenceDecision.objects.count() == before
