"""Facts gathered from the database give the invented plant's counts, at a fixed cost.

Source of the expected figures: the plant's own scenario notes, computed with a separate plain
program from the same files. Plant data is invented; the rule is common practice, no source.
"""

import datetime as dt
from collections import Counter
from collections.abc import Iterator

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from pytest_django.plugin import DjangoDbBlocker

from certification.certificates.facts import job_facts, person_facts, rules_in_force
from certification.certificates.selectors import asked_at, may_run
from certification.certificates.standing import Asked, StandingTable, Verdict, explain
from media_demo.plant.build import Plant
from media_demo.plant.facts import read_jobs, read_people
from media_demo.plant.read import rows
from tests.certification.certificates.invented_plant import active, invented_plant
from tests.conftest import NOON, TODAY
from training.floor.models import Job, Turn
from training.people.models import Person

# The mark makes the test database; the plant is built once and rolled back after the module.
pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def demo(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[Plant]:
    with django_db_blocker.unblock(), invented_plant() as plant:
        yield plant


def jobs_of(demo: Plant) -> list[Job]:
    return [demo.floor.jobs[number] for number in sorted(demo.floor.jobs)]


def verdicts(people: list[Person], jobs: list[Job]) -> Counter[str]:
    known, needs, rules = person_facts(people), job_facts(jobs), rules_in_force(TODAY)
    return Counter(
        explain(known[person.pk], needs[job.pk], rules, Asked(TODAY)).verdict.value
        for person in people
        for job in jobs
    )


def table(people: list[Person], jobs: list[Job]) -> list[int]:
    known, needs = person_facts(people), job_facts(jobs)
    grid = StandingTable(list(known.values()), list(needs.values()), rules_in_force(TODAY))
    return [int(count) for count in np.bincount(grid.on(TODAY).ravel(), minlength=3)]


def test_whole_plant_today(demo: Plant) -> None:
    people, jobs = active(demo), jobs_of(demo)
    assert len(people) * len(jobs) == 62 * 24
    assert verdicts(people, jobs) == {"alone": 439, "buddy": 9, "no": 1040}
    assert table(people, jobs) == [1040, 9, 439]


def test_tonight_before_and_after_the_sick_call(demo: Plant) -> None:
    night = active(demo, "N")
    tonight = [demo.floor.jobs[row["job"]] for row in rows("night_plan_today")]
    assert verdicts(night, tonight) == {"alone": 60, "buddy": 2, "no": 176}
    assert table(night, tonight) == [176, 2, 60]
    night.remove(next(person for person in night if person.name == "Joanna Struk"))
    assert verdicts(night, tonight) == {"alone": 57, "buddy": 2, "no": 165}


def test_every_answer_is_that_of_the_files_reason_by_reason(demo: Plant) -> None:
    people, jobs, rules = active(demo), jobs_of(demo), rules_in_force(TODAY)
    filed = read_people(TODAY, timezone.get_default_timezone())
    sheets = read_jobs(TODAY)
    known, needs = person_facts(people), job_facts(jobs)
    for person in people:
        for job in jobs:
            expected = explain(filed[person.personnel_no], sheets[job.number], rules, Asked(TODAY))
            found = explain(known[person.pk], needs[job.pk], rules, Asked(TODAY))
            # Cautions stand in the plant's order here and in the job's own order in the files.
            assert found.verdict is expected.verdict, (person.name, job.number)
            assert set(found.reasons) == set(expected.reasons), (person.name, job.number)
            assert set(found.buddy_bars) == set(expected.buddy_bars), (person.name, job.number)


def test_moses_chirwa_at_two_in_the_night_of_day_minus_ten(demo: Plant) -> None:
    moment = dt.datetime.combine(
        TODAY - dt.timedelta(days=9), dt.time(2), timezone.get_default_timezone()
    )
    turn = Turn.objects.get(
        press__code="P01", started_at__lte=moment, end__ended_at__gt=moment, corrections=None
    )
    assert (turn.person.name, turn.kind) == ("Moses Chirwa", Turn.Kind.RELIEF)
    then = asked_at(turn.started_at)
    assert then.day == TODAY - dt.timedelta(days=10)
    assert may_run(turn.person, turn.job, then).verdict is Verdict.ALONE
    today = may_run(turn.person, turn.job, asked_at(NOON))
    assert today.verdict is Verdict.NO
    assert [(each.code.value, each.subject) for each in today.reasons] == [("lapsed", "crack")]


def test_the_cost_does_not_grow_with_people_or_jobs(demo: Plant) -> None:
    costs = []
    for people, jobs in ((active(demo)[:3], jobs_of(demo)[:2]), (active(demo), jobs_of(demo))):
        with CaptureQueriesContext(connection) as caught:
            person_facts(people)
            job_facts(jobs)
            rules_in_force(TODAY)
        costs.append(len(caught))
    assert costs[0] == costs[1]
