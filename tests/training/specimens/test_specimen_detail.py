"""The page of one specimen: picture, limit in words, decisions with their history, pools."""

import datetime as dt
import uuid
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.conftest import NOON, TODAY
from tests.training.specimens import photographs as photo
from training.floor.models import WorkInstruction
from training.people.models import Person
from training.specimens.models import Specimen
from training.specimens.services.adding import add_view
from training.specimens.services.deciding import decide_reference
from training.specimens.services.pools import mark_answer_shown

Bank = Callable[..., list[Specimen]]
SignIn = Callable[[Person], Client]

pytestmark = pytest.mark.usefixtures("clock")


def url(specimen: Specimen, name: str = "specimen_detail") -> str:
    return reverse(f"specimens:{name}", args=[specimen.pk])


def text(response: Any) -> str:
    page: str = response.content.decode()
    return page


def test_shows_picture_outline_limit_and_decision(
    make_bank: Bank, office: SignIn, quality: Person
) -> None:
    (specimen,) = make_bank(1)
    page = text(office(quality).get(url(specimen)))
    assert reverse("specimens:frame", args=[specimen.pk, 0, 0]) in page
    assert "<g data-region hidden>" in page, "the outline is shown on request"
    assert "M50 50L120 50L120 120L50 120Z" in page
    assert 'data-bars="0.3:0.3 mm"' in page
    assert "at most 1 of up to 0.3 mm" in page
    assert "work instruction rev A" in page
    assert "1.5 times the limit" in page
    assert "measured against the limit" in page
    assert "Quentin Quality" in page


def test_decisions_are_listed_with_those_they_corrected(
    make_bank: Bank, office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    (specimen,) = make_bank(1)
    decide_reference(
        specimen=specimen,
        work_instruction=plant.sheet,
        decision="accept",
        action="keep_running",
        basis="quality",
        by=quality,
        moment=NOON + dt.timedelta(minutes=5),
        reason="A fibre on the part, not a speck.",
    )
    page = text(office(quality).get(url(specimen)))
    assert "corrected since" in page
    assert "A fibre on the part" in page
    WorkInstruction.objects.create(job=plant.job, revision="B", day=TODAY)
    page = text(office(quality).get(url(specimen)))
    assert "decided under an older revision only" in page


def test_views_can_be_chosen(
    make_specimen: Callable[..., Specimen], office: SignIn, quality: Person
) -> None:
    specimen = make_specimen()
    add_view(specimen=specimen, pictures=[photo.upload(photo.phone_jpeg(300, 300))])
    client = office(quality)
    assert 'data-width="400"' in text(client.get(url(specimen)))
    assert 'data-width="300"' in text(client.get(url(specimen), {"view": "1"}))
    for nonsense in ("2", "x", "-1", "99999999999"):
        assert client.get(url(specimen), {"view": nonsense}).status_code == 404


def test_a_specimen_without_pictures_or_limits_says_so(
    make_bank: Bank, office: SignIn, quality: Person
) -> None:
    (specimen,) = make_bank(1, zone="B", decision=None)
    specimen.views.all().delete()
    page = text(office(quality).get(url(specimen)))
    assert "This specimen has no picture." in page
    assert "say anything about this family" in page
    assert "never decided" in page


def test_who_may_see_it(
    make_bank: Bank,
    office: SignIn,
    floor: SignIn,
    operator: Person,
    supervisor: Person,
    trainer: Person,
    auditor: Person,
    quality: Person,
) -> None:
    (exam,) = make_bank(1)
    (teaching,) = make_bank(1, pool="teaching")
    assert office(auditor).get(url(exam)).status_code == 200
    assert "Decide anew" not in text(office(auditor).get(url(exam)))
    assert office(trainer).get(url(exam)).status_code == 404
    assert office(trainer).get(url(teaching)).status_code == 200
    for client in (office(operator), office(supervisor), floor(quality)):
        assert client.get(url(exam)).status_code == 403
    assert Client().get(url(exam)).status_code == 302
    assert office(quality).post(url(exam)).status_code == 405
    unknown = reverse("specimens:specimen_detail", args=[uuid.uuid4()])
    assert office(quality).get(unknown).status_code == 404


def test_views_and_decisions_cost_no_further_queries(
    make_specimen: Callable[..., Specimen], office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    specimen = make_specimen()
    client = office(quality)

    def count() -> int:
        with CaptureQueriesContext(connection) as caught:
            assert client.get(url(specimen)).status_code == 200
        return len(caught)

    def decide(minutes: int) -> None:
        decide_reference(
            specimen=specimen,
            work_instruction=plant.sheet,
            decision="reject",
            family=plant.specks,
            action="segregate",
            basis="panel",
            by=quality,
            moment=NOON + dt.timedelta(minutes=minutes),
        )

    decide(0)
    few = count()
    for minutes in range(1, 8):
        decide(minutes)
        add_view(specimen=specimen, pictures=[photo.upload(photo.phone_jpeg())])
    assert count() == few <= 19


def test_moves_between_pools_and_back(make_bank: Bank, office: SignIn, quality: Person) -> None:
    (specimen,) = make_bank(1)
    client = office(quality)
    move = url(specimen, "move_pool")
    assert "pool: teaching" in text(client.post(move, {"pool": "teaching"}, follow=True))
    assert "pool: exam" in text(client.post(move, {"pool": "exam"}, follow=True))
    client.post(move, {"pool": "teaching"})
    mark_answer_shown(specimens=[specimen.pk], moment=NOON)
    page = text(client.post(move, {"pool": "exam"}, follow=True))
    assert "examine nobody any more" in page
    assert "no such pool" in text(client.post(move, {"pool": "swimming"}, follow=True))
    specimen.refresh_from_db()
    assert specimen.pool == "teaching"


def test_retires_and_offers_the_way_back(make_bank: Bank, office: SignIn, quality: Person) -> None:
    (specimen,) = make_bank(1)
    client = office(quality)
    page = text(client.post(url(specimen, "retire"), follow=True))
    assert "is retired" in page
    assert f'href="{url(specimen, "bring_back")}"' in page


@pytest.mark.parametrize("name", ["move_pool", "retire"])
def test_only_quality_changes_pools(
    make_bank: Bank,
    office: SignIn,
    floor: SignIn,
    trainer: Person,
    auditor: Person,
    quality: Person,
    name: str,
) -> None:
    (specimen,) = make_bank(1)
    sent = {"pool": "teaching"}
    for client in (office(trainer), office(auditor), floor(quality)):
        assert client.post(url(specimen, name), sent).status_code == 403
    assert Client().post(url(specimen, name), sent).status_code == 302
    assert office(quality).get(url(specimen, name)).status_code == 405
    unknown = reverse(f"specimens:{name}", args=[uuid.uuid4()])
    assert office(quality).post(unknown, sent).status_code == 404
    specimen.refresh_from_db()
    assert (specimen.pool, specimen.retired_day) == ("exam", None)
