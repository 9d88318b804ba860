"""Looks of the reference panel in a real browser: on the tablet with taps, at a desk with keys."""

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.test import Client
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from tests.browser.conftest import DESK, TABLET
from tests.browser.hands import (
    SIZES,
    accept,
    hours_ago,
    hurry,
    open_answer,
    part,
    press,
    reject,
    seen,
)
from tests.browser.hands import fits as fits_across
from tests.browser.test_quality_pages import desk
from tests.conftest import NOON, PASSWORD, TODAY
from tests.training.specimens.conftest import make_bank
from training.people.models import Person
from training.specimens.models import PanelLook, PanelRound, ReferenceDecision, Specimen
from training.specimens.panel_turns import turn_of
from training.specimens.services.panels import open_round

__all__ = ["desk", "make_bank"]
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
    hurry(page)
    page.goto(f"/panels/{round_.pk}/look/")
    page.get_by_text("0 of 3 judged").wait_for()
    fits(page)
    accessible(page)
    page.get_by_label("In a few words, if you like").fill("two close together")
    open_answer(page, "reject").tap()
    page.get_by_role("heading", name="Which family?").wait_for()
    assert not page.get_by_text("Tap the place").is_visible()
    fits(page)
    accessible(page)
    page.locator('[data-family="black-specks"]').tap()
    page.locator('[data-action="tag"]').tap()
    # Held for a moment, it can be taken back; the next answer sends it.
    page.get_by_text("1 of 3 judged").wait_for()
    for done in (2, 3):
        open_answer(page, "accept").tap()
        page.get_by_text(f"{done} of 3 judged").wait_for()
    page.get_by_role("button", name="Finish now").tap()
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


@SIZES
def test_from_opening_a_round_to_the_settled_decision(
    desk: Callable[..., Page],
    make_bank: Callable[..., list[Specimen]],
    make_person: Callable[..., Person],
    quality: Person,
    size: dict[str, int],
) -> None:
    (near,) = make_bank(1, severity=0.306, decision=None)
    (unmeasured,) = make_bank(1, severity=None, unit="", decision=None)
    members = [quality, make_person("Second", "quality"), make_person("Third", "trainer")]
    pages = {member: desk(size, member) for member in members}
    for page in pages.values():
        hurry(page)
    with hours_ago(25):
        open_the_round(pages[quality], members)
        round_ = PanelRound.objects.get()
        for page in pages.values():
            look_at_all(page, round_, bad=near)
        expect(pages[quality].locator("main")).to_contain_text("All looks of today are given.")
    for page in pages.values():
        look_at_all(page, round_, bad=near)
    expect(pages[members[1]].locator("main")).to_contain_text("All your looks are given.")
    assert PanelLook.objects.count() == 2 * 2 * len(members)

    page = pages[quality]
    press(page.get_by_role("link", name="Close the round"))
    page.locator("[name=secret]").fill(PASSWORD)
    fits_across(page)
    seen(page, "panel-4-close")
    press(page.get_by_role("button", name="Sign and close"))
    page.wait_for_url(f"**/panels/{round_.pk}/")
    expect(page.locator(".pl-summary")).to_be_visible()
    fits_across(page)
    accessible(page)
    seen(page, "panel-5-closed")
    decided = {fact.specimen: fact for fact in ReferenceDecision.objects.all()}
    assert {each: fact.decision for each, fact in decided.items()} == {
        near: "reject",
        unmeasured: "accept",
    }
    assert {fact.basis for fact in decided.values()} == {"panel"}
    press(page.get_by_role("link", name=near.number))
    expect(page.locator("table.decisions")).to_contain_text("Reject")


def open_the_round(page: Page, members: list[Person]) -> None:
    page.goto("/panels/")
    press(page.get_by_role("link", name="Open a round").first)
    for member in members:
        page.locator(f"[name=members][value='{member.pk}']").check()
    fits_across(page)
    accessible(page)
    seen(page, "panel-1-open")
    press(page.get_by_role("button", name="Open the round"))
    expect(page.get_by_text("is open: its members find it")).to_be_visible()


def look_at_all(page: Page, round_: PanelRound, *, bad: Specimen) -> None:
    """Give the looks that are due, from the list of rounds to the page of the round."""
    page.goto("/panels/")
    press(page.get_by_role("link", name="Look", exact=True))
    page.wait_for_url("**/look/")
    member = page.locator("#sending").get_attribute("data-owner")
    assert member is not None
    turn = turn_of(round_, Person.objects.get(pk=member))
    specimens = {item.pk: item.specimen for item in round_.items.select_related("specimen")}
    for _ in range(len(specimens)):
        ordinal = int(part(page).get_attribute("data-ordinal") or 0)
        place = turn.place(ordinal)
        assert place is not None
        if specimens[place.item] == bad:
            reject(page, place=False)
        else:
            accept(page)
        # The next part has come, or the end.
        expect(page.locator(f"[data-booth][data-ordinal='{ordinal}']:not([hidden])")).to_have_count(
            0
        )
    seen(page, "panel-2-looked")
    press(page.get_by_role("button", name="Finish now"))
    page.wait_for_url(f"**/panels/{round_.pk}/")
    seen(page, "panel-3-round")
