"""Own limits on the person's own page: of which families, against which limit, in which order."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from certification.site import my_work_eyes
from tests.certification.certificates.ready import make_ready
from tests.conftest import NOON
from tests.training.quizzes.bank import fill, right_answer
from training.people.models import Person
from training.quizzes.reports.eyes import FamilyPrior
from training.quizzes.reports.own_eye import OwnEye
from training.quizzes.services.judging import record_judgements
from training.quizzes.services.opening import start_practice
from training.quizzes.services.plans import ensure_default_plans
from training.specimens.models import Pool
from training.statistics.operator_limit import OperatorLimit

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
URL = reverse("site:my_work")
SignIn = Callable[[Person], Client]


def eye(family: str, *, ratio: float | None, calls: str = "", measured: int = 30) -> OwnEye:
    strict, lenient = {"strict": (0.99, 0.0), "lenient": (0.0, 0.99)}.get(calls, (0.3, 0.3))
    limit = OperatorLimit(
        ratio=ratio,
        low=None if ratio is None else ratio * 0.8,
        high=None if ratio is None else ratio * 1.25,
        log_sigma=-1.6,
        p_too_strict=strict,
        p_too_lenient=lenient,
        statement=None if not calls else "said",  # type: ignore[arg-type]
        reason=None,
        judgements=measured,
        provisional=not calls,
    )
    return OwnEye(
        family=family,
        judgements=measured,
        measured=measured,
        bad=15,
        found=14,
        good=15,
        refused=1,
        limit=limit,
        prior=FamilyPrior(),
        detection=None,
    )


@pytest.fixture
def ready(plant: SimpleNamespace, operator: Person) -> Person:
    make_ready(operator, plant)
    return operator


@pytest.fixture
def eyes(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Let the person have these eyes, as far as they are asked for."""

    def have(*given: OwnEye) -> None:
        by_family = {each.family: each for each in given}
        monkeypatch.setattr(
            my_work_eyes,
            "own_eyes",
            lambda _person, slugs: {slug: by_family[slug] for slug in slugs if slug in by_family},
        )

    return have


def rows(client: Client) -> list[Any]:
    context = client.get(URL).context
    return [*context["eyes"], *context["more_eyes"]]


def test_a_family_stands_against_the_limit_of_todays_job(
    floor: SignIn, ready: Person, eyes: Callable[..., None]
) -> None:
    eyes(eye("black-specks", ratio=1.2, calls="lenient"))
    client = floor(ready)
    (row,) = rows(client)
    assert (row.limit.job, row.limit.zone, row.limit.value, row.limit.unit) == (
        "901",
        "A",
        0.3,
        "mm",
    )
    assert (row.value, row.low, row.high) == (0.36, 0.29, 0.45)
    assert row.says == (
        "You reject half of the parts at 0.36 mm. Look for the small ones: they pass too often."
    )
    page = client.get(URL).content.decode()
    assert 'class="scale"' in page
    assert "job 901, zone A: 0.3 mm" in page
    assert f"{reverse('quizzes:report', args=[ready.pk])}?family=black-specks" in page


def test_what_is_only_provisional_says_so(
    floor: SignIn, ready: Person, eyes: Callable[..., None]
) -> None:
    eyes(eye("black-specks", ratio=1.0, measured=14))
    (row,) = rows(floor(ready))
    assert row.says.endswith("Provisional: 14 of 24 judgements.")


def test_a_family_without_a_number_or_a_measured_limit_is_left_out(
    floor: SignIn, ready: Person, eyes: Callable[..., None]
) -> None:
    # Of burn marks and grease this job accepts none, so there is no limit to stand against.
    eyes(eye("black-specks", ratio=None), eye("burn", ratio=1.2, calls="lenient"))
    client = floor(ready)
    assert rows(client) == []
    assert "No number yet for a family of today’s jobs" in client.get(URL).content.decode()


def test_nobody_without_a_job_is_asked_for_one(
    floor: SignIn, operator: Person, eyes: Callable[..., None]
) -> None:
    eyes(eye("black-specks", ratio=1.2))
    assert rows(floor(operator)) == []


def test_what_is_off_comes_first() -> None:
    given = [
        eye("a", ratio=1.0, calls="open"),
        eye("b", ratio=1.5),
        eye("c", ratio=0.7, calls="strict"),
        eye("d", ratio=1.3, calls="lenient"),
        eye("e", ratio=1.6),
    ]
    ordered = sorted(given, key=my_work_eyes._urgency)
    assert [each.family for each in ordered] == ["d", "c", "a", "e", "b"]


def test_real_answers_come_to_a_ruler(floor: SignIn, plant: SimpleNamespace, ready: Person) -> None:
    plans = {
        plan.code: plan for plan in ensure_default_plans(day=NOON.date() - dt.timedelta(days=9))
    }
    fill(
        plant,
        plant.specks,
        bad=14,
        good=14,
        moment=NOON - dt.timedelta(days=100),
        pool=Pool.TEACHING,
    )
    for seed in ("one", "two"):
        sitting = start_practice(
            person=ready, families=[plant.specks], plan=plans["practice"], moment=NOON, seed=seed
        )
        shown = sitting.presented.select_related("decision", "specimen__family")
        answers = [right_answer(each, NOON) for each in shown.order_by("ordinal")]
        record_judgements(sitting=sitting, answers=answers, moment=NOON)
    (row,) = rows(floor(ready))
    assert row.family == "Black specks"
    assert row.low < 0.3 < row.high
