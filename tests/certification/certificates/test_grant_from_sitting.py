"""Granting from a sitting: who decides, at which level, until when, and never twice."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from certification.certificates.models import (
    Certificate,
    ObservedCheck,
    SittingDecision,
    ValidityRules,
)
from certification.certificates.services import carry_over, grant_from_sitting, refuse_sitting
from tests.certification.certificates.sittings import NOON, TODAY, sat
from training.floor.models import JobGroup, Level
from training.people.models import ErasableText, Person
from training.people.record.chain import append
from training.people.record.verify import verify
from training.quizzes.models import ExamPlan, Kind, SittingEnd

pytestmark = pytest.mark.django_db

Make = Callable[..., Person]


@pytest.fixture
def rules(quality: Person) -> ValidityRules:
    return ValidityRules.objects.create(
        revision=7,
        day=TODAY - dt.timedelta(days=60),
        parameters={},
        reason="first",
        published_by=quality,
    )


def held(person: Person) -> dict[str, tuple[str, dt.date, dt.date]]:
    return {
        each.family.slug: (each.level, each.granted_day, each.expires_day)
        for each in Certificate.objects.filter(person=person).select_related("family")
    }


def code(caught: pytest.ExceptionInfo[ValidationError]) -> str:
    return str(caught.value.error_list[0].code)


def test_a_named_person_grants_each_passed_family_for_a_year(
    plant: SimpleNamespace, operator: Person, quality: Person, rules: ValidityRules
) -> None:
    sitting = sat(
        operator, [plant.specks, plant.burn, plant.grease], passed=[plant.specks, plant.burn]
    )
    grant = grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON)
    year = TODAY + dt.timedelta(days=365)
    assert held(operator) == {
        "black-specks": (Level.ORDINARY, TODAY, year),
        "burn": (Level.ORDINARY, TODAY, year),
    }
    assert {each.decided_by for each in grant.certificates} == {quality}
    assert {each.by_rule for each in grant.certificates} == {False}
    assert {each.rules for each in grant.certificates} == {rules}
    assert grant.decision is not None
    assert grant.decision.outcome == SittingDecision.Outcome.GRANTED
    assert verify().breaks == ()


def test_the_rule_grants_at_once_and_its_publisher_is_the_decider(
    plant: SimpleNamespace, operator: Person, quality: Person, rules: ValidityRules
) -> None:
    grant = grant_from_sitting(sitting=sat(operator, [plant.burn]), decided_by=None, moment=NOON)
    (certificate,) = grant.certificates
    assert (certificate.decided_by, certificate.by_rule) == (quality, True)
    assert grant.decision is not None
    assert grant.decision.by_rule


def test_the_rule_leaves_critical_families_to_a_named_person(
    plant: SimpleNamespace, operator: Person, quality: Person, rules: ValidityRules
) -> None:
    sitting = sat(operator, [plant.specks, plant.burn], critical=[plant.burn], block=True)
    grant = grant_from_sitting(sitting=sitting, decided_by=None, moment=NOON)
    assert [each.family.slug for each in grant.certificates] == ["black-specks"]
    assert grant.decision is None
    later = grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON)
    assert {each.family.slug: (each.level, each.by_rule) for each in later.certificates} == {
        "black-specks": (Level.ORDINARY, True),
        "burn": (Level.CRITICAL, False),
    }
    assert later.decision is not None


@pytest.mark.parametrize("parameters", [None, {"ordinary_by_rule": False}])
def test_without_a_rule_that_grants_a_named_person_must_decide(
    plant: SimpleNamespace,
    operator: Person,
    rules: ValidityRules,
    parameters: dict[str, bool] | None,
) -> None:
    if parameters is None:
        rules.delete()
    else:
        ValidityRules.objects.update(parameters=parameters)
    with pytest.raises(ValidationError) as caught:
        grant_from_sitting(sitting=sat(operator, [plant.burn]), decided_by=None, moment=NOON)
    assert code(caught) == "no_rule"


@pytest.mark.parametrize(("block", "level"), [(True, "critical"), (False, "ordinary")])
def test_critical_level_needs_the_block_without_a_miss(
    plant: SimpleNamespace, operator: Person, quality: Person, block: bool, level: str
) -> None:
    sitting = sat(operator, [plant.burn, plant.specks], critical=[plant.burn], block=block)
    grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON)
    assert held(operator)["burn"][0] == level
    assert held(operator)["black-specks"][0] == Level.ORDINARY


def test_ordinary_only_wants_a_reason(
    plant: SimpleNamespace, operator: Person, quality: Person
) -> None:
    sitting = sat(operator, [plant.burn], critical=[plant.burn], block=True)
    with pytest.raises(ValidationError) as caught:
        grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON, ordinary_only=True)
    assert code(caught) == "reason"
    grant = grant_from_sitting(
        sitting=sitting, decided_by=quality, moment=NOON, ordinary_only=True, reason="hurried"
    )
    assert held(operator)["burn"][0] == Level.ORDINARY
    assert grant.decision is not None
    assert grant.decision.reason is not None
    assert grant.decision.reason.text == "hurried"


def _invigilated(person: Person, decider: Person) -> Person | None:
    return decider


def _observed(person: Person, decider: Person) -> Person | None:
    check = ObservedCheck(
        person=person,
        job_group=JobGroup.objects.get(code="G90"),
        level="runs_alone",
        observed_day=TODAY,
        observer=decider,
    )
    append(check, moment=NOON)
    return None


@pytest.mark.parametrize("tie", [_invigilated, _observed])
def test_nobody_who_taught_or_invigilated_decides_at_critical_level(
    plant: SimpleNamespace,
    operator: Person,
    quality: Person,
    tie: Callable[[Person, Person], Person | None],
) -> None:
    sitting = sat(
        operator,
        [plant.burn],
        critical=[plant.burn],
        block=True,
        invigilator=tie(operator, quality),
    )
    with pytest.raises(ValidationError) as caught:
        grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON)
    assert code(caught) == "not_independent"
    assert held(operator) == {}
    grant_from_sitting(
        sitting=sitting, decided_by=quality, moment=NOON, ordinary_only=True, reason="no second"
    )
    assert held(operator)["burn"][0] == Level.ORDINARY


def test_only_quality_decides_and_nobody_about_themselves(
    plant: SimpleNamespace, operator: Person, trainer: Person, quality: Person
) -> None:
    with pytest.raises(ValidationError) as caught:
        grant_from_sitting(sitting=sat(operator, [plant.burn]), decided_by=trainer, moment=NOON)
    assert code(caught) == "not_quality"
    with pytest.raises(ValidationError) as caught:
        grant_from_sitting(sitting=sat(quality, [plant.burn]), decided_by=quality, moment=NOON)
    assert code(caught) == "self"


def test_granting_twice_changes_nothing(
    plant: SimpleNamespace, operator: Person, quality: Person, rules: ValidityRules
) -> None:
    sitting = sat(operator, [plant.burn, plant.specks])
    first = grant_from_sitting(sitting=sitting, decided_by=None, moment=NOON)
    again = grant_from_sitting(
        sitting=sitting, decided_by=quality, moment=NOON + dt.timedelta(days=1)
    )
    assert {each.pk for each in again.certificates} == {each.pk for each in first.certificates}
    assert again.decision == first.decision
    assert Certificate.objects.count() == 2


@pytest.mark.parametrize(("old_end", "kept"), [(30, True), (0, True), (31, False), (-1, False)])
def test_early_renewal_keeps_the_old_end(
    plant: SimpleNamespace, operator: Person, quality: Person, old_end: int, kept: bool
) -> None:
    old = TODAY + dt.timedelta(days=old_end)
    carry_over(
        person=operator,
        family=plant.burn,
        level=Level.ORDINARY,
        granted_day=old - dt.timedelta(days=365),
        expires_day=old,
        paper_ref="binder 1 sheet 1",
        voucher=quality,
        moment=NOON,
    )
    grant_from_sitting(sitting=sat(operator, [plant.burn]), decided_by=quality, moment=NOON)
    new = Certificate.objects.get(person=operator, basis=Certificate.Basis.PHYSICAL)
    assert new.expires_day == (old if kept else TODAY) + dt.timedelta(days=365)


def test_an_ordinary_certificate_is_not_renewed_by_a_critical_one(
    plant: SimpleNamespace, operator: Person, quality: Person
) -> None:
    first = sat(operator, [plant.burn], ended_at=NOON - dt.timedelta(days=350))
    grant_from_sitting(sitting=first, decided_by=quality, moment=NOON - dt.timedelta(days=350))
    second = sat(operator, [plant.burn], critical=[plant.burn], block=True)
    grant_from_sitting(sitting=second, decided_by=quality, moment=NOON)
    new = Certificate.objects.get(sitting=second)
    assert new.expires_day == TODAY + dt.timedelta(days=365)


def test_days_count_from_the_day_passed_and_the_right_from_the_decision(
    plant: SimpleNamespace, operator: Person, quality: Person
) -> None:
    passed = NOON - dt.timedelta(days=10)
    grant_from_sitting(
        sitting=sat(operator, [plant.burn], ended_at=passed), decided_by=quality, moment=NOON
    )
    assert held(operator)["burn"] == (Level.ORDINARY, TODAY, TODAY + dt.timedelta(days=355))


def test_a_sitting_older_than_its_certificate_would_be_gives_none(
    plant: SimpleNamespace, operator: Person, quality: Person
) -> None:
    sitting = sat(operator, [plant.burn], ended_at=NOON - dt.timedelta(days=366))
    with pytest.raises(ValidationError) as caught:
        grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON)
    assert code(caught) == "too_old"


def test_a_short_bank_gives_half_a_year_and_is_marked(
    plant: SimpleNamespace, operator: Person, quality: Person
) -> None:
    sitting = sat(operator, [plant.burn], form=ExamPlan.Form.SHORT_BANK)
    (certificate,) = grant_from_sitting(
        sitting=sitting, decided_by=quality, moment=NOON
    ).certificates
    assert certificate.short_bank
    assert certificate.expires_day == dt.date(2027, 5, 25)


def test_never_before_hiring(plant: SimpleNamespace, new_hire: Person, quality: Person) -> None:
    sitting = sat(new_hire, [plant.burn], ended_at=NOON - dt.timedelta(days=4))
    with pytest.raises(ValidationError) as caught:
        grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON)
    assert code(caught) == "before_hiring"
    assert Certificate.objects.count() == 0


@pytest.mark.parametrize(
    ("how", "expected"),
    [
        ({"ended": False}, "running"),
        ({"passed": []}, "not_passed"),
        ({"kind": Kind.PRACTICE}, "practice"),
        ({"ended_at": NOON + dt.timedelta(minutes=1)}, "too_early"),
    ],
)
def test_what_decides_nothing_gives_nothing(
    plant: SimpleNamespace,
    operator: Person,
    quality: Person,
    how: dict[str, object],
    expected: str,
) -> None:
    sitting = sat(operator, [plant.burn], **how)  # type: ignore[arg-type]
    with pytest.raises(ValidationError) as caught:
        grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON)
    assert code(caught) == expected


def test_refusing_wants_a_reason_and_ends_the_matter(
    plant: SimpleNamespace, operator: Person, quality: Person
) -> None:
    sitting = sat(operator, [plant.burn])
    with pytest.raises(ValidationError) as caught:
        refuse_sitting(sitting=sitting, decided_by=quality, reason=" ", moment=NOON)
    assert code(caught) == "reason"
    decision = refuse_sitting(
        sitting=sitting, decided_by=quality, reason="somebody answered for them", moment=NOON
    )
    assert decision.outcome == SittingDecision.Outcome.NOT_GRANTED
    for again in (
        lambda: grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON),
        lambda: refuse_sitting(sitting=sitting, decided_by=quality, reason="x", moment=NOON),
    ):
        with pytest.raises(ValidationError) as caught:
            again()
        assert code(caught) == "decided"
    assert held(operator) == {}
    assert ErasableText.objects.filter(text="somebody answered for them").count() == 1


def test_the_cost_does_not_grow_with_families(
    plant: SimpleNamespace, operator: Person, quality: Person, rules: ValidityRules
) -> None:
    costs = []
    for families in ([plant.burn], [plant.burn, plant.specks, plant.grease]):
        sitting = sat(operator, families)
        with CaptureQueriesContext(
            connection,
        ) as caught:
            grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON)
        costs.append(len(caught))
    assert costs[0] == costs[1]
    assert SittingEnd.objects.count() == 2
