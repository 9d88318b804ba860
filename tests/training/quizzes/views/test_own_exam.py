"""An exam under an own plan as it is opened, sat and read: the cap is shown, and never a rate."""

import datetime as dt
import re
from collections.abc import Callable
from itertools import count
from types import SimpleNamespace

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON, PIN, TODAY
from tests.training.quizzes.bank import fill, right_answer
from tests.training.quizzes.conftest import begin
from tests.training.quizzes.views.sending import nth, right_fields, send
from training.people.models import Device, Person
from training.quizzes.models import ExamPlan, Sitting
from training.quizzes.plan_rules import own_table, read_rules
from training.quizzes.services.judging import record_judgements
from training.quizzes.services.plans import publish_plan
from training.statistics.sampling_plan import Decision

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
# Wide apart, so that few specimens do.
RATES = {"p_ok": 0.05, "p_bad": 0.40, "alpha": 0.05, "beta": 0.10}


@pytest.fixture
def cap(plant: SimpleNamespace, plans: dict[str, ExamPlan], quality: Person) -> int:
    """An own plan is in force, and the bank carries it; return its cap on either side."""
    plan = publish_plan(
        code="own",
        form="own",
        name={"en": "Own plan"},
        parameters=RATES,
        reason="inspectors",
        day=TODAY - dt.timedelta(days=30),
        published_by=quality,
    )
    most = own_table(read_rules("own", plan.parameters), critical=False).cap
    fill(plant, plant.specks, bad=2 * most, good=most, moment=NOON - dt.timedelta(days=100))
    return most


@pytest.fixture
def sitting(cap: int, floor: Sign, trainer: Person, operator: Person, device: Device) -> Sitting:
    """The trainer opens it on the tablet, from the page, under the plan that is offered there."""
    fields = {
        "person": operator.personnel_no,
        "family": "black-specks",
        "plan": "own",
        "device": str(device.pk),
        "language": "en",
        "secret": PIN,
    }
    floor(trainer).post(reverse("quizzes:open_qualification"), fields)
    made = Sitting.objects.get(plan__code="own")
    begin(made, NOON)
    return made


def test_it_is_offered_beside_the_group_plan_with_its_cap(
    floor: Sign, trainer: Person, operator: Person, cap: int
) -> None:
    asked = {"person": operator.personnel_no, "family": "black-specks"}
    text = floor(trainer).get(reverse("quizzes:open_qualification"), asked).content.decode()
    assert f"at the latest after {cap}." in text
    assert "so that the mix betrays nothing" in text


def test_the_booth_shows_how_many_are_judged_of_the_cap(
    floor: Sign, operator: Person, sitting: Sitting, cap: int
) -> None:
    client = floor(operator)
    assert client.get(reverse("quizzes:booth", args=[sitting.pk])).context["total"] == 2 * cap
    reply = send(client, sitting, right_fields(nth(sitting, 1))).json()
    assert (reply["judged"], reply["total"], reply["ended"]) == (1, 2 * cap, False)


def test_its_result_is_accepted_by_plan_and_gives_no_rate(
    floor: Sign, operator: Person, sitting: Sitting
) -> None:
    shown = {True: 0, False: 0}
    for part in sitting.presented.select_related("decision", "specimen__family").order_by(
        "ordinal"
    ):
        shown[part.decision.decision == "reject"] += 1
        if record_judgements(sitting=sitting, answers=[right_answer(part, NOON)], moment=NOON).end:
            break
    table = own_table(read_rules("own", sitting.plan.parameters), critical=False)
    # Without an error a side is decided at the first number that accepts none.
    enough = next(n for n in count(1) if table.decide(0, n) is not Decision.CONTINUE)
    beyond = sum(shown.values()) - 2 * enough
    text = floor(operator).get(reverse("quizzes:result", args=[sitting.pk])).content.decode()
    assert "Accepted by plan." in text
    assert min(shown.values()) == enough
    words = re.findall(r"(\d+) more parts? (?:was|were) judged to the end", text)
    assert words == ([str(beyond)] if beyond else [])
    assert "one-sided bound" not in text
    assert "allowed" not in text
