"""A review that withdraws a plan: no exam is opened under it, what runs goes on, a revision returns."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.test import Client

from tests.conftest import NOON, PASSWORD, TODAY
from tests.training.quizzes.turning import sit
from training.people.models import Person
from training.quizzes.models import ExamPlan, PlanReview, Sitting
from training.quizzes.offers import best_offers
from training.quizzes.plan_rules import read_rules
from training.quizzes.selectors.bank import bank_for
from training.quizzes.selectors.plan_reviews import reviews_due
from training.quizzes.selectors.plans import (
    plan_in_force,
    plan_standing,
    plan_standings,
    plans_in_force,
    withdrawal_of,
    withdrawing,
)
from training.quizzes.selectors.wanted import specimens_wanted
from training.quizzes.services.plan_reviews import review_plan
from training.quizzes.services.plans import publish_plan
from training.specimens.models import Pool

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
YESTERDAY, TOMORROW = TODAY - dt.timedelta(days=1), TODAY + dt.timedelta(days=1)
LATER = NOON + dt.timedelta(minutes=5)


def review(
    plan: ExamPlan, by: Person, decision: str = "withdraw", moment: dt.datetime = NOON
) -> PlanReview:
    return review_plan(
        plan=plan,
        from_day=YESTERDAY,
        to_day=TODAY,
        figures={},
        decision=decision,
        words="nobody is examined by it",
        reviewed_by=by,
        signature_method="password",
        moment=moment,
    )


def revise(plan: ExamPlan, by: Person, day: dt.date = TODAY) -> ExamPlan:
    return publish_plan(
        code=plan.code,
        form=plan.form,
        name=plan.name,
        parameters=plan.parameters,
        reason="as before",
        day=day,
        published_by=by,
    )


@pytest.fixture
def short(plans: dict[str, ExamPlan]) -> ExamPlan:
    return plans["short-bank"]


class TestInForce:
    """One place answers whether a plan is in force on a day."""

    def test_from_the_day_of_the_signature_it_is_not(
        self, short: ExamPlan, quality: Person
    ) -> None:
        fact = review(short, quality)
        assert plan_in_force("short-bank", YESTERDAY) == short
        for day in (TODAY, TOMORROW):
            assert plan_in_force("short-bank", day) is None
            assert short not in plans_in_force(day)
            standing = plan_standing("short-bank", day)
            assert standing is not None
            assert (standing.plan, standing.withdrawn) == (short, fact)

    @pytest.mark.parametrize("decision", ["keep", "change"])
    def test_other_decisions_leave_it_in_force(
        self, short: ExamPlan, quality: Person, decision: str
    ) -> None:
        review(short, quality, decision)
        assert plan_in_force("short-bank", TOMORROW) == short

    def test_other_plans_stay(self, short: ExamPlan, quality: Person) -> None:
        review(short, quality)
        left = {plan.code for plan in plans_in_force(TODAY)}
        assert left == {"group", "practice", "light-booth", "requalification"}

    def test_a_new_revision_puts_the_plan_in_force_again(
        self, short: ExamPlan, quality: Person
    ) -> None:
        fact = review(short, quality)
        again = revise(short, quality, TOMORROW)
        assert plan_in_force("short-bank", TODAY) is None
        assert plan_in_force("short-bank", TOMORROW) == again
        # What was withdrawn stays withdrawn.
        assert withdrawal_of(short, TOMORROW) == fact
        assert withdrawal_of(again, TOMORROW) is None

    def test_withdrawing_a_later_revision_withdraws_those_before_it(
        self, short: ExamPlan, quality: Person
    ) -> None:
        """Else the old rule would be used until the day of the new one."""
        review(revise(short, quality, TOMORROW), quality)
        assert plan_in_force("short-bank", TODAY) is None
        assert plan_in_force("short-bank", TOMORROW) is None

    def test_it_costs_two_queries(
        self, short: ExamPlan, quality: Person, count_queries: Callable[..., int]
    ) -> None:
        review(short, quality)
        assert count_queries(lambda: plan_standings(TODAY)) == 2
        assert count_queries(lambda: plan_in_force("group", TODAY)) == 2

    def test_no_review_is_due_of_what_is_withdrawn_in_the_list(
        self, short: ExamPlan, quality: Person, office: Sign
    ) -> None:
        assert reviews_due([short], TODAY + dt.timedelta(days=400))["short-bank"].due
        review(short, quality)
        page = office(quality).get("/plans/").content.decode()
        assert "Withdrawn by the review of 25 Nov 2026, signed by Quentin Quality." in page


class TestService:
    def test_no_exam_is_opened_and_it_says_who_when_and_what_instead(
        self, open_exam: Callable[..., Sitting], operator: Person, short: ExamPlan, quality: Person
    ) -> None:
        review(short, quality)
        with pytest.raises(ValidationError) as refused:
            open_exam(operator, LATER)
        (said,) = refused.value.messages
        assert "Short-bank plan, revision 1, is not in force any more." in said
        assert "review of 25 Nov 2026, signed by Quentin Quality." in said
        assert "Group plan" in said
        assert not Sitting.objects.exists()

    def test_an_exam_that_runs_goes_on_and_decides(
        self, exam: Sitting, short: ExamPlan, quality: Person
    ) -> None:
        assert [row.number for row in withdrawing(short, TODAY).running] == [exam.number]
        review(short, quality)
        assert sit(exam).result == "passed"
        assert withdrawing(short, TODAY).running == ()

    def test_an_exam_is_opened_under_the_new_revision(
        self, open_exam: Callable[..., Sitting], operator: Person, short: ExamPlan, quality: Person
    ) -> None:
        review(short, quality)
        again = revise(short, quality)
        assert open_exam(operator, LATER, plan=again).plan == again
        with pytest.raises(ValidationError, match="not in force any more"):
            open_exam(quality, LATER, plan=short)

    def test_it_is_withdrawn_once(self, short: ExamPlan, quality: Person) -> None:
        review(short, quality)
        for decision in PlanReview.Decision.values:
            with pytest.raises(ValidationError, match="withdrawn already"):
                review(short, quality, decision, LATER)


class TestOffers:
    """A plan that is not in force is passed over, never offered."""

    def test_without_the_group_plan_families_sit_the_short_one(
        self, bank: SimpleNamespace, operator: Person
    ) -> None:
        found = bank_for(operator, pool=Pool.EXAM, day=TODAY)
        rules = read_rules("short_bank", {})
        offers = best_offers(found.candidates, ["black-specks"], group=None, short=rules)
        assert [offer.plan.form for offer in offers.offers] == ["short_bank"]
        assert offers.wanted_for_group == ()

    def test_without_the_short_plan_it_says_what_the_group_plan_wants(
        self, bank: SimpleNamespace, operator: Person
    ) -> None:
        found = bank_for(operator, pool=Pool.EXAM, day=TODAY)
        rules = read_rules("group", {})
        offers = best_offers(found.candidates, ["black-specks"], group=rules, short=None)
        assert offers.offers == ()
        assert [each.family for each in offers.wanted_for_group][:1] == ["black-specks"]

    def test_without_both_nothing(self, bank: SimpleNamespace, operator: Person) -> None:
        found = bank_for(operator, pool=Pool.EXAM, day=TODAY)
        offers = best_offers(found.candidates, ["black-specks"], group=None, short=None)
        assert offers.offers == offers.wanted == offers.wanted_for_group == ()

    def test_nothing_is_wanted_for_a_step_that_is_not_in_force(
        self,
        bank: SimpleNamespace,
        plans: dict[str, ExamPlan],
        quality: Person,
    ) -> None:
        before = {(row.slug, row.why, row.stratum) for row in specimens_wanted(TODAY)}
        review(plans["group"], quality)
        after = {(row.slug, row.why, row.stratum) for row in specimens_wanted(TODAY)}
        assert before
        assert after < before
        assert not any(row.why == "short" for row in specimens_wanted(TODAY))


class TestOpening:
    def url(self, person: Person) -> str:
        return f"/sittings/open/?person={person.personnel_no}&family=black-specks"

    def test_the_page_says_what_is_withdrawn_and_offers_it_not(
        self,
        office: Sign,
        trainer: Person,
        operator: Person,
        bank: SimpleNamespace,
        short: ExamPlan,
        quality: Person,
    ) -> None:
        client = office(trainer)
        before = client.get(self.url(operator))
        assert [each["plan"] for each in before.context["offers"]] == [short]
        review(short, quality)
        page = client.get(self.url(operator))
        assert page.context["offers"] == []
        assert [each["name"] for each in page.context["withdrawn"]] == ["Short-bank plan"]
        assert "Withdrawn by the review of 25 Nov 2026" in page.content.decode()
        assert not page.context["no_plan"]

    def test_a_form_that_was_open_before_is_refused(
        self,
        office: Sign,
        trainer: Person,
        operator: Person,
        bank: SimpleNamespace,
        short: ExamPlan,
        quality: Person,
        device: object,
    ) -> None:
        review(short, quality)
        sent = {
            "person": operator.personnel_no,
            "family": "black-specks",
            "plan": "short-bank",
            "secret": PASSWORD,
            "device": str(device.pk),  # type: ignore[attr-defined]
            "language": "en",
        }
        response = office(trainer).post("/sittings/open/", sent)
        assert response.status_code == 400
        assert "is not in force any more" in response.content.decode()
        assert not Sitting.objects.exists()


class TestReviewPage:
    URL = "/plans/short-bank/review/"

    def sent(self, **more: str) -> dict[str, str]:
        return {
            "from_day": YESTERDAY.isoformat(),
            "to_day": TODAY.isoformat(),
            "decision": "withdraw",
            "words": "nobody is examined by it",
            "secret": PASSWORD,
            **more,
        }

    def test_it_says_beforehand_what_will_happen(
        self, office: Sign, quality: Person, exam: Sitting
    ) -> None:
        page = office(quality).get(self.URL).content.decode()
        assert "If it is to be withdrawn" in page
        assert "no exam is opened under revision 1 or one before it" in page
        assert f"{exam.number} is running and goes on to its end" in page
        assert "Group plan" in page

    def test_without_the_tick_nothing_is_signed(
        self, office: Sign, quality: Person, short: ExamPlan
    ) -> None:
        response = office(quality).post(self.URL, self.sent())
        assert response.status_code == 400
        assert "withdraw" in response.context["form"].errors
        assert not PlanReview.objects.exists()

    def test_with_it_the_plan_is_withdrawn(
        self, office: Sign, quality: Person, short: ExamPlan
    ) -> None:
        client = office(quality)
        page = client.post(self.URL, self.sent(withdraw="on"), follow=True)
        assert "The plan is withdrawn." in page.content.decode()
        assert plan_in_force("short-bank", TODAY) is None
        assert page.context["form"] is None
        assert client.post(self.URL, self.sent(decision="keep")).status_code == 400
        assert PlanReview.objects.count() == 1

    def test_a_tick_left_over_withdraws_nothing(
        self, office: Sign, quality: Person, short: ExamPlan
    ) -> None:
        office(quality).post(self.URL, self.sent(decision="keep", withdraw="on"))
        assert PlanReview.objects.get().decision == "keep"
        assert plan_in_force("short-bank", TODAY) == short


class TestPlanPages:
    def test_the_list_shows_it_below_the_others(
        self, office: Sign, quality: Person, plans: dict[str, ExamPlan]
    ) -> None:
        review(plans["group"], quality)
        rows = office(quality).get("/plans/").context["rows"]
        assert [bool(row["withdrawn"]) for row in rows] == [False] * 4 + [True]
        assert rows[-1]["plan"] == plans["group"]
        assert rows[-1]["due"] == ""

    def test_the_plans_page_says_what_still_runs_and_what_is_used_instead(
        self, office: Sign, quality: Person, auditor: Person, exam: Sitting, short: ExamPlan
    ) -> None:
        review(short, quality)
        page = office(auditor).get("/plans/short-bank/")
        text = page.content.decode()
        assert not page.context["in_force"]
        assert page.context["bank"] is None
        assert f"{exam.number} is running and goes on to its end" in text
        assert "Exams are opened under these instead" in text
        assert "/plans/short-bank/revise/" not in text
        assert (
            "/plans/short-bank/revise/"
            in office(quality).get("/plans/short-bank/").content.decode()
        )

    def test_a_new_revision_is_in_force_on_its_page(
        self, office: Sign, quality: Person, short: ExamPlan
    ) -> None:
        review(short, quality)
        revise(short, quality)
        client = office(quality)
        assert client.get("/plans/short-bank/").context["in_force"]
        old = client.get("/plans/short-bank/?revision=1")
        assert not old.context["in_force"]
        assert old.context["withdrawn"]
        assert client.get("/plans/short-bank/review/").context["form"] is not None
