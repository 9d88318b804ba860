"""What quality reads after an exam: specimens, the eye, the draw, the plan's year; and a part keyed anew."""

from collections.abc import Callable

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from certification.certificates.models import CertificateEvent
from certification.certificates.services import grant_from_sitting
from tests.browser.hands import SIZES, fits, press, seen
from tests.browser.test_booth import TOTAL, accessible, bank, exam
from tests.browser.test_exam_flow import judge_between
from tests.browser.test_quality_pages import desk
from tests.conftest import PASSWORD
from training.people.models import Person
from training.quizzes.models import (
    Judgement,
    PlanReview,
    Presented,
    ScoreCorrection,
    Sitting,
    SittingEnd,
)
from training.specimens.models import Specimen

__all__ = ["bank", "desk", "exam"]
pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("django_db_setup"),
]


@pytest.fixture
def sat(exam: Sitting, quality: Person) -> Sitting:
    """The operator's exam, passed with one bad part missed, and its certificate."""
    judge_between(exam, 1, TOTAL, missed=1)
    grant_from_sitting(sitting=exam, decided_by=quality, moment=timezone.now())
    return Sitting.objects.select_related("end").get(pk=exam.pk)


def checked(page: Page, name: str) -> None:
    fits(page)
    accessible(page)
    seen(page, name)


@SIZES
def test_specimen_eye_draw_and_the_years_review(
    desk: Callable[..., Page], sat: Sitting, operator: Person, size: dict[str, int]
) -> None:
    page = desk(size)
    page.goto("/plans/")
    press(page.get_by_role("link", name="Specimen statistics"))
    expect(page.locator(".margin")).to_contain_text(f"of {TOTAL} specimens answered")
    checked(page, "after-1-statistics")
    missed = Judgement.objects.get(answer="accept", presented__decision__decision="reject")
    press(page.get_by_role("link", name=missed.presented.specimen.number))
    page.wait_for_url("**/answers/")
    press(page.locator("details.data summary"))
    given = page.get_by_role("region", name="Answers").locator("tbody tr")
    expect(given).to_contain_text(operator.name)
    expect(given).to_contain_text("against the key")
    checked(page, "after-2-answers")

    page.goto("/sittings/")
    press(page.get_by_role("link", name=operator.name))
    page.wait_for_url(f"**/eyes/{operator.pk}/")
    expect(page.locator("main")).to_contain_text("Black specks")
    fits(page)
    seen(page, "after-3-report")

    page.goto("/sittings/")
    press(page.get_by_role("link", name=sat.number, exact=True))
    press(page.get_by_role("link", name="How it was drawn"))
    page.get_by_text("The parts in their order").click()
    expect(page.locator("details.data tbody tr")).to_have_count(TOTAL)
    checked(page, "after-4-draw")

    page.goto("/plans/")
    press(page.get_by_role("link", name="Short-bank plan").first)
    press(page.get_by_role("link", name="Yearly review"))
    expect(page.get_by_role("heading", name="Who passed")).to_be_visible()
    checked(page, "after-5-review")
    page.locator("[name=decision]").first.check()
    page.locator("[name=words]").fill("One of one passed; nothing to change.")
    page.locator("[name=secret]").fill(PASSWORD)
    press(page.get_by_role("button", name="Sign the review"))
    expect(page.locator("table", has_text="One of one passed")).to_be_visible()
    review = PlanReview.objects.get()
    assert (review.figures["passed"], review.figures["decided"]) == (1, 1)


def accepted_good_part(sitting: Sitting) -> Specimen:
    rows = Presented.objects.filter(sitting=sitting, decision__decision="accept")
    return rows.select_related("specimen").order_by("ordinal")[0].specimen


@SIZES
def test_a_part_keyed_anew_and_what_rests_on_it(
    desk: Callable[..., Page], sat: Sitting, operator: Person, size: dict[str, int]
) -> None:
    specimen = accepted_good_part(sat)
    page = desk(size)
    page.goto("/specimens/")
    press(page.get_by_role("link", name=specimen.number).first)
    press(page.get_by_role("link", name="Decide anew"))
    rests = page.get_by_role("region", name="What rests on the decision it has")
    expect(rests).to_contain_text(sat.number)
    expect(rests).to_contain_text(operator.name)
    key_as_bad(page)
    press(page.get_by_role("link", name="What rests on them"))
    line = page.locator("tbody tr", has_text=sat.number).first
    expect(line).to_contain_text(operator.name)
    checked(page, "turned-2-resting")
    press(line.get_by_role("link", name="Score again"))
    page.wait_for_url("**/score-again/")
    checked(page, "turned-3-rescore")
    page.locator("[name=words]").fill("A speck that nobody had seen.")
    page.locator("[name=secret]").fill(PASSWORD)
    press(page.get_by_role("button", name="Sign and score again"))
    page.wait_for_url("**/result/")
    expect(page.get_by_role("region", name="Corrected")).to_contain_text("A speck that nobody")
    checked(page, "turned-4-corrected")
    fact = ScoreCorrection.objects.get()
    assert (fact.result, SittingEnd.objects.get().result) == ("not_passed", "passed")

    page.goto("/certificates/waiting/")
    press(page.get_by_role("link", name="Corrected exams"))
    row = page.get_by_role("region", name="No longer follow").locator("tbody tr")
    expect(row).to_contain_text(operator.name)
    checked(page, "turned-5-certificates")
    press(row.get_by_role("link", name="Suspend"))
    page.locator("[name=reason]").fill("Scored again, no longer passed.")
    page.locator("[name=secret]").fill(PASSWORD)
    fits(page)
    press(page.locator("main form button[type=submit]"))
    expect(page.locator("main")).to_contain_text("Suspended")
    assert CertificateEvent.objects.filter(kind="suspended").count() == 1


def key_as_bad(page: Page) -> None:
    page.locator("[name=basis][value=quality]").check()
    page.locator("[name=decision][value=reject]").check()
    page.locator("[name=family]").select_option(label="Black specks")
    page.locator("[name=turned]").check()
    page.locator("[name=reason]").fill("Looked at again under the loupe.")
    page.locator("[name=secret]").fill(PASSWORD)
    checked(page, "turned-1-decide")
    press(page.get_by_role("button", name="Sign the decision"))
    expect(page.get_by_text("is decided, reject.")).to_be_visible()
