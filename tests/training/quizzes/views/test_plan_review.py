"""The yearly review: pass rates with intervals, shares, consistency from 30 people, the decision."""

import datetime as dt
import uuid
from collections.abc import Callable

import pytest
from django.core.exceptions import ValidationError
from django.test import Client

from tests.conftest import NOON, PASSWORD, TODAY
from tests.training.quizzes.bank import right_answer, wrong_answer
from training.people.models import Person
from training.people.signing import signatures_of
from training.quizzes.models import ExamPlan, PlanReview, Sitting
from training.quizzes.selectors.plan_reviews import (
    PassRate,
    Sat,
    plan_consistency,
    plan_year,
    reviews_due,
)
from training.quizzes.services.judging import record_judgements
from training.quizzes.services.plan_reviews import review_plan

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
YEAR_AGO = TODAY - dt.timedelta(days=365)


def url(code: str = "short-bank") -> str:
    return f"/plans/{code}/review/"


def finish(sitting: Sitting, *, wrong: bool = False) -> None:
    rows = sitting.presented.select_related("decision", "specimen__family").order_by("ordinal")
    make = wrong_answer if wrong else right_answer
    for part in rows:
        end = record_judgements(sitting=sitting, answers=[make(part, NOON)], moment=NOON).end
        if end is not None:
            break


@pytest.fixture
def two_sat(
    open_exam: Callable[..., Sitting], operator: Person, new_hire: Person
) -> tuple[Sitting, Sitting]:
    """One passed, one did not."""
    Person.objects.filter(pk=new_hire.pk).update(ui_language="es", crew=None)
    first, second = open_exam(operator), open_exam(Person.objects.get(pk=new_hire.pk))
    finish(first)
    finish(second, wrong=True)
    return first, second


class TestYear:
    def test_it_counts_by_language_and_crew(
        self, two_sat: tuple[Sitting, Sitting], plans: dict[str, ExamPlan]
    ) -> None:
        year = plan_year(plans["short-bank"], YEAR_AGO, TODAY, NOON)
        assert (year.sittings, year.people, year.broken_off) == (2, 2, 0)
        assert (year.everybody.passed, year.everybody.of) == (1, 2)
        assert [(each.name, each.passed, each.of) for each in year.by_language] == [
            ("en", 1, 1),
            ("es", 0, 1),
        ]
        assert [(each.name, each.passed) for each in year.by_crew] == [("", 0), ("D", 1)]
        assert year.drawn == sum(each.presented.count() for each in two_sat)
        assert year.synthetic == year.drawn
        judged = [each.judgements.count() for each in two_sat]
        assert year.judged == sum(judged) / 2
        assert year.expected is not None
        assert judged[1] < year.expected <= two_sat[0].presented.count()

    def test_a_period_without_sittings(
        self, two_sat: tuple[Sitting, Sitting], plans: dict[str, ExamPlan]
    ) -> None:
        year = plan_year(plans["short-bank"], YEAR_AGO, TODAY - dt.timedelta(days=1), NOON)
        assert (year.sittings, year.judged, year.expected, year.flagged) == (0, None, None, ())

    def test_below_thirty_people_no_consistency_is_given(
        self, two_sat: tuple[Sitting, Sitting], plans: dict[str, ExamPlan]
    ) -> None:
        year = plan_year(plans["short-bank"], YEAR_AGO, TODAY, NOON)
        assert year.consistency.consistency is None
        assert str(year.consistency.reason).endswith("at least 30 are needed.")

    def test_rates_of_few_are_not_given(self) -> None:
        assert PassRate("en", 9, 9).interval is None
        interval = PassRate("en", 9, 10).interval
        assert interval is not None
        # Clopper and Pearson 1934 as tabulated since: 9 of 10, 95 %, .5550 to .9975.
        assert (round(interval.low, 4), round(interval.high, 4)) == (0.5550, 0.9975)

    def test_consistency_from_thirty_people_on(self) -> None:
        rows = [_sat(person, missed=person % 7) for person in range(40)]
        found = plan_consistency(rows)
        assert found.operators == 40
        assert found.consistency is not None
        assert found.accuracy is not None
        assert 0.5 < found.consistency < found.accuracy < 1

    def test_what_was_counted_again_under_other_numbers_is_left_out(self) -> None:
        rows = [_sat(person, missed=person % 7) for person in range(40)]
        assert plan_consistency([*rows, _sat(40, missed=0, good=31)]) == plan_consistency(rows)

    def test_only_a_persons_newest_sitting_counts(self) -> None:
        rows = [_sat(person % 20, missed=1) for person in range(60)]
        assert plan_consistency(rows).operators == 20


def _sat(person: int, *, missed: int, good: int = 30) -> Sat:
    from training.quizzes.full_bank import usual_case
    from training.quizzes.plan_rules import read_rules
    from training.quizzes.scoring import Counts, FamilyCount

    plan = usual_case(read_rules("group", {}))
    families = {name: FamilyCount(8, 0) for name in plan.bad}
    families[next(iter(families))] = FamilyCount(8, missed)
    counts = Counts(families, good, person % 3)
    return Sat(uuid.UUID(int=person), plan, counts)


