"""The next steps of one person, gathered from the records at a fixed cost."""

import datetime as dt
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils.translation import override

from certification.certificates.models import Arrangement
from certification.certificates.selectors import names
from certification.training_plans.selectors import Way, next_steps
from certification.training_plans.steps import Kind, State
from certification.training_plans.words import listed, way_words
from tests.certification.certificates.ready import certify, make_ready
from tests.certification.certificates.sittings import NOON, TODAY, sat
from training.people.models import Person
from training.people.record.chain import append
from training.quizzes.models import Kind as SittingKind
from training.quizzes.models import ScoreCorrection
from training.specimens.models import ReferenceDecision, Specimen

pytestmark = pytest.mark.django_db


@pytest.fixture
def learning(plant: SimpleNamespace, new_hire: Person, trainer: Person) -> Person:
    """A new hire who is being brought up to the bench plant's job."""
    arrangement = Arrangement(
        person=new_hire,
        job=plant.job,
        kind="under_supervision",
        buddy=trainer,
        from_day=TODAY - dt.timedelta(days=2),
        to_day=TODAY + dt.timedelta(days=8),
    )
    append(arrangement, moment=NOON - dt.timedelta(days=2))
    return new_hire


def way_of(person: Person) -> Way:
    way = next_steps(person, NOON)
    assert way is not None
    return way


def open_steps(person: Person) -> list[Kind]:
    return [step.kind for step in way_of(person).steps if step.state is State.OPEN]


def test_a_new_hire_starts_with_safety(learning: Person) -> None:
    way = way_of(learning)
    assert way.next is not None
    assert way.next.kind is Kind.SAFETY
    assert way.job.number == "901"


def test_what_was_practised_and_passed_is_behind(learning: Person, plant: SimpleNamespace) -> None:
    sat(learning, [plant.burn], kind=SittingKind.PRACTICE)
    sat(learning, [plant.specks])
    steps = {step.kind: step for step in way_of(learning).steps}
    assert steps[Kind.PRACTICE].families == ("grease-oil",)
    assert steps[Kind.SITTING].families == ("burn", "grease-oil")
    assert steps[Kind.DECISION].families == ("black-specks",)


def test_everything_done_leaves_nothing_open(learning: Person, plant: SimpleNamespace) -> None:
    make_ready(learning, plant)
    assert open_steps(learning) == []
    assert way_of(learning).next is None


def test_without_an_arrangement_that_holds_there_is_no_way(
    learning: Person, operator: Person, plant: SimpleNamespace
) -> None:
    assert next_steps(operator, NOON) is None
    assert next_steps(learning, NOON + dt.timedelta(days=9)) is None


def test_in_words_of_both_languages(learning: Person) -> None:
    with override("en"):
        words = way_words(way_of(learning), names(), "en", TODAY)
        said = {row.kind: (row.title, row.detail) for row in words}
        assert said[Kind.LESSON] == (
            "Read 3 lessons",
            "Black specks, Burn mark, Grease or oil stain",
        )
        assert said[Kind.BUDDY] == ("Run 901 beside Tessa Trainer", "")
        assert said[Kind.READING][1] == "Work instruction 901 rev A not read."
        assert said[Kind.SITTING][1].endswith("A trainer or quality opens the exam for you.")
    with override("es"):
        words = way_words(way_of(learning), names(), "es", TODAY)
        said = {row.kind: (row.title, row.detail) for row in words}
        assert said[Kind.LESSON] == (
            "Leer 3 lecciones",
            "Puntos negros, Quemadura, Mancha de grasa",
        )
        assert said[Kind.BUDDY][0] == "Operar 901 con Tessa Trainer al lado"


def test_a_family_that_did_not_pass_after_all_is_to_be_sat_again(
    learning: Person, plant: SimpleNamespace, quality: Person
) -> None:
    sitting = sat(learning, [plant.burn, plant.specks])
    assert waiting(learning) == ("black-specks", "burn")
    decision = ReferenceDecision(
        specimen=Specimen.objects.create(
            number="T-1", job=plant.job, zone="A", family=plant.specks, created_at=NOON
        ),
        work_instruction=plant.sheet,
        decision="accept",
        action="keep_running",
        basis="quality",
    )
    append(decision, moment=NOON)
    again = ScoreCorrection(
        sitting=sitting,
        because=decision,
        counts=sitting.end.counts,
        result="passed",
        families_passed=["burn"],
        recorded_by=quality,
    )
    append(again, moment=NOON)
    assert waiting(learning) == ("burn",)


def waiting(person: Person) -> tuple[str, ...]:
    """The families that wait for a decision, in the alphabet's order."""
    steps = [step for step in way_of(person).steps if step.kind is Kind.DECISION]
    return tuple(sorted(slug for step in steps for slug in step.families))


def test_long_lists_are_cut() -> None:
    families = {slug: {"en": slug.upper()} for slug in "abcdef"}
    with override("en"):
        assert listed("abcd", families, "en") == "A, B, C, D"
        assert listed("abcdef", families, "en") == "A, B, C, D and 2 more"
        assert listed(["z"], families, "en") == "z"


def test_the_cost_does_not_grow(learning: Person, plant: SimpleNamespace) -> None:
    costs = []
    # Where nothing waits nobody asks whether it was scored again.
    sat(learning, [plant.specks])
    for _ in range(2):
        with CaptureQueriesContext(connection) as caught:
            next_steps(learning, NOON)
        costs.append(len(caught))
        certify(learning, [plant.burn, plant.specks])
        sat(learning, [plant.burn], kind=SittingKind.PRACTICE)
        sat(learning, [plant.burn, plant.grease])
    assert costs[0] == costs[1]
