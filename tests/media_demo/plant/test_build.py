"""The invented plant, loaded into the database, gives the answers it was made to give."""

import datetime as dt

import pytest

from certification.certificates.models import Certificate
from certification.staffing.models import Attendance
from media_demo.plant.build import build_plant, calendar_of, is_built
from media_demo.plant.load_people import sign_ins
from tests.conftest import NOON
from training.floor.models import LimitLine, Turn
from training.people.models import Badge, Person
from training.people.record.verify import verify

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
    assert outcome.facts == written


def test_the_plant_day_changes_at_six() -> None:
    night = dt.datetime(2026, 11, 25, 3, 0, tzinfo=dt.UTC)
    assert calendar_of(night).today == dt.date(2026, 11, 24)
    assert calendar_of(NOON).today == dt.date(2026, 11, 25)


def test_who_can_sign_in_is_told_as_long_as_the_secret_is_the_first_one() -> None:
    build_plant(NOON, lambda _line: None)
    told = {entry.number: entry for entry in sign_ins()}
    assert told["1042"].secret.startswith("saltpan-")
    person = Person.objects.get(personnel_no="1042")
    person.set_password("another secret of her own")
    person.save()
    told = {entry.number: entry for entry in sign_ins()}
    assert told["1042"].secret == "chosen by its owner"
