"""Wherever an exam's outcome is read, the newest scoring counts: what waits, what shows, what is due."""

import datetime as dt
from collections.abc import Callable, Sequence
from types import SimpleNamespace

import pytest
from django.test import Client
from django.urls import reverse

from certification.certificates.evidence import Showing, sequel_of, showing_of
from certification.certificates.waiting import waiting_of, waiting_sittings
from certification.site.my_work import my_work
from tests.certification.certificates.sittings import NOON, sat
from training.floor.models import Family
from training.people.models import Person
from training.people.record.chain import append
from training.quizzes.models import ScoreCorrection, Sitting
from training.quizzes.scoring import Counts, FamilyCount
from training.quizzes.selectors.results import last_exams, sitting_rows
from training.quizzes.selectors.turned import counted_at
from training.specimens.models import ReferenceDecision, Specimen

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]

Again = Callable[..., ScoreCorrection]


@pytest.fixture
def again(plant: SimpleNamespace, quality: Person) -> Again:
    """Score a sitting again: so many missed of each family, and the families it passes now."""
    specimen = Specimen.objects.create(
        number="T-1", job=plant.job, zone="A", family=plant.specks, created_at=NOON
    )
    because = ReferenceDecision(
        specimen=specimen,
        work_instruction=plant.sheet,
        decision="accept",
        action="keep_running",
        basis="quality",
    )
    append(because, moment=NOON)

    def score(
        sitting: Sitting, passed: Sequence[Family], missed: dict[str, int], result: str = ""
    ) -> ScoreCorrection:
        old = Counts.from_json(sitting.end.counts)
        families = {
            slug: FamilyCount(count.bad, missed.get(slug, count.missed))
            for slug, count in old.families.items()
        }
        fact = ScoreCorrection(
            sitting=sitting,
            because=because,
            counts=Counts(families, old.good, old.false_rejects, old.critical).as_json(),
            result=result or ("passed" if passed else "not_passed"),
            families_passed=[family.slug for family in passed],
            recorded_by=quality,
        )
        append(fact, moment=NOON)
        return fact

    return score


@pytest.fixture
def sitting(plant: SimpleNamespace, operator: Person, trainer: Person) -> Sitting:
    """An exam in which two burns were missed, one more than allowed, and no speck."""
    return sat(
        operator,
        [plant.burn, plant.specks],
        passed=[plant.specks],
        missed={"burn": 2},
        invigilator=trainer,
    )


def test_a_family_that_passes_after_all_waits_too(
    plant: SimpleNamespace, operator: Person, sitting: Sitting, again: Again
) -> None:
    assert [each.families for each in waiting_of(operator)] == [("black-specks",)]
    again(sitting, [plant.burn, plant.specks], {"burn": 1})
    assert [each.families for each in waiting_of(operator)] == [("burn", "black-specks")]


def test_my_work_names_the_families_as_counted_today(
    plant: SimpleNamespace,
    operator: Person,
    sitting: Sitting,
    again: Again,
    floor: Callable[..., Client],
) -> None:
    again(sitting, [plant.burn], {"burn": 1, "black-specks": 3})
    content = floor(operator).get(reverse("site:my_work")).content.decode()
    assert "Burn mark: passed, waiting for a decision" in content
    last = my_work(operator, NOON).last_results["black-specks"]
    assert Counts.from_json(last.counted.counts).families["black-specks"].missed == 3


def test_the_persons_page_says_what_waits(
    plant: SimpleNamespace,
    operator: Person,
    quality: Person,
    sitting: Sitting,
    office: Callable[..., Client],
) -> None:
    page = office(quality).get(
        reverse("certificates:person_certificates", args=[operator.personnel_no])
    )
    assert f"{sitting.number}, passed" in page.content.decode()


def test_who_decides_sees_the_counts_of_the_newest_scoring(
    plant: SimpleNamespace,
    quality: Person,
    sitting: Sitting,
    again: Again,
    office: Callable[..., Client],
) -> None:
    again(sitting, [plant.burn, plant.specks], {"burn": 1})
    (row,) = waiting_sittings(NOON)
    assert misses(row.showing) == 1
    page = office(quality).get(reverse("certificates:decide", args=[sitting.pk]))
    shown = {row.name: row.tally.errors for row in page.context["rows"]}
    assert shown["Burn mark"] == 1
    assert misses(showing_of(sitting, sitting.end)) == 2


def misses(showing: Showing) -> int:
    return showing.family("burn").errors


def test_what_counted_before_the_scoring_stays_known(
    plant: SimpleNamespace, sitting: Sitting, again: Again
) -> None:
    fact = again(sitting, [plant.burn], {"burn": 1})
    assert counted_at(sitting, sitting.end.ended_at) == sitting.end
    assert counted_at(sitting, NOON) == fact


def test_the_list_of_sittings_and_the_next_opening_read_it(
    plant: SimpleNamespace, operator: Person, sitting: Sitting, again: Again
) -> None:
    (row,) = sitting_rows([sitting])
    assert row.awaits_coaching
    again(sitting, [plant.burn, plant.specks], {"burn": 1})
    (row,) = sitting_rows([sitting])
    assert not row.awaits_coaching
    assert row.counts.families["burn"].missed == 1
    assert last_exams(operator, ["burn"])["burn"][1] == "passed"


def test_a_certificate_adds_up_the_sittings_as_they_counted_when_it_was_granted(
    plant: SimpleNamespace, operator: Person, sitting: Sitting, again: Again
) -> None:
    again(sitting, [plant.burn], {"burn": 1})
    before = sequel_of(operator, "burn", sitting.end, NOON - dt.timedelta(minutes=1))
    assert (before.sittings, before.tally.errors) == (1, 2)
    assert sequel_of(operator, "burn", sitting.end, NOON).tally.errors == 1


def test_my_work_names_no_exam_that_decides_nothing_any_more(
    plant: SimpleNamespace, operator: Person, sitting: Sitting, again: Again
) -> None:
    assert set(my_work(operator, NOON).last_results) == {"burn", "black-specks"}
    again(sitting, [], {}, result="undecided")
    assert my_work(operator, NOON).last_results == {}
