"""Specimens wanted: out of plans, bank and blueprint, by who waits for them; page and file."""

import csv
import datetime as dt
import io
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client

from tests.conftest import NOON, TODAY
from tests.training.quizzes.bank import fill, right_answer
from training.floor.models import Turn
from training.people.models import Person
from training.people.record.chain import append
from training.quizzes.models import ExamPlan, Sitting
from training.quizzes.selectors.plant_bank import plant_bank
from training.quizzes.selectors.wanted import WantedRow, Why, specimens_wanted
from training.quizzes.services.judging import record_judgements
from training.quizzes.services.plans import publish_plan
from training.specimens.models import Specimen
from training.statistics.bank_ladder import BankStep

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
URL = "/plans/wanted/"
LONG_AGO = NOON - dt.timedelta(days=100)


def of(slug: str, why: Why) -> list[WantedRow]:
    return [row for row in specimens_wanted(TODAY) if row.slug == slug and row.why is why]


@pytest.fixture
def worked(plant: SimpleNamespace, operator: Person) -> SimpleNamespace:
    """The operator stood at job 901 last week."""
    append(
        Turn(
            person=operator,
            press=plant.press,
            job=plant.job,
            day=TODAY - dt.timedelta(days=7),
            started_at=NOON - dt.timedelta(days=7),
        ),
        moment=NOON,
    )
    return plant


class TestRows:
    def test_too_few_for_an_exam_stand_first_with_who_waits(
        self, worked: SimpleNamespace, plans: dict[str, ExamPlan], operator: Person
    ) -> None:
        fill(worked, worked.specks, bad=3, good=3, moment=LONG_AGO)
        rows = specimens_wanted(TODAY)
        assert rows[0].blocks
        (specks,) = of("black-specks", Why.NO_EXAM)
        assert specks.number == 5
        assert specks.demand.people == {operator.pk}
        assert specks.demand.presses == {"P01"}
        assert specks.demand.jobs == ("901",)
        # Families of which there is none at all are wanted too.
        assert of("burn", Why.NO_EXAM)[0].number == 8

    def test_a_short_bank_wants_what_brings_it_back_to_the_group_plan(
        self, plant: SimpleNamespace, plans: dict[str, ExamPlan]
    ) -> None:
        fill(plant, plant.specks, bad=10, good=10, moment=LONG_AGO)
        wanted = sum(
            row.number
            for row in specimens_wanted(TODAY)
            if row.slug == "black-specks" and row.bad and row.why in (Why.SHORT, Why.STRATUM)
        )
        assert wanted == 16 - 10

    def test_an_empty_stratum_is_named(
        self, plant: SimpleNamespace, plans: dict[str, ExamPlan]
    ) -> None:
        made = fill(plant, plant.specks, bad=35, good=10, moment=LONG_AGO)
        assert not [row for row in of("black-specks", Why.STRATUM) if row.bad]
        near = [row for row in made if row.severity is not None and 0.3 < row.severity < 0.38]
        Specimen.objects.filter(pk__in=[row.pk for row in near]).update(retired_day=TODAY)
        (row,) = [row for row in of("black-specks", Why.STRATUM) if row.bad]
        assert row.stratum is not None
        assert (row.stratum.code, row.number) == ("1.05-1.25", 2)

    def test_good_ones_near_the_limit_are_wanted_for_the_group(
        self, plant: SimpleNamespace, plans: dict[str, ExamPlan]
    ) -> None:
        fill(plant, plant.specks, bad=35, good=4, moment=LONG_AGO)
        found = {row.stratum.code: row.number for row in of("spots", Why.STRATUM) if row.stratum}
        # Of 30: 8, 4 or 5 and 18 by the blueprint; four held: 0.6, 0.7, 0.85 and clean.
        assert found == {"0.5-0.8": 6, "0.8-0.95": 3, "clean": 17}

    def test_clear_ones_are_wanted_where_a_job_needs_the_critical_level(
        self, plant: SimpleNamespace, plans: dict[str, ExamPlan]
    ) -> None:
        fill(plant, plant.specks, bad=16, good=4, moment=LONG_AGO)
        assert not of("black-specks", Why.NO_CRITICAL)
        plant.sheet.needs = {"black-specks": "critical"}
        type(plant.sheet).objects.filter(pk=plant.sheet.pk).update(needs=plant.sheet.needs)
        clear = [row for row in plant_bank(TODAY).of("black-specks").bad if row.clear]  # type: ignore[union-attr]
        Specimen.objects.filter(pk__in=[row.key for row in clear[4:]]).update(retired_day=TODAY)
        fill_near(plant)
        assert of("black-specks", Why.NO_CRITICAL)[0].number >= 1

    def test_photographed_ones_are_wanted_where_a_plan_allows_fewer_drawn(
        self, plant: SimpleNamespace, plans: dict[str, ExamPlan], quality: Person
    ) -> None:
        fill(plant, plant.specks, bad=16, good=4, moment=LONG_AGO)
        assert not of("black-specks", Why.PHOTOGRAPHED)
        publish_plan(
            code="group",
            form="group",
            name={"en": "Group plan"},
            parameters={"most_synthetic": 50},
            reason="half of it photographed",
            day=TODAY,
            published_by=quality,
        )
        assert of("black-specks", Why.PHOTOGRAPHED)[0].number == 4

    def test_without_a_plan_nothing_is_wanted(self, plant: SimpleNamespace) -> None:
        assert specimens_wanted(TODAY) == []


