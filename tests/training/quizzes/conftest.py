"""Plans, a bank and an open exam for the tests of quizzes."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest

from tests.conftest import NOON, TODAY
from tests.training.quizzes.bank import fill
from training.people.models import Device, Person
from training.quizzes.models import ExamConditions, ExamPlan, Sitting
from training.quizzes.screen_check import ScreenAnswer, make_test
from training.quizzes.services.conditions import record_conditions
from training.quizzes.services.opening import open_qualification, start_practice
from training.quizzes.services.plans import ensure_default_plans
from training.specimens.models import Pool, ReferenceDecision, Specimen
from training.specimens.services.deciding import decide_reference

LONG_AGO = NOON - dt.timedelta(days=100)


@pytest.fixture
def plans(db: None) -> dict[str, ExamPlan]:
    """The default plans, published a year ago, by code."""
    made = ensure_default_plans(day=TODAY - dt.timedelta(days=365))
    return {plan.code: plan for plan in made}


@pytest.fixture
def bank(plant: SimpleNamespace) -> SimpleNamespace:
    """Fourteen bad and fourteen good specks to examine, eight of each to practise with."""
    fill(plant, plant.specks, bad=14, good=14, moment=LONG_AGO)
    fill(plant, plant.specks, bad=8, good=8, moment=LONG_AGO, pool=Pool.TEACHING)
    return plant


@pytest.fixture
def low_rate_bank(bank: SimpleNamespace) -> SimpleNamespace:
    """The same, with forty clean parts of another family to practise with."""
    fill(bank, bank.grease, bad=0, good=40, moment=LONG_AGO, pool=Pool.TEACHING)
    clean = Specimen.objects.filter(family=bank.grease)
    for decision in ReferenceDecision.objects.filter(specimen__in=clean, severity_ratio__gt=0):
        decide_reference(
            specimen=decision.specimen,
            work_instruction=bank.sheet,
            decision="accept",
            action="keep_running",
            basis="quality",
            by=None,
            moment=LONG_AGO + dt.timedelta(days=1),
        )
    return bank


@pytest.fixture
def open_exam(
    plans: dict[str, ExamPlan], bank: SimpleNamespace, trainer: Person, device: Device
) -> Callable[..., Sitting]:
    """Open a short-bank exam of black specks for somebody, its screen `checked`."""

    def open_it(
        person: Person, moment: dt.datetime = NOON, *, checked: bool = True, **changes: object
    ) -> Sitting:
        values: dict[str, object] = {
            "families": [bank.specks],
            "plan": plans["short-bank"],
            "invigilator": trainer,
            "signature_method": "pin",
            "device": device,
            "seed": "witness",
            **changes,
        }
        sitting = open_qualification(person=person, moment=moment, **values)  # type: ignore[arg-type]
        if checked:
            begin(sitting, moment)
        return sitting

    return open_it


def begin(sitting: Sitting, moment: dt.datetime, **changes: object) -> ExamConditions:
    """Record the conditions of an exam, on a screen that passes its check, changed as asked."""
    shown = make_test("bench")
    values: dict[str, object] = {
        "shown": shown,
        "seen": ScreenAnswer(shown.shown, shown.line, 324, 200),
        "glasses": ExamConditions.Glasses.NOT_NEEDED,
        "extra_time_percent": 0,
        "read_aloud": False,
        "note": "",
        "invigilator": sitting.invigilator,
        **changes,
    }
    return record_conditions(sitting=sitting, moment=moment, **values)  # type: ignore[arg-type]


@pytest.fixture
def exam(open_exam: Callable[..., Sitting], operator: Person) -> Sitting:
    return open_exam(operator)


@pytest.fixture
def practice(plans: dict[str, ExamPlan], bank: SimpleNamespace, operator: Person) -> Sitting:
    return start_practice(
        person=operator,
        families=[bank.specks],
        plan=plans["practice"],
        moment=NOON,
        seed="witness",
    )


@pytest.fixture
def count_queries(db: None) -> Callable[[Callable[[], object]], int]:
    """Return how many queries a call costs."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    def count(call: Callable[[], object]) -> int:
        with CaptureQueriesContext(connection) as queries:
            call()
        return len(queries)

    return count
