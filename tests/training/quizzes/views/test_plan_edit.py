"""Writing exam plans: the figures before anything is signed, the draft, the second signature."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client

from tests.conftest import NOON, PASSWORD, TODAY
from training.people.models import Person
from training.people.signing import signatures_of
from training.quizzes.models import ExamPlan
from training.quizzes.plan_rules import own_table, read_rules
from training.quizzes.selectors.plans import plan_in_force
from training.quizzes.services.plans import approve_plan, discard_draft, write_plan

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
ADD = "/plans/new/"
OWN = {
    "kind": "own",
    "do": "sign",
    "code": "inspectors",
    "name_en": "Own plan of the inspectors",
    "name_es": "",
    "day": TODAY.isoformat(),
    "reason": "a complaint about burn marks",
    "p_ok": "5",
    "p_bad": "25",
    "alpha": "5",
    "beta": "10",
    "critical_p_ok": "2",
    "critical_p_bad": "15",
    "critical_alpha": "5",
    "critical_beta": "10",
    "most_synthetic": "40",
    "wait_days": "7",
    "tries": "3",
    "bad_0": "25",
    "bad_1": "45",
    "bad_2": "30",
    "good_0": "25",
    "good_1": "15",
    "good_2": "60",
    "pictured": "on",
    "secret": PASSWORD,
}


def changed(**other: str) -> dict[str, str]:
    return {**OWN, **other}


class TestAdd:
    @pytest.mark.parametrize("kind", ["group", "own", "fixed", "short_bank"])
    def test_each_kind_begins_with_its_defaults_worked_out(
        self, office: Sign, quality: Person, kind: str
    ) -> None:
        response = office(quality).get(ADD, {"kind": kind})
        assert response.status_code == 200
        figures = response.context["figures"]
        assert figures["lengths"]
        assert figures["worth"]
        for chart in ("operating", "operating_good"):
            assert len(figures[chart].points) >= 2

    def test_working_out_saves_nothing_and_asks_no_secret(
        self, office: Sign, quality: Person
    ) -> None:
        response = office(quality).post(ADD, changed(do="preview", secret="", code="", reason=""))
        assert response.status_code == 200
        table = own_table(response.context["form"].rules, critical=False)
        assert f"at the latest after {table.cap}" in response.content.decode()
        assert not ExamPlan.objects.exists()

    def test_it_is_kept_as_a_draft_that_is_not_in_force(
        self, office: Sign, quality: Person
    ) -> None:
        response = office(quality).post(ADD, OWN, follow=True)
        plan = ExamPlan.objects.get()
        assert (plan.is_draft, plan.written_by, plan.published_by) == (True, quality, None)
        assert plan.parameters["p_bad"] == 0.25
        assert read_rules("own", plan.parameters).most_synthetic == 40
        assert plan_in_force("inspectors", TODAY) is None
        assert "waits for a second signature" in response.content.decode()
        assert [each.meaning for each in signatures_of(plan)] == ["wrote an exam plan"]

    @pytest.mark.parametrize(
        ("wrong", "field"),
        [
            ({"p_ok": "30"}, "p_bad"),
            ({"critical_p_bad": "1"}, "critical_p_bad"),
            ({"bad_2": "31"}, "bad_0"),
            ({"code": "Ünfit"}, "code"),
            ({"code": "wanted"}, "code"),
            ({"name_en": ""}, "name_en"),
            ({"reason": ""}, "reason"),
            ({"most_synthetic": "101"}, "most_synthetic"),
            ({"alpha": "0"}, "alpha"),
            ({"secret": "wrong"}, "secret"),
        ],
    )
    def test_what_is_wrong_is_said_at_its_field(
        self, office: Sign, quality: Person, wrong: dict[str, str], field: str
    ) -> None:
        response = office(quality).post(ADD, changed(**wrong))
        assert response.status_code == 400
        assert field in response.context["form"].errors
        assert not ExamPlan.objects.exists()

    def test_a_code_that_is_taken(
        self, office: Sign, quality: Person, plans: dict[str, ExamPlan]
    ) -> None:
        response = office(quality).post(ADD, changed(code="group"))
        assert "code" in response.context["form"].errors

    def test_a_plan_too_long_for_any_sitting_is_refused_with_the_remedy(
        self, office: Sign, quality: Person
    ) -> None:
        response = office(quality).post(ADD, changed(p_ok="0.5", p_bad="1", do="preview"))
        assert "widen the gap" in response.content.decode()

    def test_an_unknown_kind(self, office: Sign, quality: Person) -> None:
        assert office(quality).get(ADD, {"kind": "practice"}).status_code == 404

    def test_trainers_and_auditors_may_not(
        self, office: Sign, trainer: Person, auditor: Person
    ) -> None:
        for person in (trainer, auditor):
            assert office(person).get(ADD).status_code == 403
            assert office(person).post(ADD, OWN).status_code == 403

    def test_wrong_method(self, office: Sign, quality: Person) -> None:
        assert office(quality).put(ADD).status_code == 405

    def test_queries(
        self, office: Sign, quality: Person, count_queries: Callable[..., int]
    ) -> None:
        client = office(quality)
        assert count_queries(lambda: client.get(ADD)) <= 14


class TestRevise:
    def test_it_begins_with_the_newest_and_keeps_its_kind(
        self, office: Sign, quality: Person, plans: dict[str, ExamPlan]
    ) -> None:
        form = office(quality).get("/plans/group/revise/").context["form"]
        assert form.initial["p_bad"] == "20"
        assert "code" not in form.fields
        assert "misses_allowed" not in form.fields

    def test_it_becomes_the_next_revision_once_signed_twice(
        self, office: Sign, quality: Person, trainer: Person, plans: dict[str, ExamPlan]
    ) -> None:
        page = office(quality).get("/plans/group/revise/").context["form"]
        fields = {name: page[name].value() for name in page.fields}
        sent = {name: value for name, value in fields.items() if value not in (None, False)}
        sent |= {"good": "40", "reason": "more good parts", "secret": PASSWORD, "do": "sign"}
        sent["day"] = TODAY.isoformat()
        office(quality).post("/plans/group/revise/", sent)
        assert plan_in_force("group", TODAY) == plans["group"]
        office(trainer).post("/plans/group/approve/", {"secret": PASSWORD})
        plan = plan_in_force("group", TODAY)
        assert plan is not None
        assert (plan.revision, plan.parameters["good"], plan.published_by) == (2, 40, trainer)
        # The one before it stands as it was.
        old = ExamPlan.objects.get(pk=plans["group"].pk)
        assert (old.parameters, old.day) == (plans["group"].parameters, plans["group"].day)

    @pytest.mark.parametrize("code", ["made-up", "practice"])
    def test_nothing_to_revise(
        self, office: Sign, quality: Person, plans: dict[str, ExamPlan], code: str
    ) -> None:
        assert office(quality).get(f"/plans/{code}/revise/").status_code == 404

    def test_trainers_may_not(
        self, office: Sign, trainer: Person, plans: dict[str, ExamPlan]
    ) -> None:
        assert office(trainer).get("/plans/group/revise/").status_code == 403


@pytest.fixture
def draft(quality: Person, plans: dict[str, ExamPlan]) -> ExamPlan:
    return write_plan(
        code="group",
        form="group",
        name={"en": "Group plan"},
        parameters={"good": 40},
        reason="more good parts",
        day=TODAY,
        written_by=quality,
        signature_method="password",
        moment=NOON,
    )


class TestApproveAndDiscard:
    def test_the_writer_may_not_approve(
        self, office: Sign, quality: Person, draft: ExamPlan
    ) -> None:
        response = office(quality).post("/plans/group/approve/", {"secret": PASSWORD}, follow=True)
        assert "somebody else" in response.content.decode()
        assert ExamPlan.objects.get(pk=draft.pk).is_draft

    @pytest.mark.parametrize("secret", ["", "wrong"])
    def test_nothing_is_approved_without_the_secret(
        self, office: Sign, trainer: Person, draft: ExamPlan, secret: str
    ) -> None:
        office(trainer).post("/plans/group/approve/", {"secret": secret})
        assert ExamPlan.objects.get(pk=draft.pk).is_draft

    def test_a_draft_is_thrown_away_and_a_published_one_is_not(
        self, office: Sign, quality: Person, draft: ExamPlan, plans: dict[str, ExamPlan]
    ) -> None:
        office(quality).post("/plans/group/discard/")
        assert not ExamPlan.objects.filter(pk=draft.pk).exists()
        assert office(quality).post("/plans/group/discard/").status_code == 404
        with pytest.raises(ValidationError, match="stays"):
            discard_draft(plan=plans["group"])

    def test_a_second_draft_waits_for_the_first(self, quality: Person, draft: ExamPlan) -> None:
        with pytest.raises(ValidationError, match="approve or discard it first"):
            write_plan(
                code="group",
                form="group",
                name={"en": "Group plan"},
                parameters={},
                reason="again",
                day=TODAY,
                written_by=quality,
                signature_method="password",
                moment=NOON,
            )

    def test_a_published_one_is_not_approved_again(
        self, trainer: Person, plans: dict[str, ExamPlan]
    ) -> None:
        with pytest.raises(ValidationError, match="published already"):
            approve_plan(
                plan=plans["group"], approved_by=trainer, signature_method="pin", moment=NOON
            )

    def test_who_may_not(
        self, office: Sign, auditor: Person, trainer: Person, draft: ExamPlan
    ) -> None:
        assert office(auditor).post("/plans/group/approve/").status_code == 403
        assert office(trainer).post("/plans/group/discard/").status_code == 403

    @pytest.mark.parametrize("step", ["approve", "discard"])
    def test_wrong_method(self, office: Sign, quality: Person, draft: ExamPlan, step: str) -> None:
        assert office(quality).get(f"/plans/group/{step}/").status_code == 405

    def test_the_draft_stands_on_the_list_and_on_the_plan(
        self, office: Sign, trainer: Person, draft: ExamPlan
    ) -> None:
        client = office(trainer)
        assert "waits for a second signature" in client.get("/plans/").content.decode()
        page: Any = client.get("/plans/group/", {"revision": 2})
        assert page.context["plan"] == draft
        assert "put revision 2 in force" in page.content.decode()
