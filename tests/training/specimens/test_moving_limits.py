"""What a moved limit takes out of the exams is said before it is signed, as it will be afterwards."""

import datetime as dt
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import translation

from tests.conftest import PASSWORD, TODAY
from training.floor.models import Family, WorkInstruction
from training.floor.moving import NewLines, what_moves
from training.floor.selectors import lines_of_sheet
from training.people.models import Person
from training.specimens.models import Pool, Specimen
from training.specimens.services.bulk import Decided
from training.specimens.settling import ToSettle, Way, to_settle, would_wait

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
URL = "/jobs/901/limits/"
SPECKS = {
    "family": "black-specks",
    "zone": "A",
    "replaces": "0",
    "made_from": "A",
    "measure": "count_at_most",
    "value": "0.4",
    "unit": "mm",
    "count": "1",
    "per_area_cm2": "100",
    "judged_by": "eye",
    "reason": "Customer K, letter of 20 Nov",
    "day": TODAY.isoformat(),
}


@pytest.fixture
def bank(make_bank: Callable[..., list[Specimen]], plant: SimpleNamespace) -> list[Specimen]:
    """Five specks decided by a limit of 0.3 mm, one of them teaching; a burn that nobody measured."""
    specks = [make_bank(1, severity=size)[0] for size in (0.15, 0.35, 0.39, 0.9)]
    teaching = make_bank(1, severity=0.45, pool=Pool.TEACHING)
    decided = Decided("reject", "segregate", plant.burn)
    burn = make_bank(1, family=plant.burn, severity=None, unit="", decision=decided)
    return [*specks, *teaching, *burn]


def moved(plant: SimpleNamespace, value: float = 0.4) -> NewLines:
    first, *others = lines_of_sheet(plant.sheet)
    return NewLines(plant.job, [replace(first, value=value), *others], TODAY, TODAY)


def counted(rows: list[ToSettle]) -> Counter[tuple[str, Way, bool]]:
    return Counter((each.specimen.family.slug, each.way, each.turns) for each in rows)


def follows(client: Client, **given: Any) -> str:
    """What stands beside the form once something was typed into it, on one line."""
    answer = client.post(URL, {**SPECKS, **given}, headers={"HX-Request": "true"})
    assert answer.status_code == 200
    return " ".join(answer.text.split())


def test_it_is_what_waits_afterwards(
    bank: list[Specimen], plant: SimpleNamespace, office: Sign, quality: Person
) -> None:
    said = [each for rows in would_wait(moved(plant)).values() for each in rows]
    assert to_settle(TODAY, decided_before=True) == []
    assert office(quality).post(URL, {**SPECKS, "secret": PASSWORD}).status_code == 302
    waiting = to_settle(TODAY, decided_before=True)
    assert counted(said) == counted(waiting)
    assert counted(said) == {
        ("black-specks", Way.MEASURE, False): 3,
        ("black-specks", Way.MEASURE, True): 1,
        ("black-specks", Way.NEAR, True): 1,
        ("burn", Way.PANEL, False): 1,
    }


def test_it_is_said_beside_the_form_before_it_is_signed(
    bank: list[Specimen], office: Sign, quality: Person
) -> None:
    page = follows(office(quality))
    assert "6 are decided by the revision before and are out until they are decided again." in page
    assert "5 of them leave the exams." in page
    assert (
        "<dt>black specks <b>5</b></dt><dd>1 changes side, 1 lies within 5 % of the limit: no exam "
        "uses it, 3 stay on their side</dd>"
    ) in page
    assert "<dt>burn mark <b>1</b></dt><dd>1 for a panel</dd>" in page
    assert f'href="{reverse("specimens:specimen_list")}?job=901"' in page
    assert WorkInstruction.objects.count() == 1


def test_the_page_of_the_link_shows_them(
    bank: list[Specimen], office: Sign, quality: Person
) -> None:
    page = office(quality).get(reverse("specimens:specimen_list"), {"job": "901"}).text
    assert all(each.number in page for each in bank)


def test_it_follows_the_limit_that_is_typed(
    bank: list[Specimen], office: Sign, quality: Person
) -> None:
    client = office(quality)
    assert "2 change side, 3 stay on their side" in follows(client, value="0.42")
    assert "5 stay on their side" in follows(client, value="0.3")
    # What cannot be read as a limit changes nothing yet.
    assert "5 stay on their side" in follows(client, value="")


def test_it_stands_there_as_the_page_is_opened(
    bank: list[Specimen], office: Sign, quality: Person
) -> None:
    assert "5 of them leave the exams." in office(quality).get(URL).text


def test_nothing_is_said_where_nothing_is_decided(
    plant: SimpleNamespace, office: Sign, quality: Person
) -> None:
    assert "leave the exams" not in follows(office(quality))


def test_retired_specimens_and_other_jobs_do_not_wait(
    bank: list[Specimen], plant: SimpleNamespace
) -> None:
    Specimen.objects.filter(pk=bank[0].pk).update(retired_day=TODAY)
    assert sum(map(len, would_wait(moved(plant)).values())) == 5
    assert would_wait(replace(moved(plant), job=plant.job.__class__())) == {}


def test_a_day_that_is_not_yet_reads_that_day_s_limits(
    bank: list[Specimen], plant: SimpleNamespace
) -> None:
    later = replace(moved(plant), day=TODAY + dt.timedelta(days=30))
    families: list[Family] = list(would_wait(later))
    assert [each.slug for each in families] == ["black-specks", "burn"]


def test_it_is_said_in_spanish_too(bank: list[Specimen], plant: SimpleNamespace) -> None:
    with translation.override("es"):
        (kind,) = what_moves(moved(plant))
    assert [row.count for row in kind.rows] == [5, 1]


def test_it_costs_seven_queries_however_many_they_are(
    make_bank: Callable[..., list[Specimen]],
    bank: list[Specimen],
    plant: SimpleNamespace,
    django_assert_num_queries: Any,
) -> None:
    new = moved(plant)
    with django_assert_num_queries(7):
        would_wait(new)
    make_bank(6)
    with django_assert_num_queries(7):
        would_wait(new)