class TestDue:
    def test_a_plan_is_due_after_a_year_and_not_after_its_review(
        self, plans: dict[str, ExamPlan], quality: Person
    ) -> None:
        due = reviews_due(list(plans.values()), TODAY)
        assert due["group"].due
        assert not due["group"].reviewed
        assert "practice" not in due
        assert not reviews_due([plans["group"]], TODAY - dt.timedelta(days=1))["group"].due
        review(plans["group"], quality)
        assert not reviews_due([plans["group"]], TODAY)["group"].due

    def test_the_list_reminds(
        self, office: Sign, quality: Person, plans: dict[str, ExamPlan]
    ) -> None:
        assert "never reviewed" in office(quality).get("/plans/").content.decode()


def review(plan: ExamPlan, by: Person, **changes: object) -> PlanReview:
    values: dict[str, object] = {
        "plan": plan,
        "from_day": YEAR_AGO,
        "to_day": TODAY,
        "figures": {},
        "decision": "keep",
        "words": "as expected",
        "reviewed_by": by,
        "signature_method": "password",
        "moment": NOON,
        **changes,
    }
    return review_plan(**values)  # type: ignore[arg-type]


class TestDecide:
    def test_it_is_signed_and_kept_with_the_figures(
        self,
        office: Sign,
        quality: Person,
        two_sat: tuple[Sitting, Sitting],
    ) -> None:
        sent = {
            "from_day": YEAR_AGO.isoformat(),
            "to_day": TODAY.isoformat(),
            "decision": "change",
            "words": "half fail; coach first",
            "secret": PASSWORD,
        }
        response = office(quality).post(url(), sent, follow=True)
        kept = PlanReview.objects.get()
        assert kept.words is not None
        assert (kept.decision, kept.words.text) == ("change", "half fail; coach first")
        assert (kept.figures["passed"], kept.figures["decided"]) == (1, 2)
        assert [each.person for each in signatures_of(kept)] == [quality]
        assert "half fail; coach first" in response.content.decode()

    @pytest.mark.parametrize(
        ("wrong", "field"),
        [
            ({"secret": "wrong"}, "secret"),
            ({"decision": "perhaps"}, "decision"),
            ({"words": " "}, "words"),
            ({"from_day": "2026-13-01"}, "from_day"),
        ],
    )
    def test_what_is_wrong_keeps_nothing(
        self,
        office: Sign,
        quality: Person,
        plans: dict[str, ExamPlan],
        wrong: dict[str, str],
        field: str,
    ) -> None:
        sent = {
            "from_day": YEAR_AGO.isoformat(),
            "to_day": TODAY.isoformat(),
            "decision": "keep",
            "words": "fine",
            "secret": PASSWORD,
        }
        response = office(quality).post(url(), sent | wrong)
        assert response.status_code == 400
        assert field in response.context["form"].errors
        assert not PlanReview.objects.exists()

    @pytest.mark.parametrize(
        "changes",
        [
            {"from_day": TODAY, "to_day": YEAR_AGO},
            {"to_day": TODAY + dt.timedelta(days=1)},
            {"words": ""},
        ],
    )
    def test_the_service_refuses(
        self, plans: dict[str, ExamPlan], quality: Person, changes: dict[str, object]
    ) -> None:
        with pytest.raises(ValidationError):
            review(plans["group"], quality, **changes)


class TestPage:
    def test_the_period_can_be_chosen_and_a_wrong_one_is_said(
        self, office: Sign, auditor: Person, plans: dict[str, ExamPlan]
    ) -> None:
        client = office(auditor)
        response = client.get(url("group"), {"from_day": "2026-01-01", "to_day": "2026-03-31"})
        assert response.context["year"].from_day == dt.date(2026, 1, 1)
        response = client.get(url("group"), {"from_day": "2026-03-01", "to_day": "2026-01-31"})
        assert "end before it begins" in response.content.decode()

    def test_auditors_read_and_do_not_decide(
        self, office: Sign, auditor: Person, plans: dict[str, ExamPlan]
    ) -> None:
        client = office(auditor)
        assert client.get(url()).context["form"] is None
        assert client.post(url(), {}).status_code == 403

    def test_trainers_may_not(
        self, office: Sign, trainer: Person, plans: dict[str, ExamPlan]
    ) -> None:
        assert office(trainer).get(url()).status_code == 403

    @pytest.mark.parametrize("code", ["made-up", "practice"])
    def test_nothing_to_review(
        self, office: Sign, quality: Person, plans: dict[str, ExamPlan], code: str
    ) -> None:
        assert office(quality).get(url(code)).status_code == 404

    def test_wrong_method(self, office: Sign, quality: Person, plans: dict[str, ExamPlan]) -> None:
        assert office(quality).put(url()).status_code == 405

    def test_queries(
        self,
        office: Sign,
        quality: Person,
        two_sat: tuple[Sitting, Sitting],
        count_queries: Callable[..., int],
    ) -> None:
        client = office(quality)
        assert count_queries(lambda: client.get(url())) <= 34
