"""The observed check: two signers who may, a trainee who signs, and enough shown."""

import datetime as dt
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from certification.certificates.models import Appointment, ObservedCheck
from certification.certificates.observed_checks import Shown, SignedHow, record_observed_check
from certification.certificates.selectors import asked_at, may_run
from tests.certification.certificates.ready import certify, make_ready, observe
from tests.conftest import NOON, TODAY
from training.people.models import Person
from training.people.record.chain import append, erasable
from training.people.signing import signatures_of

pytestmark = pytest.mark.django_db

PASSED = Shown(planted=5, found=5, good=15, refused=1)


@pytest.fixture
def given(
    plant: SimpleNamespace, operator: Person, trainer: Person, supervisor: Person
) -> dict[str, Any]:
    make_ready(trainer, plant, level="can_teach")
    return {
        "person": operator,
        "job": plant.job,
        "level": "runs_alone",
        "observed_day": TODAY,
        "observer": trainer,
        "second_signer": supervisor,
        "shown": PASSED,
        "signed": SignedHow("pin", "password", "pin"),
        "moment": NOON,
    }


def refused(given: dict[str, Any], **change: Any) -> str:
    with pytest.raises(ValidationError) as caught:
        record_observed_check(**{**given, **change})
    return next(iter(caught.value.error_dict))


def test_three_people_sign_and_the_group_is_held(
    given: dict[str, Any], plant: SimpleNamespace, operator: Person
) -> None:
    check = record_observed_check(**given)
    assert (check.job_group, check.trainee_signed) == (plant.job.group, True)
    assert {(each.person, each.method) for each in signatures_of(check)} == {
        (given["observer"], "pin"),
        (given["second_signer"], "password"),
        (operator, "pin"),
    }
    reasons = may_run(operator, plant.job, asked_at(NOON)).reasons
    assert "no_observed_check" not in {reason.code for reason in reasons}


def test_who_may_not_observe(
    given: dict[str, Any], plant: SimpleNamespace, quality: Person
) -> None:
    assert refused(given, observer=quality) == "observer"
    observe(quality, plant, level="can_teach")
    # Can teach on paper, and does not run the job alone: nothing read, nothing certified.
    assert refused(given, observer=quality) == "observer"
    assert refused(given, observer=given["person"]) == "observer"
    assert refused(given, observer=given["second_signer"]) == "observer"


def test_a_founding_appointment_lets_somebody_observe(
    given: dict[str, Any], quality: Person
) -> None:
    appointment = Appointment(
        number="F-09",
        kind="founding",
        appointed_by=quality,
        personnel_numbers=[quality.personnel_no],
        from_day=TODAY - dt.timedelta(days=1),
        to_day=TODAY,
        reason=erasable("nobody could teach yet"),
    )
    append(appointment, moment=NOON)
    assert record_observed_check(**{**given, "observer": quality}).observer == quality


def test_the_same_observer_never_twice_running(
    given: dict[str, Any], plant: SimpleNamespace, operator: Person
) -> None:
    observe(operator, plant, observer=given["observer"])
    assert refused(given) == "observer"


def test_the_second_signer_is_quality_or_supervisor(
    given: dict[str, Any], new_hire: Person
) -> None:
    assert refused(given, second_signer=new_hire) == "second_signer"


@pytest.mark.parametrize(
    "shown",
    [
        Shown(planted=5, found=4, good=15, refused=0),
        Shown(planted=4, found=4, good=15, refused=0),
        Shown(planted=5, found=5, good=14, refused=0),
        Shown(planted=5, found=5, good=15, refused=2),
        Shown(planted=5, found=6, good=15, refused=0),
        Shown(planted=5, found=5, good=15, refused=16),
    ],
)
def test_too_little_shown_or_not_passed(given: dict[str, Any], shown: Shown) -> None:
    assert refused(given, shown=shown) == "shown"
    assert not ObservedCheck.objects.filter(person=given["person"]).exists()


def test_a_short_bank_raises_the_planted_parts_to_ten(
    given: dict[str, Any], plant: SimpleNamespace, operator: Person
) -> None:
    certify(operator, [plant.burn], short_bank=True)
    assert refused(given) == "shown"
    ten = Shown(planted=10, found=10, good=15, refused=0)
    assert record_observed_check(**{**given, "shown": ten}).planted_shown == 10


def test_the_day_lies_in_the_employment_and_not_ahead(given: dict[str, Any]) -> None:
    assert refused(given, observed_day=TODAY + dt.timedelta(days=1)) == "observed_day"
    assert refused(given, observed_day=dt.date(2019, 12, 31)) == "observed_day"
    assert refused(given, level="expert") == "level"
