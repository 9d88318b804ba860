"""Certificates that rest on exams scored again: listed, suspended, lifted, and granted anew."""

import datetime as dt
from collections.abc import Callable, Sequence
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from certification.certificates.corrected import (
    certificates_resting,
    follows,
    no_longer_following,
    would_now_follow,
)
from certification.certificates.facts import certificates_of, rules_in_force
from certification.certificates.granting import undecided_sittings
from certification.certificates.models import Certificate, CertificateEvent, SittingDecision
from certification.certificates.services import grant_from_sitting
from certification.certificates.standing import Standing, family_standing
from certification.certificates.standing_facts import Level
from certification.certificates.waiting import waiting_sittings
from tests.certification.certificates.sittings import NOON, TODAY, sat
from tests.conftest import PASSWORD
from training.floor.models import Family
from training.people.models import Person, Signature
from training.people.record.chain import append
from training.quizzes.models import Presented, ScoreCorrection, Sitting
from training.specimens.models import ReferenceDecision, Specimen
from training.specimens.services.deciding import decide_reference

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
URL = reverse("certificates:corrected")


@pytest.fixture
def turned(plant: SimpleNamespace, quality: Person) -> ReferenceDecision:
    """A speck that was accepted after all."""
    specimen = Specimen.objects.create(
        number="T-1", job=plant.job, zone="A", family=plant.specks, created_at=NOON
    )
    return decide_reference(
        specimen=specimen,
        work_instruction=plant.sheet,
        decision="accept",
        action="keep_running",
        basis="quality",
        by=quality,
        moment=NOON,
    )


@pytest.fixture
def correct(turned: ReferenceDecision, quality: Person) -> Callable[..., ScoreCorrection]:
    """Score a sitting again so that only the families named are passed."""

    def write(
        sitting: Sitting,
        passed: Sequence[Family],
        *,
        block: bool | None = None,
        moment: dt.datetime = NOON,
    ) -> ScoreCorrection:
        fact = ScoreCorrection(
            sitting=sitting,
            because=turned,
            counts=sitting.end.counts,
            result="passed" if passed else "not_passed",
            families_passed=[family.slug for family in passed],
            critical_block_passed=block,
            recorded_by=quality,
        )
        append(fact, moment=moment)
        return fact

    return write


@pytest.fixture
def granted(plant: SimpleNamespace, operator: Person, quality: Person, trainer: Person) -> Sitting:
    """A passed exam of burns and specks, granted an hour ago."""
    sitting = sat(operator, [plant.burn, plant.specks], invigilator=trainer)
    grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON - dt.timedelta(hours=1))
    return Sitting.objects.select_related("end").get(pk=sitting.pk)


def standing(person: Person, family: Family, day: dt.date = TODAY) -> Standing:
    held, rules = certificates_of([person.pk])[person.pk], rules_in_force(day)
    return family_standing(held, family.slug, Level.ORDINARY, day, rules).standing


