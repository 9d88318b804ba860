"""Opening an exam: who may, for whom, which plan is offered, and the invigilator's signature."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import PASSWORD, PIN
from tests.training.quizzes.bank import fill
from tests.training.quizzes.conftest import LONG_AGO
from training.people.models import Device, Person, Signature
from training.people.signing import signatures_of
from training.quizzes.models import ExamPlan, Sitting

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
OPEN = "/sittings/open/"


@pytest.fixture
def fields(
    plans: dict[str, ExamPlan], bank: SimpleNamespace, operator: Person, device: Device
) -> dict[str, object]:
    """What the page sends for an exam that can be opened, from the tablet."""
    return {
        "person": operator.personnel_no,
        "family": ["black-specks"],
        "plan": "short-bank",
        "device": str(device.pk),
        "language": "es",
        "secret": PIN,
    }


def signed(sitting: Sitting) -> Signature:
    """Return the one signature that stands under a sitting."""
    return signatures_of(sitting).get()


class TestPerson:
    def test_people_are_found_by_name_number_and_badge(
        self, office: Sign, trainer: Person, operator: Person
    ) -> None:
        client = office(trainer)
        badge = operator.badges.get().number
        for query in ("otto", operator.personnel_no, badge):
            found = [each.person for each in client.get(OPEN, {"q": query}).context["people"]]
            assert found == [operator]

    def test_nobody_found_is_said(self, office: Sign, trainer: Person) -> None:
        assert "Nobody found." in office(trainer).get(OPEN, {"q": "zzz"}).content.decode()

    def test_an_unknown_number_is_not_found(self, office: Sign, trainer: Person) -> None:
        assert office(trainer).get(OPEN, {"person": "0"}).status_code == 404


class TestPlanShown:
    def test_families_say_what_the_bank_carries(
        self, office: Sign, trainer: Person, operator: Person, bank: SimpleNamespace, plans: object
    ) -> None:
        page = office(trainer).get(OPEN, {"person": operator.personnel_no}).content.decode()
        assert "Exam for Otto Operator" in page
        assert "14 / 14" in page
        assert "Not examinable yet, specimens wanted:" in page

    def test_the_plan_of_the_chosen_families_is_worked_out(
        self, office: Sign, trainer: Person, operator: Person, bank: SimpleNamespace, plans: object
    ) -> None:
        chosen = {"person": operator.personnel_no, "family": ["black-specks"]}
        response = office(trainer).get(OPEN, chosen)
        (offer,) = response.context["offers"]
        assert (offer["plan"].code, offer["is_short"], offer["total"]) == ("short-bank", True, 24)
        assert offer["risks"]

    def test_a_family_the_bank_cannot_carry_names_what_is_wanted(
        self, office: Sign, trainer: Person, operator: Person, bank: SimpleNamespace, plans: object
    ) -> None:
        fill(bank, bank.burn, bad=2, good=2, moment=LONG_AGO)
        chosen = {"person": operator.personnel_no, "family": ["burn"]}
        response = office(trainer).get(OPEN, chosen)
        assert response.context["offers"] == []
        assert any("Burn mark" in line for line in response.context["wanted"])

    def test_without_a_published_plan_it_is_said(
        self, office: Sign, trainer: Person, operator: Person, bank: SimpleNamespace
    ) -> None:
        page = office(trainer).get(OPEN, {"person": operator.personnel_no}).content.decode()
        assert "No exam plan is published yet." in page

    def test_queries_do_not_grow_with_families(
        self,
        office: Sign,
        trainer: Person,
        operator: Person,
        bank: SimpleNamespace,
        plans: object,
        count_queries: Callable[..., int],
    ) -> None:
        client = office(trainer)
        few = count_queries(lambda: client.get(OPEN, {"person": operator.personnel_no}))
        for family in (bank.burn, bank.grease):
            fill(bank, family, bad=14, good=14, moment=LONG_AGO)
        more = count_queries(lambda: client.get(OPEN, {"person": operator.personnel_no}))
        assert more == few


class TestSigning:
    def test_it_opens_on_the_invigilators_pin(
        self,
        floor: Sign,
        trainer: Person,
        operator: Person,
        device: Device,
        fields: dict[str, object],
    ) -> None:
        response = floor(trainer).post(OPEN, fields)
        sitting = Sitting.objects.get()
        assert response.url == reverse("quizzes:screen_check", args=[sitting.pk])  # type: ignore[attr-defined]
        assert (sitting.person, sitting.invigilator, sitting.device) == (operator, trainer, device)
        assert sitting.language == "es"
        assert signed(sitting).method == "pin"

    def test_it_opens_on_a_password_at_the_office(
        self, office: Sign, quality: Person, fields: dict[str, object]
    ) -> None:
        office(quality).post(OPEN, fields | {"secret": PASSWORD})
        assert signed(Sitting.objects.get()).method == "password"

    def test_critical_level_is_only_what_was_chosen(
        self, floor: Sign, trainer: Person, fields: dict[str, object]
    ) -> None:
        floor(trainer).post(OPEN, fields | {"critical": ["grease-oil"]})
        assert Sitting.objects.get().critical_families == []

    @pytest.mark.parametrize(
        ("changed", "message"),
        [
            ({"secret": "000000"}, ""),
            ({"secret": ""}, "This field is required."),
            ({"device": ""}, "This field is required."),
            ({"device": "0190aaaa-0000-7000-8000-000000000000"}, "Select a valid choice."),
            ({"language": "fr"}, "Select a valid choice."),
            ({"plan": "made-up"}, "Choose one of the plans below."),
            ({"family": []}, ""),
        ],
    )
    def test_bad_input_opens_nothing(
        self,
        floor: Sign,
        trainer: Person,
        fields: dict[str, object],
        changed: dict[str, object],
        message: str,
    ) -> None:
        response = floor(trainer).post(OPEN, fields | changed)
        assert response.status_code == 400
        assert message in response.content.decode()
        assert not Sitting.objects.exists()

    def test_nobody_examines_themselves(
        self, floor: Sign, trainer: Person, fields: dict[str, object]
    ) -> None:
        response = floor(trainer).post(OPEN, fields | {"person": trainer.personnel_no})
        assert response.status_code == 400
        assert response.context["form"].non_field_errors()
        assert not Sitting.objects.exists()

    def test_a_withdrawn_tablet_is_no_choice(
        self, office: Sign, quality: Person, device: Device, fields: dict[str, object]
    ) -> None:
        device.withdrawn_at = device.enrolled_at + dt.timedelta(days=1)
        device.save()
        response = office(quality).post(OPEN, fields | {"secret": PASSWORD})
        assert response.status_code == 400
        assert not Sitting.objects.exists()

    def test_an_operator_may_not(
        self, floor: Sign, new_hire: Person, fields: dict[str, object]
    ) -> None:
        assert floor(new_hire).post(OPEN, fields).status_code == 403
        assert not Sitting.objects.exists()

    def test_wrong_method(self, floor: Sign, trainer: Person) -> None:
        assert floor(trainer).delete(OPEN).status_code == 405


class TestOpened:
    def test_it_hands_the_tablet_over(self, floor: Sign, trainer: Person, exam: Sitting) -> None:
        response = floor(trainer).get(reverse("quizzes:opened", args=[exam.pk]))
        assert response.context["here"]
        assert "Sign out and hand over the tablet" in response.content.decode()

    def test_at_the_office_the_tablet_is_elsewhere(
        self, office: Sign, trainer: Person, exam: Sitting
    ) -> None:
        assert not office(trainer).get(reverse("quizzes:opened", args=[exam.pk])).context["here"]

    def test_practice_is_not_opened_by_anybody(
        self, floor: Sign, trainer: Person, practice: Sitting
    ) -> None:
        response = floor(trainer).get(reverse("quizzes:opened", args=[practice.pk]))
        assert response.status_code == 403

    def test_wrong_method(self, floor: Sign, trainer: Person, exam: Sitting) -> None:
        assert floor(trainer).post(reverse("quizzes:opened", args=[exam.pk])).status_code == 405


class TestRealParts:
    """The same page, with numbered real parts instead of pictures."""

    @pytest.fixture(autouse=True)
    def _parts(self, bank: SimpleNamespace) -> None:
        fill(bank, bank.burn, bad=24, good=34, moment=LONG_AGO, pictured=False)

    def test_they_are_counted_only_when_asked_for(
        self, office: Sign, trainer: Person, operator: Person, plans: dict[str, ExamPlan]
    ) -> None:
        asked = {"person": operator.personnel_no}
        assert "24 / 24" not in office(trainer).get(OPEN, asked).content.decode()
        assert "24 / 24" in office(trainer).get(OPEN, asked | {"on": "parts"}).content.decode()

    def test_other_plans_that_the_parts_carry_are_offered(
        self, office: Sign, trainer: Person, operator: Person, plans: dict[str, ExamPlan]
    ) -> None:
        asked = {"person": operator.personnel_no, "family": "burn", "on": "parts"}
        page = office(trainer).get(OPEN, asked).content.decode()
        assert "Or by another plan" in page
        assert 'value="light-booth"' in page
        without = office(trainer).get(OPEN, asked | {"on": ""}).content.decode()
        assert 'value="light-booth"' not in without

    def test_an_exam_on_them_shows_parts_only(
        self,
        floor: Sign,
        trainer: Person,
        fields: dict[str, object],
    ) -> None:
        sent = fields | {"family": ["burn"], "plan": "light-booth", "on": "parts"}
        assert floor(trainer).post(OPEN, sent).status_code == 302
        sitting = Sitting.objects.get()
        views = sitting.presented.values_list("specimen__views", flat=True)
        assert set(views) == {None}
        assert (sitting.kind, sitting.plan.code) == ("qualification", "light-booth")

    def test_the_requalification_plan_opens_a_requalification(
        self, floor: Sign, trainer: Person, bank: SimpleNamespace, fields: dict[str, object]
    ) -> None:
        fill(bank, bank.grease, bad=40, good=34, moment=LONG_AGO, pictured=False)
        sent = fields | {"family": ["grease-oil"], "plan": "requalification", "on": "parts"}
        response = floor(trainer).post(OPEN, sent)
        assert response.status_code == 302
        assert Sitting.objects.get().kind == "requalification"
