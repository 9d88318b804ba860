"""The low-rate round of the quarter on one's own page."""

import datetime as dt
from collections.abc import Callable, Iterator
from types import SimpleNamespace

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from tests.certification.certificates.ready import make_ready
from tests.conftest import NOON, TODAY
from tests.training.quizzes.bank import fill, right_answer
from training.people.models import Person
from training.quizzes.services.judging import record_judgements
from training.quizzes.services.low_rate import start_low_rate
from training.quizzes.services.plans import ensure_default_plans
from training.specimens.models import Pool, ReferenceDecision, Specimen
from training.specimens.services.deciding import decide_reference

pytestmark = pytest.mark.django_db
Sign = Callable[[Person], Client]
URL = "/my-work/"
SAID = "Low-rate round by 31 Dec"


@pytest.fixture(autouse=True)
def _day() -> Iterator[None]:
    with time_machine.travel(NOON, tick=False):
        yield


@pytest.fixture
def ready(plant: SimpleNamespace, operator: Person) -> Person:
    make_ready(operator, plant)
    return operator


def teach(plant: SimpleNamespace) -> None:
    """Three bad specks and forty clean parts to practise with."""
    before = NOON - dt.timedelta(days=9)
    fill(plant, plant.specks, bad=3, good=0, moment=before, pool=Pool.TEACHING)
    fill(plant, plant.grease, bad=0, good=40, moment=before, pool=Pool.TEACHING)
    for decision in ReferenceDecision.objects.filter(
        specimen__in=Specimen.objects.filter(family=plant.grease), severity_ratio__gt=0
    ):
        decide_reference(
            specimen=decision.specimen,
            work_instruction=plant.sheet,
            decision="accept",
            action="keep_running",
            basis="quality",
            by=None,
            moment=before + dt.timedelta(days=1),
        )


def test_it_is_due_once_a_quarter_where_there_are_enough_parts(
    floor: Sign, ready: Person, plant: SimpleNamespace
) -> None:
    client = floor(ready)
    assert SAID not in client.get(URL).content.decode()
    teach(plant)
    page = client.get(URL).content.decode()
    assert SAID in page
    assert reverse("quizzes:low_rate_start") in page
    plans = {plan.code: plan for plan in ensure_default_plans(day=TODAY)}
    sitting = start_low_rate(person=ready, plan=plans["practice"], moment=NOON, seed="s")
    rows = sitting.presented.select_related("decision", "specimen__family").order_by("ordinal")
    record_judgements(
        sitting=sitting, answers=[right_answer(row, NOON) for row in rows], moment=NOON
    )
    assert SAID not in client.get(URL).content.decode()
