"""Opening an exam in a real browser: the plan, the check of the screen by touch and by keys, the hand-over."""

import os
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import DESK, TABLET
from tests.browser.test_booth import accessible, bank, open_answer, part, small_targets, tablet
from tests.conftest import PIN
from tests.training.quizzes.conftest import begin
from training.people.models import Device, Person
from training.quizzes.models import ExamConditions, Sitting
from training.quizzes.services.opening import open_qualification

__all__ = ["bank", "tablet"]
pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("django_db_setup"),
]
# Where to keep a picture of each step, to be looked at; nowhere by default.
PICTURES = os.environ.get("OPENING_PICTURES", "")
SIZES = pytest.mark.parametrize("size", [TABLET, DESK], ids=["tablet", "desk"])


def seen(page: Page, name: str, size: dict[str, int]) -> None:
    if PICTURES:
        page.screenshot(path=f"{PICTURES}/{name}-{size['width']}.png", full_page=True)


def counted(page: Page) -> tuple[int, int]:
    """Return the squares and the place of the line as they are on the page."""
    places = page.locator("[data-place]").all()
    (line,) = [n for n, each in enumerate(places, 1) if each.locator("[data-hairline]").count()]
    return page.locator("[data-square]").count(), line


def key(page: Page, name: str, value: object) -> Locator:
    return page.locator(f"[name={name}][value='{value}']")


@pytest.fixture
def opened(bank: SimpleNamespace, operator: Person, trainer: Person, device: Device) -> Sitting:
    """An exam of the operator whose screen is still to be checked."""
    return open_qualification(
        person=operator,
        families=[bank.specks],
        plan=bank.plans["short-bank"],
        invigilator=trainer,
        signature_method="pin",
        device=device,
        moment=timezone.now(),
        seed="booth",
    )


@SIZES
def test_from_the_plan_to_the_hand_over(
    tablet: Callable[..., Page],
    bank: SimpleNamespace,
    operator: Person,
    trainer: Person,
    device: Device,
    size: dict[str, int],
) -> None:
    page = tablet(size, trainer)
    page.goto(f"/sittings/open/?person={operator.personnel_no}&family=black-specks")
    seen(page, "1-plan", size)
    page.locator("select[name=language]").select_option("es")
    page.locator("[name=secret]").fill(PIN)
    page.get_by_role("button", name="Sign and open for").click()
    page.wait_for_url("**/screen/")
    accessible(page)
    if size == TABLET:
        assert [each for each in small_targets(page) if "summary" not in each] == []
    squares, line = counted(page)
    key(page, "squares", (squares + 1) % 9).check()
    key(page, "line", line).check()
    page.get_by_role("button", name="hand the tablet over").click()
    expect(page.locator("#sc-advice")).to_be_focused()
    expect(page.locator("#sc-advice")).to_contain_text("Turn the brightness up")
    expect(page.locator("#sc-advice")).to_contain_text("Hold a bank card")
    assert page.locator("[name=squares]:checked").count() == 0
    seen(page, "2-failed", size)
    squares, line = counted(page)
    key(page, "squares", squares).check()
    key(page, "line", line).check()
    page.locator("[data-card-by='10']").click()
    page.locator("[data-card-by='-1']").click()
    page.locator("[name=card_fits]").check()
    key(page, "glasses", "worn").check()
    key(page, "extra_time_percent", 25).check()
    seen(page, "3-right", size)
    page.get_by_role("button", name="hand the tablet over").click()
    page.wait_for_url("**/opened/")
    seen(page, "4-opened", size)
    row = ExamConditions.objects.get()
    assert (row.card_width_px, row.density_percent) == (333, 100)
    assert (row.glasses, row.extra_time_percent, row.sitting.language) == ("worn", 25, "es")


def test_the_hairline_is_one_device_pixel_and_the_frame_follows_the_width(
    tablet: Callable[..., Page], opened: Sitting, trainer: Person
) -> None:
    page = tablet(TABLET, trainer)
    page.goto(f"/sittings/{opened.pk}/screen/")
    line = page.locator("[data-hairline]")
    assert float(line.get_attribute("stroke-width") or 0) == 1
    assert float(line.get_attribute("x1") or 0) % 1 != 0
    width = page.locator("[data-card-width]")
    page.locator("[name=card_fits]").check()
    width.fill("428")
    box = page.locator("[data-card]").bounding_box()
    assert box is not None
    assert (box["width"], box["height"]) == (428, round(428 * 53.98 / 85.6))
    expect(page.locator("[name=card_fits]")).not_to_be_checked()


def test_keys_alone_check_a_screen(
    tablet: Callable[..., Page], opened: Sitting, trainer: Person
) -> None:
    page = tablet(DESK, trainer)
    page.goto(f"/sittings/{opened.pk}/screen/")
    squares, line = counted(page)
    page.locator("[name=squares]").first.focus()
    page.keyboard.press("Space")
    for _ in range(squares):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    for _ in range(line - 1):
        page.keyboard.press("ArrowRight")
    page.locator("[data-card-by='1']").focus()
    page.keyboard.press("Enter")
    page.locator("[name=card_fits]").focus()
    page.keyboard.press("Space")
    page.locator("button[name=go][value=check]").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/opened/")
    assert ExamConditions.objects.get().card_width_px == 325


def test_the_exam_waits_begins_in_its_language_and_shows_what_was_granted(
    tablet: Callable[..., Page], opened: Sitting, bank: SimpleNamespace, operator: Person
) -> None:
    bank.job.pace_s = 12
    bank.job.save()
    page = tablet(TABLET)
    page.goto(f"/sittings/{opened.pk}/")
    expect(page.get_by_text("The screen is checked before the first part.")).to_be_visible()
    begin(opened, timezone.now(), extra_time_percent=50, read_aloud=True)
    page.goto("/practice/")
    page.get_by_role("button", name="Start").click()
    open_answer(page, "accept")
    seen(page, "5-booth", TABLET)
    expect(part(page).locator("[data-real-size]:visible")).to_contain_text("times real size")
    bar = part(page).locator("[data-pace-s]:visible")
    assert bar.get_attribute("data-pace-s") == "18"
    expect(part(page).locator("[data-pace-run]").first).not_to_have_attribute(
        "x2", "0", timeout=5000
    )
    accessible(page)