class TestSelectors:
    def test_what_no_longer_follows_and_what_does(
        self,
        granted: Sitting,
        plant: SimpleNamespace,
        correct: Callable[..., ScoreCorrection],
    ) -> None:
        assert no_longer_following(TODAY) == []
        fact = correct(granted, [plant.burn])
        (row,) = no_longer_following(TODAY)
        assert (row.certificate.family, row.suspended) == (plant.specks, False)
        burn = Certificate.objects.get(family=plant.burn)
        assert follows(burn, fact)
        assert would_now_follow() == []

    def test_the_critical_level_needs_the_block(
        self,
        plant: SimpleNamespace,
        operator: Person,
        quality: Person,
        trainer: Person,
        correct: Callable[..., ScoreCorrection],
    ) -> None:
        sitting = sat(
            operator, [plant.burn], critical=[plant.burn], block=True, invigilator=trainer
        )
        grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON)
        correct(sitting, [plant.burn], block=False)
        assert [row.certificate.level for row in no_longer_following(TODAY)] == ["critical"]

    def test_the_newest_correction_counts(
        self,
        granted: Sitting,
        plant: SimpleNamespace,
        correct: Callable[..., ScoreCorrection],
    ) -> None:
        correct(granted, [plant.burn])
        correct(granted, [plant.burn, plant.specks], moment=NOON + dt.timedelta(minutes=1))
        assert no_longer_following(TODAY) == []

    def test_an_exam_that_passes_after_all_waits_for_a_decision(
        self,
        plant: SimpleNamespace,
        operator: Person,
        quality: Person,
        trainer: Person,
        correct: Callable[..., ScoreCorrection],
    ) -> None:
        sitting = sat(operator, [plant.burn, plant.specks], passed=[], invigilator=trainer)
        assert not undecided_sittings().exists()
        correct(sitting, [plant.specks])
        assert [row.families for row in waiting_sittings(NOON)] == [("black-specks",)]
        assert [row.families for row in would_now_follow()] == [("black-specks",)]
        grant = grant_from_sitting(
            sitting=sitting, decided_by=quality, moment=NOON + dt.timedelta(minutes=5)
        )
        assert [each.family for each in grant.certificates] == [plant.specks]
        assert would_now_follow() == []

    def test_an_exam_that_fails_after_all_gives_nothing(
        self,
        plant: SimpleNamespace,
        operator: Person,
        quality: Person,
        trainer: Person,
        correct: Callable[..., ScoreCorrection],
    ) -> None:
        sitting = sat(operator, [plant.burn], invigilator=trainer)
        correct(sitting, [])
        assert waiting_sittings(NOON) == []
        with pytest.raises(ValidationError, match="was not passed"):
            grant_from_sitting(sitting=sitting, decided_by=quality, moment=NOON)

    def test_a_decision_is_opened_again_where_more_follows(
        self,
        plant: SimpleNamespace,
        operator: Person,
        quality: Person,
        trainer: Person,
        correct: Callable[..., ScoreCorrection],
        office: Sign,
    ) -> None:
        sitting = sat(
            operator, [plant.burn, plant.specks], passed=[plant.burn], invigilator=trainer
        )
        earlier = NOON - dt.timedelta(hours=1)
        grant_from_sitting(sitting=sitting, decided_by=quality, moment=earlier)
        correct(sitting, [plant.burn, plant.specks], moment=NOON - dt.timedelta(minutes=5))
        client = office(quality)
        assert "Would follow now" in client.get(URL).text
        decide = reverse("certificates:decide", args=[sitting.pk])
        response = client.post(decide, {"outcome": "granted", "secret": PASSWORD})
        assert response.status_code == 302
        assert Certificate.objects.filter(sitting=sitting).count() == 2
        decisions = SittingDecision.objects.filter(sitting=sitting).order_by("position")
        assert [each.corrects for each in decisions] == [None, decisions[0]]
        again = client.get(decide, follow=True)
        assert "Nothing waits for a decision" in again.text

    def test_the_specimens_page_names_the_certificates(
        self, granted: Sitting, plant: SimpleNamespace, turned: ReferenceDecision
    ) -> None:
        presented = Presented(
            sitting=granted,
            ordinal=1,
            specimen=turned.specimen,
            decision=turned,
            work_instruction=plant.sheet,
            part="bad",
        )
        append(presented, chain=granted.own_chain, moment=NOON)
        rests = certificates_resting(turned.specimen_id)
        assert {row.what for row in rests.rows} == {"Burn mark", "Black specks"}
        assert {row.whose for row in rests.rows} == {"Otto Operator"}


