"""What the tests' people do at a page: tap on a tablet, work with mouse and keys at a desk, judge a part."""

import datetime as dt
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import DESK, TABLET

SIZES = pytest.mark.parametrize("size", [TABLET, DESK], ids=["tablet", "desk"])
# Where to keep a picture of each step, to be looked at; nowhere by default.
PICTURES = os.environ.get("FLOW_PICTURES", "")
TRIES = 200


def seen(page: Page, name: str) -> None:
    """Keep a picture of the page if somebody wants to look."""
    if PICTURES:
        width = page.viewport_size["width"]  # type: ignore[index]
        page.screenshot(path=Path(PICTURES) / f"{name}-{width}.png", full_page=True)


@contextmanager
def hours_ago(hours: int) -> Iterator[None]:
    """Let the site's clock be so many hours behind; the browser's stays, as a tablet's may."""
    now = timezone.now
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(timezone, "now", lambda: now() - dt.timedelta(hours=hours))
        yield


def at_a_desk(page: Page) -> bool:
    return page.viewport_size == DESK


def press(key: Locator) -> None:
    """Tap a key of a tablet; click it at a desk."""
    if at_a_desk(key.page):
        key.click()
    else:
        key.tap()


def fits(page: Page) -> None:
    """Nothing stands out of the page to the side; call it when the page has come."""
    wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wide <= 0, f"{page.url} is {wide} px wider than the screen"


def part(page: Page) -> Locator:
    return page.locator("[data-booth]:not([hidden])")


def hurry(page: Page) -> None:
    """Give the page a clock of its own, so that a look of two seconds need not be waited for."""
    page.clock.install()


def open_answer(page: Page, answer: str) -> Locator:
    """Return the answer's key once the look is over, by the clock of `hurry`."""
    key = part(page).locator(f"[data-answer={answer}]:visible")
    expect(key).to_be_visible()
    for _ in range(TRIES):
        if key.is_enabled():
            break
        page.clock.fast_forward(500)
    expect(key).to_be_enabled()
    return key


def accept(page: Page) -> None:
    key = open_answer(page, "accept")
    if at_a_desk(page):
        page.keyboard.press("a")
    else:
        key.tap()


def reject(
    page: Page, family: str = "black-specks", *, place: bool = True, whole: bool = False
) -> None:
    """Reject the part: where its middle is, or as a whole; as which family; to be segregated."""
    key = open_answer(page, "reject")
    if at_a_desk(page):
        page.keyboard.press("r")
    else:
        key.tap()
    if whole:
        press(part(page).locator("[data-whole]:visible"))
    elif place:
        mark(page)
    press(part(page).locator(f"[data-family={family}]"))
    if at_a_desk(page):
        page.keyboard.press("3")
    else:
        part(page).locator("[data-action=tag]").tap()


def mark(page: Page) -> None:
    """Mark the middle of the picture: by a tap, or with the arrows."""
    pane = part(page).locator("svg.pane[data-pane=part]:visible")
    if not at_a_desk(page):
        pane.tap()
        return
    pane.focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowLeft")
