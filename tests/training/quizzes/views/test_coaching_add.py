"""The page that records coaching, and what the pages around it say of another try."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
import time_machine
from django.contrib.auth.models import Group
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON, PASSWORD, PIN
from tests.training.quizzes.bank import fill
from tests.training.quizzes.conftest import LONG_AGO
from tests.training.quizzes.test_record_coaching import coach, failed, lenient, sit
from training.people.models import Person
from training.quizzes.models import Coaching, Sitting

__all__ = ["failed", "lenient"]
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]


def address(sitting: Sitting) -> str:
    return reverse("quizzes:coaching_add", args=[sitting.pk])


FIELDS: dict[str, object] = {
    "families": ["black-specks"],
    "day": "2026-11-25",
    "minutes": "20",
    "words": "Went through the four parts that were missed.",
    "secret": PIN,
}


def test_a_trainer_signs_on_the_floor(floor: Sign, trainer: Person, failed: Sitting) -> None:
    client = floor(trainer)
    page = client.get(address(failed)).content.decode()
    assert "Coaching: Otto Operator" in page
    assert "Black specks" in page
    response = client.post(address(failed), FIELDS)
    assert response.url == reverse("quizzes:result", args=[failed.pk])  # type: ignore[attr-defined]
    row = Coaching.objects.get()
    assert (row.coach, row.families, row.minutes) == (trainer, ["black-specks"], 20)


def test_quality_signs_at_the_office_and_releases(
    office: Sign, quality: Person, failed: Sitting
) -> None:
    client = office(quality)
    client.post(address(failed), FIELDS | {"secret": PASSWORD, "minutes": ""})
    assert Coaching.objects.get().minutes is None
    assert "released another try" in client.get(address(failed)).content.decode()


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"secret": "000000"}, "Nothing was signed."),
        ({"families": []}, "This field is required."),
        ({"families": ["burn"]}, "Select a valid choice."),
        ({"day": "2026-11-26"}, "Coaching lies between the exam"),
        ({"minutes": "0"}, "greater than or equal to 1"),
        ({"words": ""}, "This field is required."),
    ],
)
def test_bad_input_records_nothing(
    floor: Sign,
    trainer: Person,
    failed: Sitting,
    changed: dict[str, object],
    message: str,
) -> None:
    response = floor(trainer).post(address(failed), FIELDS | changed)
    assert response.status_code == 400
    assert message in response.content.decode()
    assert not Coaching.objects.exists()


def test_who_may_not(
    office: Sign,
    floor: Sign,
    operator: Person,
    new_hire: Person,
    auditor: Person,
    failed: Sitting,
) -> None:
    assert floor(new_hire).get(address(failed)).status_code == 403
    assert office(auditor).get(address(failed)).status_code == 403
    operator.groups.add(Group.objects.get(name="trainer"))
    assert floor(operator).get(address(failed)).status_code == 403


def test_an_exam_that_was_passed_has_no_such_page(
    floor: Sign, trainer: Person, exam: Sitting
) -> None:
    assert floor(trainer).get(address(exam)).status_code == 404


def test_wrong_method(floor: Sign, trainer: Person, failed: Sitting) -> None:
    assert floor(trainer).delete(address(failed)).status_code == 405


def test_queries_do_not_grow_with_coachings(
    floor: Sign, trainer: Person, failed: Sitting, count_queries: Callable[..., int]
) -> None:
    client = floor(trainer)
    coach(failed, trainer)
    one = count_queries(lambda: client.get(address(failed)))
    for _ in range(3):
        coach(failed, trainer)
    assert count_queries(lambda: client.get(address(failed))) == one


class TestAround:
    def test_the_result_says_what_another_try_waits_for(
        self, office: Sign, trainer: Person, failed: Sitting
    ) -> None:
        page = office(trainer).get(reverse("quizzes:result", args=[failed.pk])).content.decode()
        assert "Try 2 of 3 within 90 days." in page
        assert "was not passed, and no coaching since." in page
        assert "on 26 Nov 2026 at the earliest" in page
        assert "What several tries do to the risk" in page
        assert address(failed) in page

    def test_the_person_sees_it_without_the_link(
        self, floor: Sign, operator: Person, failed: Sitting
    ) -> None:
        page = floor(operator).get(reverse("quizzes:result", args=[failed.pk])).content.decode()
        assert "What several tries do to the risk" in page
        assert address(failed) not in page

    def test_a_passed_exam_says_nothing_of_it(
        self, office: Sign, trainer: Person, exam: Sitting
    ) -> None:
        sit(exam, NOON, rightly=True)
        page = office(trainer).get(reverse("quizzes:result", args=[exam.pk])).content.decode()
        assert "Another try" not in page

    def test_the_opening_page_names_what_is_missing_and_does_not_offer_to_sign(
        self,
        office: Sign,
        trainer: Person,
        new_hire: Person,
        bank: SimpleNamespace,
        open_exam: Callable[..., Sitting],
    ) -> None:
        fill(bank, bank.burn, bad=30, good=24, moment=LONG_AGO)
        exam = open_exam(new_hire, families=[bank.burn])
        sit(exam, NOON, rightly=False)
        client, chosen = office(trainer), {"person": new_hire.personnel_no, "family": ["burn"]}
        page = client.get("/sittings/open/", chosen).content.decode()
        assert "Try 2 of 3 within 90 days." in page
        assert f"Record coaching after {exam.number}" in page
        assert 'name="secret"' not in page
        coach(exam, trainer, families=["burn"])
        with time_machine.travel(NOON + dt.timedelta(days=1), tick=False):
            page = office(trainer).get("/sittings/open/", chosen).content.decode()
        assert "What several tries do to the risk" in page
        assert "Record coaching" not in page
        assert 'name="secret"' in page

    def test_the_list_of_sittings_says_who_is_not_coached_yet(
        self, office: Sign, trainer: Person, auditor: Person, failed: Sitting
    ) -> None:
        page = office(trainer).get("/sittings/").content.decode()
        assert "not coached yet" in page
        assert address(failed) in page
        assert address(failed) not in office(auditor).get("/sittings/").content.decode()
        coach(failed, trainer)
        assert "not coached yet" not in office(trainer).get("/sittings/").content.decode()
