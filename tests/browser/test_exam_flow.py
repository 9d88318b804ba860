"""An exam as one person sits it: from the tablet handed over to the page of its result."""

from collections.abc import Callable

import pytest
from django.utils import timezone
from playwright.sync_api import Page, Route, expect

from tests.browser.hands import (
    SIZES,
    accept,
    at_a_desk,
    fits,
    hurry,
    open_answer,
    part,
    press,
    reject,
    seen,
)
from tests.browser.test_booth import TOTAL, accessible, bank, exam, tablet
from tests.conftest import PIN
from tests.training.quizzes.bank import right_answer, wrong_answer
from training.people.models import Person
from training.quizzes.models import Judgement, Presented, Sitting, SittingEnd
from training.quizzes.services.judging import record_judgements

__all__ = ["bank", "exam", "tablet"]
pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("django_db_setup"),
]


def is_bad(sitting: Sitting, ordinal: int) -> bool:
    shown = Presented.objects.select_related("decision").get(sitting=sitting, ordinal=ordinal)
    return shown.decision.decision == "reject"


def judge_between(sitting: Sitting, first: int, last: int, *, missed: int = 0) -> None:
    """Judge the parts between rightly, but for so many bad ones."""
    now = timezone.now()
    rows = Presented.objects.filter(sitting=sitting, ordinal__range=(first, last))
    answers = []
    for row in rows.select_related("decision", "specimen__family").order_by("ordinal"):
        wrong = row.decision.decision == "reject" and missed > 0
        missed -= wrong
        bad = row.decision.decision == "reject"
        answers.append(
            wrong_answer(row, now)
            if wrong
            else right_answer(row, now, place=(300, 225) if bad else None)
        )
    record_judgements(sitting=sitting, answers=answers, moment=now)


@SIZES
def test_from_the_tablet_handed_over_to_the_result(
    tablet: Callable[..., Page],
    exam: Sitting,
    operator: Person,
    trainer: Person,
    size: dict[str, int],
) -> None:
    page = tablet(size, trainer)
    hurry(page)
    page.goto("/sittings/open/")
    press(page.get_by_role("link", name=operator.name).first)
    seen(page, "exam-1-opened")
    press(page.get_by_role("button", name="Sign out and hand over the tablet"))
    page.locator("#id_badge").fill(operator.badges.get().number)
    page.locator("#id_pin").fill(PIN)
    page.keyboard.press("Enter")
    page.wait_for_url("**/my-work/")
    page.goto("/practice/")
    expect(page.locator(".pr-exam")).to_contain_text(f"Exam {exam.number} is open for you")
    fits(page)
    press(page.locator(".pr-exam").get_by_role("button", name="Start"))

    # The second answer is taken back once and given again.
    for ordinal in (1, 2, 3):
        expect(part(page)).to_have_attribute("data-ordinal", str(ordinal))
        if ordinal == 2:
            accept(page)
            expect(page.locator("[data-progress]")).to_have_text(f"2 of {TOTAL} judged")
            if at_a_desk(page):
                page.keyboard.press("u")
            else:
                page.locator("[data-undo-key]").tap()
            expect(page.locator("[data-progress]")).to_have_text(f"1 of {TOTAL} judged")
        open_answer(page, "accept")
        seen(page, f"exam-2-part-{ordinal}")
        (reject if is_bad(exam, ordinal) else accept)(page)
    expect(page.locator("#undo")).to_be_visible()
    seen(page, "exam-3-held")
    page.clock.fast_forward(5_000)
    expect(page.locator("#undo")).to_be_hidden()
    expect(page.locator("#sending")).to_contain_text("Saved")
    assert Judgement.objects.filter(sitting=exam).count() == 3

    judge_between(exam, 4, TOTAL - 1)
    page.reload()
    expect(page.locator("[data-progress]")).to_have_text(f"{TOTAL - 1} of {TOTAL} judged")
    (reject if is_bad(exam, TOTAL) else accept)(page)
    expect(page.get_by_role("heading", name="All parts are judged")).to_be_visible()
    seen(page, "exam-4-all-judged")
    press(page.get_by_role("button", name="Finish now"))
    page.wait_for_url("**/result/")
    expect(page.locator(".rs-top")).to_contain_text("Passed")
    fits(page)
    accessible(page)
    seen(page, "exam-5-result")
    end = SittingEnd.objects.get(sitting=exam)
    assert (end.result, end.families_passed) == ("passed", ["black-specks"])


def test_no_answer_can_be_given_before_the_booth_hears_it(
    tablet: Callable[..., Page], exam: Sitting
) -> None:
    page = tablet()
    hurry(page)
    routes: list[Route] = []
    page.route("**/js/sitting.js", lambda route: routes.extend([route]))
    with page.expect_response("**/1/0"):
        page.goto(f"/sittings/{exam.pk}/", wait_until="commit")
    key = part(page).locator("[data-answer=accept]:visible")
    expect(key).to_be_visible()
    page.clock.fast_forward(10_000)
    expect(key).to_be_disabled()
    page.keyboard.press("a")
    (script,) = routes
    script.continue_()
    accept(page)
    expect(part(page)).to_have_attribute("data-ordinal", "2")
