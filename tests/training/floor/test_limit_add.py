"""Changing one limit makes the next revision of the sheet, signed; nothing else changes."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import Client

from tests.conftest import NOON, PASSWORD, TODAY
from training.floor.models import GeneralLimits, Job, LimitLine, WorkInstruction
from training.floor.services import acknowledge
from training.floor.sheet_words import next_revision
from training.people.models import Person
from training.people.signing import signatures_of

SignIn = Callable[[Person], Client]
URL = "/jobs/901/limits/"
GOOD = {
    "family": "burn",
    "zone": "A",
    "replaces": "1",
    "measure": "at_most",
    "value": "0.4",
    "unit": "mm",
    "judged_by": "eye",
    "reason": "Customer K, letter of 20 Nov",
    "day": "2026-11-25",
    "secret": PASSWORD,
    "made_from": "A",
}


@pytest.fixture(autouse=True)
def _noon(clock: None, plant: SimpleNamespace) -> None:
    pass


@pytest.fixture
def general(plant: SimpleNamespace) -> GeneralLimits:
    site = GeneralLimits.objects.create(revision="A", day=dt.date(2026, 1, 1))
    LimitLine.objects.create(
        general=site,
        family=plant.burn,
        zone="A",
        measure={"measure": "at_most", "value": 0.3, "unit": "mm", "judged_by": "eye"},
    )
    return site


def post(client: Client, **given: Any) -> Any:
    fields = {key: value for key, value in {**GOOD, **given}.items() if value is not None}
    return client.post(URL, fields)


def test_the_page_shows_the_lines_and_what_follows(
    office: SignIn, quality: Person, operator: Person, plant: SimpleNamespace
) -> None:
    acknowledge(person=operator, subject=plant.sheet, moment=NOON, day=TODAY)
    page = office(quality).get(URL).content.decode()
    assert "Save as revision B" in page
    assert "1 person must read" in page
    assert "at most 1 of up to 0.3 mm" in page


def test_a_line_is_opened_to_be_changed(office: SignIn, quality: Person) -> None:
    answer = office(quality).get(URL, {"line": "0"})
    initial = answer.context["form"].initial
    assert (initial["family"], initial["value"], initial["replaces"]) == ("black-specks", 0.3, "0")
    assert office(quality).get(URL, {"line": "99"}).status_code == 200
    chosen = office(quality).get(URL, {"family": "burn", "zone": "A"}).context["form"].initial
    assert chosen == {"family": "burn", "zone": "A"}


def test_saving_publishes_the_next_revision_signed(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    answer = post(office(quality))
    assert (answer.status_code, answer["Location"]) == (302, "/jobs/901/")
    sheet = WorkInstruction.objects.get(revision="B")
    assert (sheet.day, sheet.signed_by, sheet.reason) == (TODAY, quality, GOOD["reason"])
    assert (sheet.needs, sheet.steps) == (plant.sheet.needs, plant.sheet.steps)
    measures = [line.measure["measure"] for line in sheet.lines.all()]
    assert measures == ["count_at_most", "at_most", "none"]
    assert [signature.meaning for signature in signatures_of(sheet)] == [
        "published a work instruction"
    ]
    assert [line.measure["measure"] for line in plant.sheet.lines.all()] == [
        "count_at_most",
        "none",
        "none",
    ]


def test_a_line_may_stand_beside_the_others(office: SignIn, quality: Person) -> None:
    post(office(quality), replaces="", feature_en="at the gate")
    lines = list(WorkInstruction.objects.get(revision="B").lines.all())
    assert len(lines) == 4
    assert lines[-1].measure["feature"] == {"en": "at the gate", "es": "at the gate"}


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ({"unit": ""}, "unit", "lacks a unit"),
        ({"value": ""}, "value", "lacks a value"),
        ({"value": "-1"}, "value", "out of range"),
        ({"measure": "none", "count": "2"}, "value", None),
        ({"measure": "between", "value2": "0.1"}, "value2", "Give the larger one second"),
        ({"zone": "B"}, "zone", "not one of the available choices"),
        ({"family": "ghost"}, "family", "not one of the available choices"),
        ({"replaces": "0"}, "replaces", "another family or zone"),
        ({"replaces": "77"}, "replaces", "not one of the available choices"),
        ({"reason": ""}, "reason", "required"),
        ({"day": "2025-01-01"}, "day", "cannot be older"),
        ({"secret": "wrong"}, "secret", "Nothing was signed"),
        ({"secret": ""}, "secret", "required"),
    ],
)
def test_what_cannot_be_saved_says_where(
    office: SignIn, quality: Person, given: dict[str, Any], field: str, words: str | None
) -> None:
    answer = post(office(quality), **given)
    if words is not None:
        assert words in str(answer.context["form"].errors[field])
    assert answer.status_code == 400
    assert WorkInstruction.objects.count() == 1


def test_more_than_the_site_allows_needs_the_customers_word(
    office: SignIn, quality: Person, general: GeneralLimits
) -> None:
    answer = post(office(quality))
    assert "More than the site allows (up to 0.3 mm)." in str(
        answer.context["form"].errors["value"]
    )
    assert post(office(quality), agreed="on").status_code == 302


def test_another_name_for_the_same_thing_is_no_way_round_the_site(
    office: SignIn, quality: Person, general: GeneralLimits
) -> None:
    assert post(office(quality), feature_en="at the gate").status_code == 400
    LimitLine.objects.create(
        general=general,
        family=general.lines.get().family,
        zone="A",
        measure={
            "measure": "at_most",
            "value": 0.1,
            "unit": "mm",
            "judged_by": "eye",
            "feature": {"en": "depth", "es": "profundidad"},
        },
    )
    # Which of the two is meant cannot be told any more.
    assert post(office(quality), feature_en="at the gate").status_code == 302


def test_the_consequences_are_shown_while_the_form_is_filled(
    office: SignIn, quality: Person, general: GeneralLimits
) -> None:
    answer = office(quality).post(
        URL, {**GOOD, "secret": "", "reason": ""}, headers={"HX-Request": "true"}
    )
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "none accepted → up to 0.4 mm" in page
    assert "site 0.3 mm" in page
    assert "<html" not in page
    assert WorkInstruction.objects.count() == 1


def test_a_revision_published_meanwhile_is_not_written_over(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    client = office(quality)
    page = client.get(URL).content.decode()
    assert 'name="made_from" value="A"' in page
    # Another reader puts a line before the others: place 1 is another line now.
    other = WorkInstruction.objects.create(
        job=plant.job, revision="B", day=TODAY, needs=plant.sheet.needs
    )
    for position, (family, value) in enumerate(((plant.burn, 0.2), (plant.grease, 0.7))):
        LimitLine.objects.create(
            work_instruction=other,
            family=family,
            zone="A",
            position=position,
            measure={"measure": "at_most", "value": value, "unit": "mm", "judged_by": "eye"},
        )
    answer = post(client)
    assert answer.status_code == 400
    assert "Revision B was published while this page was open" in str(
        answer.context["form"].non_field_errors()
    )
    assert "Open the page anew" in answer.content.decode()
    assert set(WorkInstruction.objects.values_list("revision", flat=True)) == {"A", "B"}
    assert 'name="made_from" value="B"' in client.get(URL).content.decode()
    assert post(client, made_from="B", replaces="0").status_code == 302


@pytest.mark.parametrize("made_from", ["", None])
def test_the_revision_the_page_showed_is_asked_for(
    office: SignIn, quality: Person, made_from: str | None
) -> None:
    assert post(office(quality), made_from=made_from).status_code == 400
    assert WorkInstruction.objects.count() == 1


def test_only_quality_at_the_office_changes_limits(
    office: SignIn, floor: SignIn, quality: Person, trainer: Person
) -> None:
    assert office(trainer).get(URL).status_code == 403
    assert post(office(trainer)).status_code == 403
    assert floor(quality).get(URL).status_code == 403
    assert office(quality).put(URL).status_code == 405


def test_a_job_without_a_sheet_is_sent_back(
    office: SignIn, quality: Person, plant: SimpleNamespace
) -> None:
    Job.objects.create(number="902", part={"en": "Cap"}, group=plant.job.group)
    answer = office(quality).get("/jobs/902/limits/")
    assert answer["Location"] == "/jobs/902/"
    assert office(quality).get("/jobs/777/limits/").status_code == 404


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("A", "B"),
        ("Z", "AA"),
        ("AZ", "BA"),
        ("9", "10"),
        ("C1", "C2"),
        ("C09", "C10"),
        ("ZZ", "AAA"),
    ],
)
def test_the_next_revision(old: str, new: str) -> None:
    assert next_revision(old) == new