def fill_near(plant: SimpleNamespace) -> None:
    """Fill up with parts that are near the limit, so that an ordinary exam is possible."""
    for row in Specimen.objects.filter(number__startswith="black-"):
        row.number = f"old-{row.number[-8:]}"
        row.save(update_fields=["number"])
    made = fill(plant, plant.specks, bad=28, good=0, moment=LONG_AGO)
    far = [row.pk for row in made if row.severity is not None and row.severity >= 0.45]
    Specimen.objects.filter(pk__in=far).update(retired_day=TODAY)


class TestBankOfAnyone:
    def test_what_somebody_met_lately_is_fresh_for_nobody_of_the_count(
        self, bank: SimpleNamespace, exam: object
    ) -> None:
        held = plant_bank(TODAY + dt.timedelta(days=1)).of("black-specks")
        assert held is not None
        # Of the first parts only those handed out count as met: the one to judge and five ahead.
        assert 14 - 6 <= held.fresh < 14
        assert held.total == 14

    def test_whoever_passed_lately_needs_none_before_they_come_free(
        self, bank: SimpleNamespace, exam: Sitting
    ) -> None:
        for part in exam.presented.select_related("decision", "specimen__family").order_by(
            "ordinal"
        ):
            record_judgements(sitting=exam, answers=[right_answer(part, NOON)], moment=NOON)
        held = plant_bank(TODAY + dt.timedelta(days=1)).of("black-specks")
        assert held is not None
        assert (held.fresh, held.met) == (14, {})
        # Half a year later the last sitting still bars its own specimens.
        later = plant_bank(TODAY + dt.timedelta(days=200)).of("black-specks")
        assert later is not None
        assert later.fresh == 14 - exam.presented.filter(part="bad").count()

    def test_the_rung_follows(self, bank: SimpleNamespace) -> None:
        held = plant_bank(TODAY).of("black-specks")
        assert held is not None
        assert held.plan.step is BankStep.SHORT
        assert plant_bank(TODAY, own_plan_cap=7).of("black-specks").plan.step is BankStep.OWN  # type: ignore[union-attr]


class TestPage:
    def test_it_lists_and_links(
        self, office: Sign, quality: Person, worked: SimpleNamespace, plans: dict[str, ExamPlan]
    ) -> None:
        text = office(quality).get(URL).content.decode()
        assert "Black specks" in text
        assert "first exam possible" in text
        assert "/specimens/add" in text or "Add a part" in text

    def test_the_file_holds_the_same(
        self, office: Sign, quality: Person, worked: SimpleNamespace, plans: dict[str, ExamPlan]
    ) -> None:
        client = office(quality)
        lines = client.get(URL).context["lines"]
        response = client.get(URL, {"format": "csv"})
        rows = list(csv.reader(io.StringIO(response.content.decode("utf-8-sig"))))
        assert len(rows) == len(lines) + 1
        assert rows[1][:2] == [lines[0].name, str(lines[0].number)]

    def test_nothing_wanted_says_what_that_means(
        self, office: Sign, quality: Person, plant: SimpleNamespace
    ) -> None:
        assert "Nothing is wanted." in office(quality).get(URL).content.decode()

    def test_operators_may_not(self, floor: Sign, operator: Person) -> None:
        assert floor(operator).get(URL).status_code == 403

    def test_wrong_method(self, office: Sign, quality: Person) -> None:
        assert office(quality).post(URL).status_code == 405

    def test_queries(
        self,
        office: Sign,
        quality: Person,
        bank: SimpleNamespace,
        plans: dict[str, ExamPlan],
        count_queries: Callable[..., int],
    ) -> None:
        client = office(quality)
        assert count_queries(lambda: client.get(URL)) <= 20
