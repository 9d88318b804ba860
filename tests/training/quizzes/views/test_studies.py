"""What every page of an agreement study is asked: its methods, what is not there, and its queries."""

import uuid
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON, PASSWORD
from tests.training.quizzes.agreement.conftest import plan_study, sit_round, study
from training.people.models import Device, Person
from training.quizzes.models import AgreementStudy, Sitting, StudyJudge

__all__ = ["plan_study", "sit_round", "study"]

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
SignIn = Callable[[Person], Client]
Asserts = Callable[[int], Any]
OF_ONE = ("study", "study_round", "study_export", "study_pdf", "study_close")


@pytest.mark.parametrize("name", OF_ONE)
def test_what_is_not_there_is_not_found(name: str, office: SignIn, quality: Person) -> None:
    url = reverse(f"quizzes:{name}", args=[uuid.UUID(int=7)])
    assert office(quality).get(url).status_code == 404


@pytest.mark.parametrize("name", ["study_list", "study_add", "study_import"])
def test_pages_of_all_studies_know_their_methods(
    name: str, office: SignIn, quality: Person
) -> None:
    client, url = office(quality), reverse(f"quizzes:{name}")
    assert client.get(url).status_code == 200
    assert client.put(url).status_code == 405


@pytest.mark.parametrize("name", OF_ONE)
def test_pages_of_one_study_know_their_methods(
    name: str, study: AgreementStudy, office: SignIn, quality: Person
) -> None:
    url = reverse(f"quizzes:{name}", args=[study.pk])
    assert office(quality).put(url).status_code == 405


@pytest.mark.parametrize("name", ["study_list", "study_add", "study_import", *OF_ONE])
def test_pages_of_the_office_are_closed_to_operators(
    name: str, study: AgreementStudy, floor: SignIn, new_hire: Person, device: Device
) -> None:
    url = reverse(f"quizzes:{name}", args=[study.pk] if name in OF_ONE else [])
    wanted = 404 if name == "study_round" else 403
    assert floor(new_hire).get(url).status_code == wanted


@pytest.mark.parametrize("name", ["study", "study_round", "study_close"])
def test_a_page_costs_the_same_for_more_people_and_parts(
    name: str,
    plan_study: Callable[..., AgreementStudy],
    office: SignIn,
    quality: Person,
    operator: Person,
    trainer: Person,
    supervisor: Person,
    count_queries: Callable[[Callable[[], object]], int],
) -> None:
    """The second study has twice the people and twice the parts of the first."""
    client = office(operator if name == "study_round" else quality)
    small = plan_study(parts=6, people=(operator, trainer))
    large = plan_study(parts=12, people=(operator, trainer, supervisor, quality))
    urls = [reverse(f"quizzes:{name}", args=[each.pk]) for each in (small, large)]
    client.get(urls[0])
    first, second = (count_queries(lambda url=url: client.get(url)) for url in urls)  # type: ignore[misc]
    assert first == second <= 16


@pytest.mark.parametrize("name", ["study", "study_export", "study_pdf"])
def test_a_result_costs_few_queries(
    name: str,
    study: AgreementStudy,
    sit_round: Callable[..., Sitting],
    office: SignIn,
    quality: Person,
    django_assert_max_num_queries: Asserts,
) -> None:
    for judge in StudyJudge.objects.filter(study=study):
        sit_round(judge, NOON)
    client = office(quality)
    client.post(reverse("quizzes:study_close", args=[study.pk]), {"secret": PASSWORD})
    with django_assert_max_num_queries(18):
        answer = client.get(reverse(f"quizzes:{name}", args=[study.pk]))
    assert answer.status_code == 200


def test_a_preview_costs_few_queries(
    bank: SimpleNamespace,
    office: SignIn,
    quality: Person,
    operator: Person,
    django_assert_max_num_queries: Asserts,
) -> None:
    sent = {
        "name": "Specks",
        "basis": "pictures",
        "pool": "exam",
        "families": [str(bank.specks.pk)],
        "parts": "12",
        "bad_share": "50",
        "near_share": "30",
        "people": [str(operator.pk)],
        "repeats": "3",
        "gap_hours": "24",
        "seed": "witness",
        "show": "1",
    }
    client = office(quality)
    with django_assert_max_num_queries(20):
        answer = client.post(reverse("quizzes:study_add"), sent)
    assert answer.status_code == 200
    assert answer.context["precision"]


def test_a_round_that_is_due_stands_on_my_work(
    study: AgreementStudy, office: SignIn, operator: Person
) -> None:
    address = reverse("quizzes:study_round", args=[study.pk])
    text = office(operator).get(reverse("site:my_work")).content.decode()
    assert "Agreement study AG-0001: round 1 of 2" in text
    assert address in text


def test_a_closed_study_asks_nothing_of_anybody(
    study: AgreementStudy, office: SignIn, operator: Person, quality: Person
) -> None:
    AgreementStudy.objects.filter(pk=study.pk).update(closed_at=NOON, closed_by=quality)
    client = office(operator)
    assert "AG-0001" not in client.get(reverse("site:my_work")).content.decode()
    assert (
        "This study is closed."
        in client.get(reverse("quizzes:study_round", args=[study.pk])).content.decode()
    )
