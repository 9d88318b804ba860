"""Quality brings back what was retired, with a reason and a signature; a known picture stays out."""

import datetime as dt
import uuid
from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.conftest import NOON, PASSWORD, TODAY
from tests.training.quizzes.answered import answers
from tests.training.quizzes.bank import fill
from tests.training.specimens.test_series import LONG_AGO, ladder
from training.people.models import Person, Signature
from training.people.signing import signatures_of
from training.quizzes.known_pictures import picture_is_known
from training.quizzes.selectors.specimen_answers import AnswerBook
from training.specimens.models import Pool, Specimen, SpecimenSet
from training.specimens.services.bringing_back import bring_back_set, bring_back_specimen

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
MISTAKE = "brings back: retired by mistake"
SENT = {"why": MISTAKE, "secret": PASSWORD}
KNOWN = "training.specimens.keeping_out._told"


@pytest.fixture
def specimen(make_bank: Callable[..., list[Specimen]]) -> Specimen:
    (made,) = make_bank(1)
    made.retired_day = TODAY
    made.save()
    return made


@pytest.fixture
def made(plant: SimpleNamespace) -> SpecimenSet:
    fill(plant, plant.specks, bad=8, good=8, moment=LONG_AGO, pool=Pool.TEACHING)
    found = ladder(plant)
    found.retired_day = TODAY
    found.save()
    return found


def url(subject: Specimen | SpecimenSet) -> str:
    series = "series_" if isinstance(subject, SpecimenSet) else ""
    return reverse(f"specimens:{series}bring_back", args=[subject.pk])


def again(subject: Specimen | SpecimenSet) -> Specimen | SpecimenSet:
    if isinstance(subject, SpecimenSet):
        return bring_back_set(made=subject, moment=NOON)
    return bring_back_specimen(specimen=subject, moment=NOON)


@pytest.fixture(params=["specimen", "made"])
def subject(request: pytest.FixtureRequest) -> Specimen | SpecimenSet:
    found: Specimen | SpecimenSet = request.getfixturevalue(request.param)
    return found


class TestBoth:
    def test_it_is_used_again_and_its_page_says_who_when_and_why(
        self, subject: Specimen | SpecimenSet, office: Sign, quality: Person
    ) -> None:
        client = office(quality)
        assert "retired by mistake" in client.get(url(subject)).content.decode()
        page = client.post(url(subject), SENT, follow=True).content.decode()
        subject.refresh_from_db()
        assert subject.retired_day is None
        (signature,) = signatures_of(subject)
        assert (signature.meaning, signature.person) == (MISTAKE, quality)
        assert "Brought back" in page
        assert "Quentin Quality: retired by mistake" in page
        assert "25 Nov 2026" in page

    @pytest.mark.parametrize(
        ("given", "words"),
        [
            ({"why": ""}, "This field is required."),
            ({"why": "brings back: for fun"}, "is not one of the available choices"),
            ({"secret": "wrong"}, "The password is not right. Nothing was signed."),
            ({"secret": ""}, "This field is required."),
        ],
    )
    def test_without_reason_or_signature_it_stays_retired(
        self,
        subject: Specimen | SpecimenSet,
        office: Sign,
        quality: Person,
        given: dict[str, str],
        words: str,
    ) -> None:
        response = office(quality).post(url(subject), SENT | given)
        assert response.status_code == 400
        assert words in response.content.decode()
        subject.refresh_from_db()
        assert subject.retired_day == TODAY
        assert not Signature.objects.exists()

    def test_what_is_in_use_is_not_brought_back_twice(
        self, subject: Specimen | SpecimenSet, office: Sign, quality: Person
    ) -> None:
        client = office(quality)
        client.post(url(subject), SENT)
        assert client.post(url(subject), SENT).status_code == 302
        assert Signature.objects.count() == 1
        with pytest.raises(ValidationError, match="in use already"):
            again(subject)

    def test_only_quality_may(
        self,
        subject: Specimen | SpecimenSet,
        office: Sign,
        floor: Sign,
        trainer: Person,
        auditor: Person,
        quality: Person,
    ) -> None:
        for client in (office(trainer), office(auditor), floor(quality)):
            assert client.post(url(subject), SENT).status_code == 403
        assert Client().post(url(subject), SENT).status_code == 302
        unknown = url(subject).replace(str(subject.pk), str(uuid.uuid4()))
        assert office(quality).get(unknown).status_code == 404
        assert office(quality).put(url(subject)).status_code == 405
        subject.refresh_from_db()
        assert subject.retired_day == TODAY


class TestSpecimen:
    @pytest.fixture
    def known(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """The quizzes say of every specimen that its picture is known."""
        monkeypatch.setattr(KNOWN, {"quizzes": lambda _key, _moment: "Its picture is known."})

    @pytest.mark.usefixtures("known")
    def test_a_known_picture_stays_out(
        self, specimen: Specimen, office: Sign, quality: Person
    ) -> None:
        client = office(quality)
        page = client.get(url(specimen)).content.decode()
        assert "It stays out" in page
        assert "Its picture is known." in page
        assert "Sign and use it again" not in page
        assert client.post(url(specimen), SENT).status_code == 400
        specimen.refresh_from_db()
        assert specimen.retired_day == TODAY
        assert not Signature.objects.exists()

    def test_one_that_nobody_has_answered_is_not_known(self, specimen: Specimen) -> None:
        assert picture_is_known(specimen.pk, NOON) == ""

    def test_one_that_late_answers_betray_is_known(
        self,
        specimen: Specimen,
        office: Sign,
        quality: Person,
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        """42 of 60 were right long ago, 60 of 60 lately: the figures of the specimen statistics."""
        given = [*answers(1, 42, 60, days_ago=400), *answers(1, 60, 60, days_ago=20, first=60)]
        own = sorted(
            (replace(each, specimen_id=specimen.pk) for each in given), key=lambda each: each.at
        )
        monkeypatch.setattr(
            "training.quizzes.selectors.specimen_statistics.answer_book",
            lambda _day: AnswerBook(tuple(own), {}, {}),
        )
        assert "perhaps known" in picture_is_known(specimen.pk, NOON)
        assert "It stays out" in office(quality).get(url(specimen)).content.decode()


class TestSet:
    def test_a_set_whose_member_is_retired_says_so_and_stays_out(
        self, made: SpecimenSet, office: Sign, quality: Person
    ) -> None:
        member = made.members.all()[0].specimen
        Specimen.objects.filter(pk=member.pk).update(retired_day=TODAY)
        client = office(quality)
        assert f"{member.number} is retired." in client.get(url(made)).content.decode()
        assert client.post(url(made), SENT).status_code == 400
        made.refresh_from_db()
        assert made.retired_day == TODAY

    def test_the_list_shows_what_is_retired_and_the_way_back(
        self, made: SpecimenSet, office: Sign, quality: Person, trainer: Person
    ) -> None:
        address = reverse("specimens:series_list")
        page = office(quality).get(address).content.decode()
        assert url(made) in page
        assert "No set is in use." in page
        assert url(made) not in office(trainer).get(address).content.decode()

    def test_the_list_costs_the_same_for_many(
        self,
        made: SpecimenSet,
        plant: SimpleNamespace,
        office: Sign,
        quality: Person,
    ) -> None:
        client, address = office(quality), reverse("specimens:series_list")

        def count() -> int:
            with CaptureQueriesContext(connection) as queries:
                client.get(address)
            return len(queries)

        few = count()
        for each in (ladder(plant), ladder(plant)):
            SpecimenSet.objects.filter(pk=each.pk).update(retired_day=TODAY - dt.timedelta(days=1))
        assert count() == few <= 20
