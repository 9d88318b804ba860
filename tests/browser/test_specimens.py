"""From a phone's picture to a signed decision, in a real browser, with a pointer and with keys."""

from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.test import Client
from playwright.sync_api import Page
from pytest_django.live_server_helper import LiveServer

from tests.browser.conftest import DESK
from tests.conftest import PASSWORD
from tests.training.specimens import photographs as photo
from training.people.models import Person
from training.specimens.models import ReferenceDecision, Region, Specimen, View

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    # The database is made before the browser's driver starts its event loop.
    pytest.mark.usefixtures("django_db_setup"),
]

Open = Callable[..., Page]


@pytest.fixture
def desk(open_page: Open, live_server: LiveServer, quality: Person) -> Page:
    """A page at the office, with quality signed in."""
    client = Client()
    client.force_login(quality, backend="training.people.backends.OfficeBackend")
    page = open_page(DESK)
    name = settings.SESSION_COOKIE_NAME
    page.context.add_cookies(
        [{"name": name, "value": client.cookies[name].value, "url": live_server.url}]
    )
    return page


def accessible(page: Page) -> None:
    result = Axe().run(page)
    assert result.violations_count == 0, result.generate_report()


def tap(page: Page, x: float, y: float) -> None:
    """Tap a place of the picture, given as shares of its pane."""
    pane = page.locator("svg.pane")
    pane.scroll_into_view_if_needed()
    box = pane.bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] * x, box["y"] + box["height"] * y)


def test_a_part_from_the_phone_to_its_signed_decision(
    desk: Page, plant: SimpleNamespace, quality: Person, tmp_path: Path
) -> None:
    turned = tmp_path / "IMG_6.jpg"
    turned.write_bytes(photo.oriented_jpeg(6))

    desk.goto("/specimens/")
    accessible(desk)
    desk.get_by_role("link", name="Add a part").first.click()
    desk.locator("[name=pictures]").set_input_files([turned])
    desk.get_by_label("Job").select_option(label="901 Bench cover")
    desk.get_by_label("Defect family").select_option(label="Black specks")
    desk.get_by_label("Measured severity").fill("0.45")
    desk.get_by_label("Unit").select_option("mm")
    desk.get_by_label("Pool").select_option("exam")
    accessible(desk)
    desk.get_by_role("button", name="Keep the part").click()
    desk.get_by_text("Specimen S-00001 is kept.").wait_for()
    assert desk.locator("svg.pane").get_attribute("data-width") == "400"
    accessible(desk)

    desk.get_by_role("link", name="Outline the mark").first.click()
    for place in ((0.3, 0.3), (0.45, 0.3), (0.4, 0.5)):
        tap(desk, *place)
    desk.get_by_text("Points in this outline: 3").wait_for()
    accessible(desk)
    desk.get_by_role("button", name="Keep the outline").click()
    desk.get_by_text("The outline is kept.").wait_for()
    assert len(Region.objects.get().polygons[0]) == 3

    desk.get_by_role("button", name="The scale", exact=True).click()
    tap(desk, 0.3, 0.8)
    tap(desk, 0.7, 0.8)
    desk.keyboard.type("40")
    desk.get_by_role("button", name="Keep the scale").click()
    desk.get_by_text("The scale is kept").wait_for()
    assert View.objects.get().px_per_mm is not None

    desk.get_by_role("link", name="Back to the specimen").click()
    desk.get_by_role("link", name="Decide", exact=True).first.click()
    desk.get_by_text("0.45 mm · 1.5 times the limit").wait_for()
    assert not desk.get_by_text("The part is", exact=True).is_visible()
    accessible(desk)
    desk.get_by_label("Your password or PIN").fill(PASSWORD)
    desk.get_by_role("button", name="Sign the decision").click()
    desk.get_by_text("Signed: S-00001 is decided, reject.").wait_for()
    assert ReferenceDecision.objects.get().clear

    desk.locator("[data-outline]").click()
    desk.locator("[data-region]").wait_for(state="visible")
    desk.goto("/specimens/?decision=reject")
    shown = desk.locator("img").first
    assert shown.evaluate("picture => picture.decode().then(() => picture.naturalWidth)") == 360


def test_an_outline_with_keys_alone(desk: Page, plant: SimpleNamespace, make_one: Specimen) -> None:
    desk.goto(f"/specimens/{make_one.pk}/views/0/outline/")
    desk.get_by_text("No point yet.").wait_for()
    desk.locator("svg.pane").focus()
    for key in ("ArrowLeft", "ArrowDown", "ArrowRight"):
        for _ in range(2):
            desk.keyboard.press(f"Shift+{key}")
        desk.keyboard.press("Enter")
    desk.get_by_text("Points in this outline: 3").wait_for()
    desk.keyboard.press("Backspace")
    desk.get_by_text("Points in this outline: 2").wait_for()
    desk.keyboard.press("Shift+ArrowUp")
    desk.keyboard.press("Enter")
    points = desk.locator("[data-points]")
    points.press("End")
    points.press_sequentially("\n10,10 200,200 200,10 10,200")
    desk.get_by_text("This outline crosses itself.").wait_for()
    desk.locator("[data-points]").fill("10,10 200,10 200,200")
    desk.get_by_text("Points in this outline: 3").wait_for()
    desk.get_by_role("button", name="Keep the outline").press("Enter")
    desk.get_by_text("The outline is kept.").wait_for()
    assert Region.objects.get().polygons == [[[10.0, 10.0], [200.0, 10.0], [200.0, 200.0]]]


@pytest.fixture
def make_one(plant: SimpleNamespace, quality: Person) -> Specimen:
    from tests.conftest import NOON
    from training.specimens.services.adding import add_specimen

    return add_specimen(
        job=plant.job,
        zone="A",
        family=plant.specks,
        pictures=[photo.upload(photo.phone_jpeg())],
        by=quality,
        moment=NOON,
    )
