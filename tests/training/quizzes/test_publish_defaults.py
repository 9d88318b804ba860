"""Publishing the default plans on a plant that has none."""

from collections.abc import Callable

import pytest
from django.test import Client

from training.people.models import Person
from training.quizzes.models import ExamPlan

pytestmark = pytest.mark.django_db
URL = "/plans/defaults/"
Office = Callable[[Person], Client]


def test_quality_publishes_each_default_plan_once(office: Office, quality: Person) -> None:
    client = office(quality)
    assert "Publish the default plans" in client.get("/plans/").content.decode()
    for _ in range(2):
        assert client.post(URL).status_code == 302
    plans = ExamPlan.objects.all()
    assert {plan.revision for plan in plans} == {1}
    assert {"group", "short-bank", "practice"} <= {plan.code for plan in plans}
    assert {plan.published_by for plan in plans} == {quality}
    assert "Publish the default plans" not in client.get("/plans/").content.decode()


def test_trainers_may_not(office: Office, trainer: Person) -> None:
    assert office(trainer).post(URL).status_code == 403
    assert "Publish the default plans" not in office(trainer).get("/plans/").content.decode()


def test_it_needs_a_post(office: Office, quality: Person) -> None:
    assert office(quality).get(URL).status_code == 405
