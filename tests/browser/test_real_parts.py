"""An exam on numbered real parts: opened, laid out by the printed order, answered on the tablet."""

from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from tests.browser.hands import SIZES, accept, fits, hurry, open_answer, part, press, reject, seen
from tests.browser.test_booth import accessible, tablet
from tests.browser.test_exam_flow import is_bad
from tests.browser.test_opening import counted, key
from tests.conftest import PIN
from tests.training.quizzes.bank import fill, right_answer
from training.people.models import Person
from training.quizzes.models import Judgement, Presented, Sitting, SittingEnd
from training.quizzes.services.judging import record_judgements
from training.quizzes.services.plans import ensure_default_plans
from training.specimens.models import Handling

__all__ = ["tablet"]
pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("django_db_setup", "device"),
]
TOTAL = 12


@pytest.fixture
def cabinet(plant: SimpleNamespace) -> SimpleNamespace:
    """Real parts with burn marks, each with a copy in the cabinet and no picture."""
    now = timezone.now()
    ensure_default_plans(day=timezone.localdate(now))
    fill(plant, plant.burn, bad=9, good=6, moment=now, pictured=False)
    return plant


@SIZES
def test_from_the_cabinet_to_the_result(
    tablet: Callable[..., Page],
    cabinet: SimpleNamespace,
    operator: Person,
    trainer: Person,
    size: dict[str, int],
) -> None:
    examiner = tablet(size, trainer)
    open_on_parts(examiner, operator)
    sitting = Sitting.objects.get()
    numbers = lay_out(examiner)
    shown = Presented.objects.filter(sitting=sitting).order_by("ordinal")
    assert numbers == list(shown.values_list("specimen__number", flat=True))

    page = tablet(size, operator)
    hurry(page)
    page.goto("/practice/")
    press(page.locator(".pr-exam").get_by_role("button", name="Start"))
    for ordinal in (1, 2):
        judge(page, sitting, ordinal, numbers)
    now = timezone.now()
    rest = shown.filter(ordinal__range=(3, TOTAL - 1)).select_related(
        "decision", "specimen__family"
    )
    # The second answer is still held by the page: it goes out before the others.
    page.clock.fast_forward(5_000)
    expect(page.locator("#sending")).to_contain_text("Saved")
    answers = [right_answer(each, now, place=None) for each in rest]
    record_judgements(sitting=sitting, answers=answers, moment=now)
    page.reload()
    judge(page, sitting, TOTAL, numbers)
    press(page.get_by_role("button", name="Finish now"))
    page.wait_for_url("**/result/")
    expect(page.locator(".rs-top")).to_contain_text("Passed")
    assert SittingEnd.objects.get().result == "passed"
    assert Handling.objects.filter(what="judged").count() == TOTAL
    for row in Judgement.objects.filter(answer="reject", presented__ordinal__lte=2):
        assert (row.place_x, row.family, row.action) == (None, cabinet.burn, "segregate")


def open_on_parts(page: Page, operator: Person) -> None:
    page.goto("/sittings/open/")
    press(page.get_by_role("link", name=operator.name))
    press(page.get_by_role("link", name="Numbered real parts"))
    page.get_by_label("Examine Burn mark").check()
    press(page.get_by_role("button", name="Show the plan"))
    offer = page.locator("article.ex-offer", has_text="Light booth").first
    expect(offer).to_be_visible()
    fits(page)
    seen(page, "parts-1-plan")
    offer.locator("[name=secret]").fill(PIN)
    press(offer.get_by_role("button", name="Sign and open for"))
    page.wait_for_url("**/screen/")
    squares, line = counted(page)
    key(page, "squares", squares).check()
    key(page, "line", line).check()
    page.locator("[name=card_fits]").check()
    press(page.get_by_role("button", name="hand the tablet over"))
    page.wait_for_url("**/opened/")
    seen(page, "parts-2-opened")


def lay_out(page: Page) -> list[str]:
    """Open the printed order from the exam's page; return the numbers as they stand there."""
    press(page.get_by_role("link", name="The parts in their order, to print"))
    page.wait_for_url("**/order/")
    expect(page.locator("tbody tr")).to_have_count(TOTAL)
    fits(page)
    accessible(page)
    seen(page, "parts-3-order")
    page.emulate_media(media="print")
    expect(page.get_by_role("button", name="Print")).to_be_hidden()
    expect(page.locator("tbody .box").first).to_be_visible()
    page.emulate_media(media="screen")
    return page.locator("tbody th").all_inner_texts()


def judge(page: Page, sitting: Sitting, ordinal: int, numbers: list[str]) -> None:
    expect(part(page)).to_have_attribute("data-ordinal", str(ordinal))
    expect(part(page).locator(".b-number b")).to_have_text(numbers[ordinal - 1])
    if not is_bad(sitting, ordinal):
        accept(page)
        return
    open_answer(page, "reject")
    seen(page, f"parts-4-part-{ordinal}")
    reject(page, "burn", whole=True)
