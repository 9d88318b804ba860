"""The printed order of real parts: numbers and places, never what they are."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from types import SimpleNamespace

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON
from tests.training.quizzes.bank import fill, right_answer
from tests.training.quizzes.conftest import LONG_AGO
from training.people.models import Person
from training.quizzes.models import ExamPlan, Presented, Sitting
from training.quizzes.services.ending import end_sitting
from training.quizzes.services.judging import record_judgements
from training.specimens.models import Handling, PartCopy, Specimen

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]


@pytest.fixture
def on_parts(
    plant: SimpleNamespace,
    open_exam: Callable[..., Sitting],
    plans: dict[str, ExamPlan],
    operator: Person,
) -> Sitting:
    """An exam of burn marks on numbered real parts."""
    fill(plant, plant.burn, bad=9, good=6, moment=LONG_AGO, pictured=False)
    return open_exam(operator, families=[plant.burn], plan=plans["light-booth"])


def address(sitting: Sitting) -> str:
    return reverse("quizzes:printed_order", args=[sitting.pk])


def test_it_lists_numbers_and_places_in_order(
    floor: Sign, trainer: Person, on_parts: Sitting
) -> None:
    page = floor(trainer).get(address(on_parts)).content.decode()
    numbers = list(
        Presented.objects.filter(sitting=on_parts)
        .order_by("ordinal")
        .values_list("specimen__number", flat=True)
    )
    assert len(numbers) == 12
    places = [page.index(f">{number}<") for number in numbers]
    assert places == sorted(places)
    assert page.count("cabinet 1") == 12


def test_the_page_of_the_opened_exam_leads_to_it(
    floor: Sign, office: Sign, trainer: Person, quality: Person, on_parts: Sitting
) -> None:
    opened = reverse("quizzes:opened", args=[on_parts.pk])
    assert address(on_parts) in floor(trainer).get(opened).text
    assert address(on_parts) in office(quality).get(opened).text


def test_the_page_of_an_exam_on_pictures_does_not(
    floor: Sign, trainer: Person, exam: Sitting
) -> None:
    opened = reverse("quizzes:opened", args=[exam.pk])
    assert address(exam) not in floor(trainer).get(opened).text


def test_it_says_nothing_of_what_the_parts_are(
    office: Sign, quality: Person, on_parts: Sitting
) -> None:
    page = office(quality).get(address(on_parts)).content.decode()
    table = page[page.index("<tbody>") : page.index("</tbody>")].lower()
    for word in ("accept", "reject", "bad", "good", "severity", "critical"):
        assert word not in table.replace("burn-ex-b", "").replace("burn-ex-g", "")


def test_a_part_without_a_copy_to_use_is_pointed_out(
    office: Sign, quality: Person, on_parts: Sitting
) -> None:
    first = Presented.objects.filter(sitting=on_parts).order_by("ordinal")[0]
    PartCopy.objects.filter(specimen=first.specimen_id).update(withdrawn_day=on_parts.opened_at)
    page = office(quality).get(address(on_parts)).content.decode()
    assert "1 part has no copy that may be used today" in page


def test_who_sits_it_does_not_see_it(
    office: Sign,
    quality: Person,
    trainer: Person,
    plant: SimpleNamespace,
    open_exam: Callable[..., Sitting],
    plans: dict[str, ExamPlan],
) -> None:
    fill(plant, plant.burn, bad=9, good=6, moment=LONG_AGO, pictured=False)
    sitting = open_exam(
        trainer, families=[plant.burn], plan=plans["light-booth"], invigilator=quality
    )
    assert office(trainer).get(address(sitting)).status_code == 404
    assert office(quality).get(address(sitting)).status_code == 200


def test_operators_may_not(floor: Sign, new_hire: Person, on_parts: Sitting) -> None:
    assert floor(new_hire).get(address(on_parts)).status_code == 403


def test_an_exam_on_pictures_has_none(office: Sign, quality: Person, exam: Sitting) -> None:
    assert office(quality).get(address(exam)).status_code == 404


def test_it_is_only_read(office: Sign, quality: Person, on_parts: Sitting) -> None:
    assert office(quality).post(address(on_parts)).status_code == 405


def test_it_costs_the_same_for_any_number(
    office: Sign,
    quality: Person,
    on_parts: Sitting,
    django_assert_max_num_queries: Callable[[int], AbstractContextManager[object]],
) -> None:
    client = office(quality)
    with django_assert_max_num_queries(10):
        assert client.get(address(on_parts)).status_code == 200


def test_what_was_judged_is_counted_as_handled(
    on_parts: Sitting, operator: Person, trainer: Person
) -> None:
    shown = list(Presented.objects.filter(sitting=on_parts).order_by("ordinal"))[:2]
    answers = [right_answer(each, NOON, place=None) for each in shown]
    record_judgements(sitting=on_parts, answers=answers, moment=NOON)
    end_sitting(sitting=on_parts, reason="abandoned", moment=NOON, ended_by=trainer)
    judged = {each.specimen_id for each in shown}
    assert set(Handling.objects.values_list("copy__specimen", flat=True)) == judged
    assert {each.what for each in Handling.objects.all()} == {"judged"}
    assert Specimen.objects.filter(copies__handlings__isnull=False).count() == 2
