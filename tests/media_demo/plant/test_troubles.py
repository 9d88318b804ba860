"""The troubles of the invented plant's past are there, and the statistics find each of them."""

from collections.abc import Iterator
from types import SimpleNamespace

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from media_demo.plant.build import build_plant
from media_demo.plant.intake import play_intake
from media_demo.plant.panel_rounds import CLOSED
from tests.conftest import NOON
from training.people.models import Role
from training.people.record.verify import verify
from training.quizzes.models import ExamPlan, Sitting
from training.quizzes.selectors.specimen_panel import panel_record
from training.quizzes.selectors.specimen_statistics import specimen_statistics
from training.quizzes.services.plans import SHORT_BANK, ensure_default_plans
from training.quizzes.specimen_conditions import by_crew_and_hour
from training.quizzes.specimen_figures import Doubt
from training.statistics.item_flags import DRIFT_FROM, KEY_FROM
from training.statistics.panel_members import Leaning

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def past(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[SimpleNamespace]:
    """The plant with its intake tray, without the sittings of today's people."""
    with django_db_blocker.unblock(), transaction.atomic():
        plant = build_plant(NOON, lambda _line: None)
        ensure_default_plans(day=plant.calendar.day(-57))
        intake = play_intake(plant, ExamPlan.objects.get(code=SHORT_BANK))
        plant.ledger.write_all()
        found = specimen_statistics(roles={Role.QUALITY}, now=NOON, day=plant.calendar.today)
        yield SimpleNamespace(plant=plant, intake=intake, found=found)
        transaction.set_rollback(True)


def doubted(past: SimpleNamespace, doubt: Doubt) -> list[str]:
    return [line.number for line in past.found.lines if doubt in line.figures.doubts]


def test_one_part_has_the_wrong_decision_and_is_told_by_the_answers(
    past: SimpleNamespace,
) -> None:
    wrong = doubted(past, Doubt.CHECK_KEY)
    assert wrong == [past.intake.wrong]
    line = next(line for line in past.found.lines if line.number == wrong[0])
    assert line.figures.answered >= KEY_FROM
    assert line.figures.right < 0.3 * line.figures.answered
    assert line.to_do


def test_one_part_has_become_known(past: SimpleNamespace) -> None:
    known = doubted(past, Doubt.PERHAPS_KNOWN)
    assert known == [past.intake.known]
    windows = next(line for line in past.found.lines if line.number == known[0]).figures.windows
    assert windows is not None
    assert min(windows.earlier, windows.recent) >= DRIFT_FROM
    assert windows.recent_right / windows.recent > 0.9 > windows.earlier_right / windows.earlier


def test_late_in_the_night_more_is_missed_and_at_no_other_hour(past: SimpleNamespace) -> None:
    rows = by_crew_and_hour(past.found.book.answers, past.found.bank, past.plant.calendar.zone)
    assert len(rows) == 12
    assert [(row.crew, row.start) for row in rows if row.found.more] == [("N", 4)]


def test_one_member_of_the_panel_is_more_lenient(past: SimpleNamespace) -> None:
    record = panel_record(past.plant.calendar.today)
    leanings = {each.person.personnel_no: each.figures.leaning for each in record.members}
    assert leanings == {**dict.fromkeys(CLOSED, Leaning.ALIKE), "1109": Leaning.LENIENT}


def test_the_specimens_are_linked_and_ranked(past: SimpleNamespace) -> None:
    assert past.found.bank.not_linked is None
    assert past.found.bank.not_fitted is None
    assert past.found.bank.ranked >= 40


def test_nothing_of_today_rests_on_it(past: SimpleNamespace) -> None:
    assert Sitting.objects.filter(number__startswith="T-").count() == past.intake.sittings == 132
    assert not Sitting.objects.filter(certificates__isnull=False).exists()
    assert Sitting.objects.filter(end__result="passed", decisions=None).count() == 0
    today = past.plant.calendar.today
    people = {sitting.person for sitting in Sitting.objects.select_related("person")}
    assert not any(
        stay.from_day <= today <= (stay.to_day or today)
        for person in people
        for stay in person.employments.all()
    )


def test_the_record_holds(past: SimpleNamespace) -> None:
    assert verify().breaks == ()
