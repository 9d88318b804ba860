"""The invented plant, loaded into the database, gives the answers it was made to give."""

import datetime as dt

import numpy as np
import pytest

from certification.certificates.corrected import no_longer_following
from certification.certificates.facts import job_facts, person_facts, rules_in_force
from certification.certificates.models import Certificate
from certification.certificates.standing import Standing, table
from certification.certificates.waiting import waiting_sittings
from certification.matrix.selectors import matrix_people
from certification.staffing.models import Attendance
from media_demo.plant.build import Plant, build_plant, calendar_of, is_built
from media_demo.plant.ledger import Ledger
from media_demo.plant.load_people import load_people, sign_ins
from media_demo.plant.play import play_sittings
from media_demo.plant.read import rows
from tests.conftest import NOON, TODAY
from training.floor.models import Job, LimitLine, Turn
from training.people.models import Badge, Person
from training.people.record.verify import verify
from training.quizzes.models import ScoreCorrection, SittingEnd
from training.quizzes.scoring import Counts
from training.specimens.models import PanelLook

pytestmark = pytest.mark.django_db


def test_it_is_loaded_whole_and_its_record_holds() -> None:
    said: list[str] = []
    plant = build_plant(NOON, said.append)
    written = plant.ledger.write_all()
    assert is_built()
    assert Person.objects.count() == 81
    assert Badge.objects.count() == 83
    assert Turn.objects.count() == 2415
    assert Attendance.objects.count() == 2238
    # 322 lines of jobs, 114 general ones, those of alerts and of the concession.
    assert LimitLine.objects.filter(general=None, alert=None, concession=None).count() == 322
    assert LimitLine.objects.exclude(general=None).count() == 114
    assert Certificate.objects.filter(basis="carried_over").count() > 1000
    outcome = verify()
    assert outcome.breaks == ()
    # The looks of the panel stand in the chains of their rounds.
    assert outcome.facts == written + PanelLook.objects.count()


def test_its_sittings_come_out_as_its_files_tell() -> None:
    plant = build_plant(NOON, lambda _line: None)
    played = play_sittings(plant, lambda _done, _all: None)
    assert [one.number for one in played if one.result != "passed"] == ["S-0052"]
    calendar = plant.calendar
    told = {
        (
            row["person"],
            row["family"],
            row["level"],
            calendar.day(row["granted_day"]),
            calendar.day(row["expires_day"]),
        )
        for row in rows("family_certs")
        if row["sitting"]
    }
    granted = Certificate.objects.exclude(sitting=None).values_list(
        "person__personnel_no", "family__slug", "level", "granted_day", "expires_day"
    )
    assert set(granted) == told
    counts = {
        end.sitting.number: end.counts for end in SittingEnd.objects.select_related("sitting")
    }
    for one in played:
        families = counts[one.number]["families"].values()
        assert sum(family["missed"] for family in families) == one.missed
        # A sitting ends when its group is lost: then the last good parts were not shown.
        refused = counts[one.number]["false_rejects"]
        assert refused == one.false_rejects if one.result == "passed" else refused <= 2
    _check_standing(plant)
    _check_desk()
    assert verify().breaks == ()


def _check_desk() -> None:
    """One exam waits for quality, its critical block not passed; another one was scored again."""
    (waiting,) = waiting_sittings(NOON)
    assert waiting.sitting.number == "S-0054"
    assert waiting.sitting.person.name == "Quang Tran Vu"
    assert set(waiting.families) == {"black-specks", "burn", "grease-oil", "void-bubble"}
    assert waiting.critical == ()
    assert (waiting.pressing, waiting.standing.standing) == ("burn", Standing.LAPSED)
    (again,) = ScoreCorrection.objects.select_related("sitting__end")
    assert again.sitting.number == "S-0005"
    was, now = (Counts.from_json(each.counts) for each in (again.sitting.end, again))
    assert (now.missed, now.bad) == (was.missed - 1, was.bad - 1)
    assert (now.false_rejects, now.good) == (was.false_rejects, was.good + 1)
    # Nothing that was granted loses its ground.
    assert again.result == "passed"
    assert set(again.families_passed) == set(again.sitting.end.families_passed)
    assert no_longer_following(TODAY) == []


def _check_standing(plant: Plant) -> None:
    """The whole plant today: 439 alone, 9 with a buddy; tonight's 14 jobs: 60, 2 and 176."""
    people = matrix_people(None, plant.calendar.today)
    nights = [place for place, person in enumerate(people) if person.crew.code == "N"]
    jobs = list(Job.objects.all())
    tonight = {row["job"] for row in rows("night_plan_today")}
    columns = [place for place, job in enumerate(jobs) if job.number in tonight]
    answers = table(
        list(person_facts(people).values()),
        list(job_facts(jobs).values()),
        rules_in_force(plant.calendar.today),
        plant.calendar.today,
    )
    assert np.bincount(answers.ravel()).tolist() == [1040, 9, 439]
    assert np.bincount(answers[np.ix_(nights, columns)].ravel()).tolist() == [176, 2, 60]


def test_the_plant_day_changes_at_six() -> None:
    night = dt.datetime(2026, 11, 25, 3, 0, tzinfo=dt.UTC)
    assert calendar_of(night).today == dt.date(2026, 11, 24)
    assert calendar_of(NOON).today == dt.date(2026, 11, 25)


def test_who_can_sign_in_is_told_as_long_as_the_secret_is_the_first_one() -> None:
    load_people(calendar_of(NOON), Ledger())
    told = {entry.number: entry for entry in sign_ins()}
    assert told["1042"].secret.startswith("saltpan-")
    person = Person.objects.get(personnel_no="1042")
    person.set_password("another secret of her own")
    person.save()
    told = {entry.number: entry for entry in sign_ins()}
    assert told["1042"].secret == "chosen by its owner"
