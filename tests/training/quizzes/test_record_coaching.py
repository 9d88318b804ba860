"""Coaching after an exam that was not passed, and the next try it opens."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError

from tests.conftest import NOON, TODAY
from tests.training.quizzes.bank import fill, right_answer, wrong_answer
from training.people.models import Person
from training.people.record.verify import verify
from training.people.signing import signatures_of
from training.quizzes.models import Coaching, ExamPlan, Presented, Sitting
from training.quizzes.selectors.tries import COACHED, RELEASED, coachings_after, tries_of
from training.quizzes.services.coaching import record_coaching
from training.quizzes.services.ending import end_sitting
from training.quizzes.services.judging import record_judgements
from training.quizzes.services.opening import start_practice
from training.quizzes.services.plans import publish_plan

DAY = dt.timedelta(days=1)
Open = Callable[..., Sitting]


def sit(sitting: Sitting, moment: dt.datetime, *, rightly: bool) -> None:
    answer = right_answer if rightly else wrong_answer
    rows = Presented.objects.filter(sitting=sitting).order_by("ordinal")
    rows = rows.select_related("decision", "specimen__family")
    record_judgements(sitting=sitting, answers=[answer(row, moment) for row in rows], moment=moment)


def coach(sitting: Sitting, by: Person, **changes: object) -> Coaching:
    values: dict[str, object] = {
        "families": ["black-specks"],
        "coach": by,
        "day": TODAY,
        "minutes": 25,
        "words": "Specks against burns, ten parts of the teaching pool.",
        "signature_method": "pin",
        "moment": NOON,
        **changes,
    }
    return record_coaching(sitting=sitting, **values)  # type: ignore[arg-type]


@pytest.fixture
def failed(exam: Sitting) -> Sitting:
    """An exam of black specks that was not passed."""
    sit(exam, NOON, rightly=False)
    return exam


@pytest.fixture
def lenient(plans: dict[str, ExamPlan], trainer: Person) -> ExamPlan:
    """A plan so small that the bank carries several tries of it."""
    return publish_plan(
        code="small",
        form=ExamPlan.Form.FIXED,
        name={"en": "Small"},
        parameters={"bad": 3, "misses_allowed": 0, "good": 3, "false_rejects_allowed": 0},
        reason="Test",
        day=TODAY - 30 * DAY,
        published_by=trainer,
    )


def test_coaching_is_chained_and_signed(failed: Sitting, trainer: Person) -> None:
    row = coach(failed, trainer)
    assert (row.person, row.coach, row.minutes) == (failed.person, trainer, 25)
    assert row.chain == "plant"
    assert row.words is not None
    assert row.words.text.startswith("Specks against burns")
    assert signatures_of(row).get().meaning == COACHED
    assert verify().breaks == ()
    (shown,) = coachings_after(failed)
    assert not shown.released


def test_another_try_waits_for_coaching_and_a_night(
    failed: Sitting, open_exam: Open, trainer: Person, lenient: ExamPlan
) -> None:
    tomorrow = NOON + DAY
    with pytest.raises(ValidationError) as refusal:
        open_exam(failed.person, plan=lenient)
    assert refusal.value.messages == [
        "Black specks: exam S-0001 of 25 Nov 2026 was not passed, and no coaching since.",
        "Black specks: the next try is on 26 Nov 2026 at the earliest.",
    ]
    coach(failed, trainer)
    with pytest.raises(ValidationError, match="on 26 Nov 2026 at the earliest"):
        open_exam(failed.person, plan=lenient)
    again = open_exam(failed.person, tomorrow, plan=lenient)
    judged = set(
        failed.judgements.filter(scored=True).values_list("presented__specimen", flat=True)
    )
    drawn = set(again.presented.values_list("specimen", flat=True))
    assert judged
    assert judged.isdisjoint(drawn)


def test_other_families_wait_for_nothing(
    failed: Sitting, open_exam: Open, plant: SimpleNamespace
) -> None:
    fill(plant, plant.burn, bad=14, good=14, moment=NOON)
    assert open_exam(failed.person, families=[plant.burn]).families == ["burn"]


def test_a_plan_may_ask_for_no_wait(
    failed: Sitting, open_exam: Open, trainer: Person, lenient: ExamPlan
) -> None:
    at_once = publish_plan(
        code="small",
        form=ExamPlan.Form.FIXED,
        name={"en": "Small"},
        parameters={**lenient.parameters, "wait_days": 0},
        reason="Test",
        day=TODAY,
        published_by=trainer,
    )
    coach(failed, trainer)
    assert open_exam(failed.person, plan=at_once).number == "S-0002"


def test_after_the_plans_tries_quality_signs_the_coaching(
    failed: Sitting, open_exam: Open, trainer: Person, quality: Person, lenient: ExamPlan
) -> None:
    sitting, moment = failed, NOON
    for _ in range(2):
        coach(sitting, trainer, day=moment.date(), moment=moment)
        moment += DAY
        sitting = open_exam(failed.person, moment, plan=lenient)
        sit(sitting, moment, rightly=False)
    coach(sitting, trainer, day=moment.date(), moment=moment)
    with pytest.raises(ValidationError, match="3 exams not passed within 90 days"):
        open_exam(failed.person, moment + DAY, plan=lenient)
    released = coach(sitting, quality, day=moment.date(), moment=moment)
    assert signatures_of(released).get().meaning == RELEASED
    assert open_exam(failed.person, moment + DAY, plan=lenient).number == "S-0004"


def test_what_was_broken_off_is_no_try(exam: Sitting, open_exam: Open) -> None:
    end_sitting(sitting=exam, reason="abandoned", moment=NOON)
    assert tries_of(exam.person, ["black-specks"]) == {}
    assert open_exam(exam.person).number == "S-0002"


@pytest.mark.parametrize(
    ("changes", "field", "message"),
    [
        ({"families": []}, "families", "Choose at least one family"),
        ({"families": ["burn"]}, "families", "Choose at least one family"),
        ({"day": TODAY + DAY}, "day", "between the exam, 25 Nov 2026, and today"),
        ({"day": TODAY - DAY}, "day", "between the exam, 25 Nov 2026, and today"),
        ({"minutes": 0}, "minutes", "Give 1 to 600 minutes."),
        ({"minutes": 601}, "minutes", "Give 1 to 600 minutes."),
        ({"words": "  "}, "words", "Say what was gone through."),
    ],
)
def test_bad_input_is_named(
    failed: Sitting, trainer: Person, changes: dict[str, object], field: str, message: str
) -> None:
    with pytest.raises(ValidationError) as refusal:
        coach(failed, trainer, **changes)
    assert message in refusal.value.message_dict[field][0]
    assert not Coaching.objects.exists()


def test_nobody_coaches_themselves(failed: Sitting) -> None:
    with pytest.raises(ValidationError, match="Nobody coaches themselves"):
        coach(failed, failed.person)


def test_what_was_passed_or_practised_leaves_nothing_to_coach(
    exam: Sitting, practice: Sitting, trainer: Person
) -> None:
    sit(exam, NOON, rightly=True)
    for sitting in (exam, practice):
        with pytest.raises(ValidationError, match="leaves nothing to coach"):
            coach(sitting, trainer)


def test_practice_is_never_held_back(
    failed: Sitting, plans: dict[str, ExamPlan], bank: SimpleNamespace
) -> None:
    sitting = start_practice(
        person=failed.person, families=[bank.specks], plan=plans["practice"], moment=NOON
    )
    assert sitting.families == ["black-specks"]
