"""The pace of a job: quality sets it by signature, who and why stays known, the booth draws it."""

from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.test import Client

from tests.conftest import NOON, PASSWORD
from training.floor.models import PaceChange
from training.floor.pace_selectors import newest_pace_change, pace_changes
from training.floor.services import set_pace
from training.people.models import Person
from training.people.record.verify import verify
from training.people.signing import signatures_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
ADDRESS = "/jobs/901/pace/"
GIVEN = {"pace_s": "12", "reason": "timed at the press", "secret": PASSWORD}


def pace(plant: SimpleNamespace) -> int | None:
    plant.job.refresh_from_db()
    found: int | None = plant.job.pace_s
    return found


class TestPage:
    def test_quality_sets_and_takes_away_a_pace(
        self, office: Sign, quality: Person, plant: SimpleNamespace
    ) -> None:
        client = office(quality)
        page = client.get(ADDRESS).content.decode()
        assert "Not changed since the job was entered." in page
        page = client.post(ADDRESS, GIVEN, follow=True).content.decode()
        assert "The pace of job 901 is set." in page
        assert "12 s a part" in page
        assert "set by Quentin Quality on 25 Nov 2026" in page
        assert pace(plant) == 12
        client.post(ADDRESS, GIVEN | {"pace_s": "", "reason": "no use here"})
        assert pace(plant) is None

    def test_it_shows_who_when_and_why(
        self, office: Sign, quality: Person, plant: SimpleNamespace
    ) -> None:
        client = office(quality)
        client.post(ADDRESS, GIVEN)
        client.post(ADDRESS, GIVEN | {"pace_s": "15", "reason": "two cavities more"})
        page = client.get(ADDRESS)
        rows = [(each.before_s, each.after_s) for each in page.context["changes"]]
        assert rows == [(12, 15), (None, 12)]
        text = page.content.decode()
        for said in ("timed at the press", "two cavities more", "Quentin Quality"):
            assert said in text

    @pytest.mark.parametrize(
        ("wrong", "field"),
        [
            *(({"pace_s": given}, "pace_s") for given in ("1", "601", "-3", "a while", "2.5")),
            ({"reason": " "}, "reason"),
            ({"secret": "wrong"}, "secret"),
            ({"secret": ""}, "secret"),
        ],
    )
    def test_bad_input_changes_nothing(
        self,
        office: Sign,
        quality: Person,
        plant: SimpleNamespace,
        wrong: dict[str, str],
        field: str,
    ) -> None:
        response = office(quality).post(ADDRESS, GIVEN | wrong)
        assert response.status_code == 400
        assert field in response.context["form"].errors
        assert pace(plant) is None
        assert not PaceChange.objects.exists()

    def test_the_same_pace_again_is_no_change(
        self, office: Sign, quality: Person, plant: SimpleNamespace
    ) -> None:
        client = office(quality)
        client.post(ADDRESS, GIVEN)
        response = client.post(ADDRESS, GIVEN)
        assert response.status_code == 400
        assert "This is the pace already" in response.content.decode()
        assert PaceChange.objects.count() == 1

    def test_who_may_not(
        self, office: Sign, trainer: Person, auditor: Person, plant: SimpleNamespace
    ) -> None:
        for person in (trainer, auditor):
            assert office(person).post(ADDRESS, GIVEN).status_code == 403
            assert ADDRESS not in office(person).get("/jobs/901/").content.decode()
        assert pace(plant) is None

    def test_an_unknown_job_and_a_wrong_method(
        self, office: Sign, quality: Person, plant: SimpleNamespace
    ) -> None:
        assert office(quality).post("/jobs/999/pace/", GIVEN).status_code == 404
        assert office(quality).put(ADDRESS).status_code == 405

    def test_queries(
        self,
        office: Sign,
        quality: Person,
        plant: SimpleNamespace,
        django_assert_max_num_queries: Callable[..., object],
    ) -> None:
        client = office(quality)
        with django_assert_max_num_queries(9):  # type: ignore[attr-defined]
            client.get(ADDRESS)


class TestService:
    def change(self, plant: SimpleNamespace, by: Person, seconds: int | None) -> PaceChange:
        return set_pace(
            job=plant.job,
            seconds=seconds,
            reason="timed at the press",
            by=by,
            signature_method="password",
            moment=NOON,
        )

    def test_it_is_signed_chained_and_keeps_both_values(
        self, plant: SimpleNamespace, quality: Person
    ) -> None:
        self.change(plant, quality, 12)
        change = self.change(plant, quality, 9)
        assert (change.before_s, change.after_s) == (12, 9)
        assert change.reason.text == "timed at the press"
        assert (change.recorded_by, change.recorded_at) == (quality, NOON)
        (signature,) = signatures_of(change)
        assert (signature.person, signature.meaning) == (quality, "set the pace of a job")
        assert newest_pace_change(plant.job) == change
        assert len(pace_changes(plant.job)) == 2
        assert verify().breaks == ()

    def test_without_a_reason_nothing(self, plant: SimpleNamespace, quality: Person) -> None:
        with pytest.raises(ValidationError, match="Say why"):
            set_pace(
                job=plant.job,
                seconds=12,
                reason=" ",
                by=quality,
                signature_method="password",
                moment=NOON,
            )
        assert pace(plant) is None
