"""Looks of the reference panel in a real browser: on the tablet with taps, at a desk with keys."""

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.test import Client
from playwright.sync_api import Page
from pytest_django.live_server_helper import LiveServer

from tests.browser.conftest import DESK, TABLET
from tests.conftest import NOON, TODAY
from tests.training.specimens.conftest import make_bank
from training.people.models import Person
from training.specimens.models import PanelLook, PanelRound, Specimen
from training.specimens.services.panels import open_round

__all__ = ["make_bank"]
pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    # The database is made before the browser's driver starts its event loop.
    pytest.mark.usefixtures("django_db_setup"),
]

Open = Callable[..., Page]


@pytest.fixture
def round_(
    make_bank: Callable[..., list[Specimen]],
    quality: Person,
    make_person: Callable[..., Person],
) -> PanelRound:
    members = [quality, make_person("Second", "quality"), make_person("Third", "trainer")]
    return open_round(
        specimens=make_bank(3), members=members, by=quality, moment=NOON, day=TODAY, seed="w"
    )


@pytest.fixture
def sign_in(open_page: Open, live_server: LiveServer, quality: Person) -> Callable[..., Page]:
    def make(size: dict[str, int]) -> Page:
        client = Client()
        client.force_login(quality, backend="training.people.backends.OfficeBackend")
        page = open_page(size)
        name = settings.SESSION_COOKIE_NAME
        page.context.add_cookies(
            [{"name": name, "value": client.cookies[name].value, "url": live_server.url}]
        )
        return page

    return make


def accessible(page: Page) -> None:
    result = Axe().run(page)
    assert result.violations_count == 0, result.generate_report()


def fits(page: Page) -> None:
    """Nothing of the booth lies outside the screen."""
    wide, high = page.evaluate(
        "[document.documentElement.scrollWidth, document.documentElement.scrollHeight]"
    )
    size = page.viewport_size
    assert size is not None
    assert (wide <= size["width"], high <= size["height"]) == (True, True)


def test_on_the_tablet_with_taps(sign_in: Callable[..., Page], round_: PanelRound) -> None:
    page = sign_in(TABLET)
    page.goto(f"/panels/{round_.pk}/look/")
    page.get_by_text("0 of 3 judged").wait_for()
    fits(page)
    accessible(page)
    page.get_by_label("In a few words, if you like").fill("two close together")
    page.locator('[data-answer="reject"]:not([disabled])').click(timeout=8000)
    page.get_by_role("heading", name="Which family?").wait_for()
    assert not page.get_by_text("Tap the place").is_visible()
    fits(page)
    accessible(page)
    page.locator('[data-family="black-specks"]').click()
    page.locator('[data-action="tag"]').click()
    # Held for a moment, it can be taken back; the next answer sends it.
    page.get_by_text("1 of 3 judged").wait_for()
    for done in (2, 3):
        page.locator('[data-answer="accept"]:not([disabled])').click(timeout=8000)
        page.get_by_text(f"{done} of 3 judged").wait_for()
    page.get_by_role("button", name="Finish now").click()
    page.wait_for_url(f"**/panels/{round_.pk}/")
    page.get_by_text("All looks of today are given").wait_for()
    looks = list(PanelLook.objects.order_by("position"))
    assert [look.answer for look in looks] == ["reject", "accept", "accept"]
    assert looks[0].words is not None
    assert looks[0].words.text == "two close together"
    accessible(page)


def test_at_a_desk_with_keys_alone(sign_in: Callable[..., Page], round_: PanelRound) -> None:
    page = sign_in(DESK)
    page.goto("/panels/")
    page.get_by_role("link", name="Look", exact=True).click()
    page.wait_for_load_state("networkidle")
    page.locator('[data-answer="accept"]:not([disabled])').wait_for(timeout=8000)
    fits(page)
    page.keyboard.press("a")
    page.get_by_text("1 of 3 judged").wait_for()
    page.keyboard.press("u")
    page.get_by_text("0 of 3 judged").wait_for()
    page.locator('[data-answer="reject"]:not([disabled])').wait_for()
    page.keyboard.press("r")
    page.get_by_role("heading", name="Which family?").wait_for()
    page.keyboard.press("Backspace")
    page.locator('[data-answer="accept"]:not([disabled])').wait_for()
    page.keyboard.press("a")
    page.get_by_text("1 of 3 judged").wait_for()
    page.wait_for_function(
        "() => localStorage.getItem('witness-line-answers') === '[]'", timeout=9000
    )
    assert PanelLook.objects.get().answer == "accept"