class TestList:
    def test_it_lists_and_leads_on(
        self,
        granted: Sitting,
        plant: SimpleNamespace,
        correct: Callable[..., ScoreCorrection],
        quality: Person,
        office: Sign,
    ) -> None:
        client = office(quality)
        assert "Nothing is to be decided" in client.get(URL).text
        correct(granted, [plant.burn])
        lost = Certificate.objects.get(family=plant.specks)
        page = client.get(URL).text
        assert "No longer follow" in page
        assert reverse("certificates:suspend", args=[lost.pk]) in page
        own = client.get(reverse("certificates:certificate", args=[lost.pk])).text
        assert "it no longer follows from it" in own

    def test_who_may_not(self, trainer: Person, quality: Person, office: Sign) -> None:
        assert office(trainer).get(URL).status_code == 403
        assert office(quality).post(URL).status_code == 405

    def test_queries(
        self,
        granted: Sitting,
        plant: SimpleNamespace,
        correct: Callable[..., ScoreCorrection],
        quality: Person,
        office: Sign,
        django_assert_max_num_queries: Callable[..., object],
    ) -> None:
        client = office(quality)
        correct(granted, [])
        client.get(URL)
        with django_assert_max_num_queries(26):  # type: ignore[attr-defined]
            client.get(URL)


class TestStop:
    def test_suspended_it_counts_for_nothing_and_lifted_it_counts_again(
        self,
        granted: Sitting,
        plant: SimpleNamespace,
        operator: Person,
        quality: Person,
        office: Sign,
    ) -> None:
        row = Certificate.objects.get(family=plant.specks)
        client = office(quality)
        suspend = reverse("certificates:suspend", args=[row.pk])
        lift = reverse("certificates:lift", args=[row.pk])
        assert suspend in client.get(reverse("certificates:certificate", args=[row.pk])).text
        assert standing(operator, plant.specks) is Standing.IN_DATE
        response = client.post(
            suspend, {"reason": "Scored again.", "secret": PASSWORD}, follow=True
        )
        assert "is suspended, from now on" in response.text
        assert standing(operator, plant.specks) is Standing.SUSPENDED
        assert lift in client.get(reverse("certificates:certificate", args=[row.pk])).text
        response = client.post(lift, {"reason": "Sat again.", "secret": PASSWORD}, follow=True)
        assert "counts again" in response.text
        # From the moment it is lifted, and not only from the next day on.
        assert standing(operator, plant.specks) is Standing.IN_DATE
        assert Signature.objects.filter(subject_kind="certificates.certificateevent").count() == 2

    @pytest.mark.parametrize(
        ("sent", "words"),
        [
            ({"reason": "", "secret": PASSWORD}, "Say why"),
            ({"reason": "x", "secret": "wrong"}, "password is not right"),
        ],
    )
    def test_bad_input_writes_nothing(
        self,
        granted: Sitting,
        quality: Person,
        office: Sign,
        sent: dict[str, str],
        words: str,
    ) -> None:
        row = Certificate.objects.first()
        assert row is not None
        response = office(quality).post(reverse("certificates:suspend", args=[row.pk]), sent)
        assert response.status_code == 400
        assert words in response.text
        assert not CertificateEvent.objects.exists()

    def test_what_is_not_suspended_is_not_lifted(
        self, granted: Sitting, quality: Person, office: Sign
    ) -> None:
        row = Certificate.objects.first()
        assert row is not None
        url = reverse("certificates:lift", args=[row.pk])
        response = office(quality).post(url, {"reason": "x", "secret": PASSWORD})
        assert response.status_code == 400
        assert "is not suspended" in response.text

    def test_who_may_not(
        self, granted: Sitting, trainer: Person, operator: Person, quality: Person, office: Sign
    ) -> None:
        row = Certificate.objects.first()
        assert row is not None
        url = reverse("certificates:suspend", args=[row.pk])
        assert office(trainer).get(url).status_code == 403
        operator.groups.set(quality.groups.all())
        response = office(operator).post(url, {"reason": "x", "secret": PASSWORD})
        assert "Nobody decides about themselves" in response.text
