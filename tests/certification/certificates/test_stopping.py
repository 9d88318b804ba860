"""Suspending, restoring and withdrawing certificates, and closing requalifications."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from certification.certificates.facts import person_facts
from certification.certificates.models import (
    Certificate,
    CertificateEvent,
    RequalificationNeed,
    RequalificationOrder,
)
from certification.certificates.selectors import asked_at, may_run
from certification.certificates.standing import Rules, Standing, family_standing
from certification.certificates.standing_facts import Level
from certification.certificates.stopping import (
    close_requalification,
    restore_certificate,
    suspend_certificate,
    withdraw_certificate,
)
from tests.certification.certificates.ready import certify, make_ready
from tests.certification.certificates.sittings import NOON, TODAY, sat
from training.people.models import Person, Signature
from training.people.record.chain import append, erasable
from training.people.record.verify import verify
from training.people.signing import signatures_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def certificate(plant: SimpleNamespace, operator: Person) -> Certificate:
    return certify(operator, [plant.burn])[0]


@pytest.fixture
def act(certificate: Certificate, quality: Person) -> Callable[..., CertificateEvent]:
    def do(
        service: Callable[..., CertificateEvent], days: int = 0, **change: Any
    ) -> CertificateEvent:
        given = {
            "certificate": certificate,
            "reason": "two escapes",
            "decided_by": quality,
            "method": "password",
            "moment": NOON + dt.timedelta(days=days),
        }
        return service(**{**given, **change})

    return do


def standing(person: Person, days: int = 0) -> Standing:
    facts = person_facts([person])[person.pk]
    day = TODAY + dt.timedelta(days=days)
    return family_standing(facts.certificates, "burn", Level.ORDINARY, day, Rules()).standing


def code(caught: pytest.ExceptionInfo[ValidationError]) -> str:
    if hasattr(caught.value, "error_dict"):
        return next(iter(caught.value.error_dict))
    return str(caught.value.error_list[0].code)


def test_a_suspension_holds_from_its_day_until_it_is_restored(
    act: Callable[..., CertificateEvent], operator: Person, quality: Person
) -> None:
    event = act(suspend_certificate)
    assert [standing(operator, days) for days in (-1, 0, 5)] == [
        Standing.IN_DATE,
        Standing.SUSPENDED,
        Standing.SUSPENDED,
    ]
    act(restore_certificate, 5)
    assert [standing(operator, days) for days in (4, 5)] == [Standing.SUSPENDED, Standing.IN_DATE]
    (signature,) = signatures_of(event)
    assert (signature.person, signature.meaning) == (quality, "suspended a certificate")
    assert event.reason.text == "two escapes"
    assert verify().breaks == ()


def test_a_withdrawal_is_for_good(act: Callable[..., CertificateEvent], operator: Person) -> None:
    act(withdraw_certificate)
    assert [standing(operator, days) for days in (-1, 0)] == [Standing.IN_DATE, Standing.LAPSED]
    for service in (withdraw_certificate, suspend_certificate, restore_certificate):
        with pytest.raises(ValidationError) as caught:
            act(service, 1)
        assert code(caught) == "withdrawn"


def test_what_does_not_follow_is_refused(
    act: Callable[..., CertificateEvent], operator: Person, trainer: Person, quality: Person
) -> None:
    def refused(service: Callable[..., CertificateEvent], days: int = 0, **change: Any) -> str:
        with pytest.raises(ValidationError) as caught:
            act(service, days, **change)
        return code(caught)

    assert refused(restore_certificate) == "not_suspended"
    assert refused(suspend_certificate, reason="  ") == "reason"
    assert refused(suspend_certificate, decided_by=trainer) == "not_quality"
    assert refused(suspend_certificate, decided_by=operator) == "self"
    assert refused(suspend_certificate, 301) == "ended"
    act(suspend_certificate)
    assert refused(suspend_certificate, 1) == "suspended"
    assert CertificateEvent.objects.count() == Signature.objects.count() == 1


def test_what_is_lifted_the_same_day_counts_at_once(
    plant: SimpleNamespace,
    act: Callable[..., CertificateEvent],
    operator: Person,
) -> None:
    """In the matrix and for whoever asks from then on; what began in between was not allowed."""
    hours = [NOON + dt.timedelta(hours=n) for n in (-1, 1, 3, 5)]
    act(suspend_certificate, moment=NOON)
    assert standing(operator) is Standing.SUSPENDED
    act(restore_certificate, moment=NOON + dt.timedelta(hours=2))
    assert standing(operator) is Standing.IN_DATE
    act(suspend_certificate, moment=NOON + dt.timedelta(hours=4))
    assert standing(operator) is Standing.SUSPENDED
    act(restore_certificate, days=1)
    for days in (-1, 1, 2):
        assert standing(operator, days) is Standing.IN_DATE
    suspended = [
        any(
            reason.code.value == "suspended"
            for reason in may_run(operator, plant.job, asked_at(hour)).reasons
        )
        for hour in hours
    ]
    assert suspended == [False, True, False, True]


@pytest.fixture
def need(plant: SimpleNamespace, operator: Person, quality: Person) -> RequalificationNeed:
    make_ready(operator, plant)
    order = RequalificationOrder(
        number="RQ-09",
        raised_day=TODAY - dt.timedelta(days=2),
        raised_by=quality,
        cause=erasable("six wrong parts in two boxes"),
        families=["burn"],
        what="sitting",
        due_day=TODAY + dt.timedelta(days=5),
    )
    need = RequalificationNeed(order=order, person=operator, block="at_once", due_day=order.due_day)
    append(order, need, moment=NOON - dt.timedelta(days=2))
    return need


def test_closing_a_requalification_frees_the_person(
    plant: SimpleNamespace, need: RequalificationNeed, operator: Person, quality: Person
) -> None:
    assert may_run(operator, plant.job, asked_at(NOON)).verdict.value == "no"
    closure = close_requalification(
        need=need,
        closed_by=quality,
        method="password",
        moment=NOON,
        sitting=sat(operator, [plant.burn]),
    )
    assert closure.closed_day == TODAY
    assert may_run(operator, plant.job, asked_at(NOON)).verdict.value == "alone"
    with pytest.raises(ValidationError) as caught:
        close_requalification(need=need, closed_by=quality, method="password", moment=NOON)
    assert code(caught) == "closed"


def test_a_sitting_before_the_order_or_of_other_families_fulfils_nothing(
    plant: SimpleNamespace, need: RequalificationNeed, operator: Person, quality: Person
) -> None:
    early = sat(operator, [plant.burn], ended_at=NOON - dt.timedelta(days=3))
    for sitting in (early, sat(operator, [plant.specks]), sat(quality, [plant.burn])):
        with pytest.raises(ValidationError) as caught:
            close_requalification(
                need=need, closed_by=quality, method="password", moment=NOON, sitting=sitting
            )
        assert code(caught) == "not_fulfilled"
