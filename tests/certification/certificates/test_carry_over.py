"""Carrying certificates over from paper: within the rule, vouched for, never before hiring."""

import datetime as dt
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from certification.certificates.models import Certificate
from certification.certificates.services import PaperCertificate, carry_over, carry_over_many
from tests.conftest import NOON, TODAY
from training.people.models import Employment, Person
from training.people.record.verify import verify

pytestmark = pytest.mark.django_db


@pytest.fixture
def paper(plant: SimpleNamespace, operator: Person, quality: Person) -> dict[str, Any]:
    return {
        "person": operator,
        "family": plant.burn,
        "level": "ordinary",
        "granted_day": TODAY - dt.timedelta(days=100),
        "expires_day": TODAY + dt.timedelta(days=265),
        "paper_ref": "binder 5 sheet 35",
        "voucher": quality,
    }


def test_it_stands_as_carried_over(paper: dict[str, Any], quality: Person) -> None:
    certificate = carry_over(**paper, moment=NOON, recorded_by=quality)
    assert certificate.basis == Certificate.Basis.CARRIED_OVER
    assert (certificate.voucher, certificate.paper_ref) == (quality, "binder 5 sheet 35")
    assert (certificate.sitting, certificate.decided_by, certificate.by_rule) == (None, None, False)
    assert verify().breaks == ()


def test_the_same_paper_again_changes_nothing(paper: dict[str, Any]) -> None:
    first = carry_over(**paper, moment=NOON)
    assert carry_over(**paper, moment=NOON) == first
    assert Certificate.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "field", "code"),
    [
        (
            {"granted_day": dt.date(2019, 12, 31), "expires_day": dt.date(2020, 12, 30)},
            "granted_day",
            "before_hiring",
        ),
        ({"granted_day": TODAY + dt.timedelta(days=1)}, "granted_day", "future"),
        ({"expires_day": TODAY + dt.timedelta(days=296)}, "expires_day", "too_long"),
        ({"expires_day": TODAY - dt.timedelta(days=101)}, "expires_day", "order"),
        ({"level": "expert"}, "level", "level"),
        ({"paper_ref": " "}, "paper_ref", "required"),
        ({"voucher": None}, "voucher", "required"),
    ],
)
def test_what_cannot_be_carried_over_names_its_field(
    paper: dict[str, Any], change: dict[str, Any], field: str, code: str
) -> None:
    with pytest.raises(ValidationError) as caught:
        carry_over(**{**paper, **change}, moment=NOON)
    assert [(name, each[0].code) for name, each in caught.value.error_dict.items()] == [
        (field, code)
    ]
    assert Certificate.objects.count() == 0


def test_an_early_renewal_on_paper_may_end_thirty_days_later(paper: dict[str, Any]) -> None:
    last = TODAY + dt.timedelta(days=295)
    assert carry_over(**{**paper, "expires_day": last}, moment=NOON).expires_day == last


def test_nobody_vouches_for_themselves(paper: dict[str, Any]) -> None:
    with pytest.raises(ValidationError) as caught:
        carry_over(**{**paper, "voucher": paper["person"]}, moment=NOON)
    assert caught.value.error_dict["voucher"][0].code == "self"


def test_a_day_between_two_stays_is_refused(paper: dict[str, Any], operator: Person) -> None:
    Employment.objects.filter(person=operator).update(to_day=TODAY - dt.timedelta(days=200))
    Employment.objects.create(person=operator, from_day=TODAY - dt.timedelta(days=50))
    with pytest.raises(ValidationError) as caught:
        carry_over(**paper, moment=NOON)
    assert caught.value.error_dict["granted_day"][0].code == "not_employed"


def test_many_are_all_or_none_at_a_fixed_cost(
    paper: dict[str, Any], plant: SimpleNamespace
) -> None:
    good = [
        PaperCertificate(**{**paper, "family": family})
        for family in (plant.burn, plant.specks, plant.grease)
    ]
    bad = PaperCertificate(**{**paper, "paper_ref": ""})
    with pytest.raises(ValidationError):
        carry_over_many(papers=[*good, bad], moment=NOON)
    assert Certificate.objects.count() == 0
    costs = []
    # The plant's first fact also begins its chain.
    carry_over_many(papers=good[:1], moment=NOON)
    for papers in (good[1:2], good):
        with CaptureQueriesContext(connection) as caught:
            carry_over_many(papers=papers, moment=NOON)
        costs.append(len(caught))
    assert costs[0] == costs[1]
    assert Certificate.objects.count() == 3
