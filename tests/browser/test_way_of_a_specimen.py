"""A part's whole way: photographed, outlined, rated, settled by a panel, in use; step by step from its page."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from tests.browser.hands import SIZES, at_a_desk, fits, hours_ago, press, seen
from tests.browser.test_booth import accessible, tablet
from tests.browser.test_quality_pages import desk
from tests.browser.test_specimens import tap
from tests.conftest import PASSWORD
from tests.training.specimens import photographs as photo
from tests.training.specimens.panel import look_through
from training.people.models import Person
from training.quizzes.services.plans import ensure_default_plans
from training.specimens.models import PanelRound, ReferenceDecision, Specimen

__all__ = ["desk", "tablet"]
pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("django_db_setup", "device"),
]


@SIZES
def test_from_the_photograph_to_its_use(
    desk: Callable[..., Page],
    tablet: Callable[..., Page],
    plant: SimpleNamespace,
    make_person: Callable[..., Person],
    operator: Person,
    quality: Person,
    tmp_path: Path,
    size: dict[str, int],
) -> None:
    ensure_default_plans(day=timezone.localdate())
    members = [quality, make_person("Second", "quality"), make_person("Third", "trainer")]
    page = desk(size)
    with hours_ago(25):
        photograph(page, tmp_path)
        outline(page)
        rate(page)
        to_a_panel(page, members)
        round_ = PanelRound.objects.get()
        begun = timezone.now()
    # The members' looks, the second a day after the first.
    look_through(round_, members, begun, lambda _member, _specimen, _number: "reject")
    assert timezone.now() - begun > dt.timedelta(days=1)

    specimen = Specimen.objects.get()
    page.goto(f"/specimens/{specimen.pk}/")
    expect(step(page, "Settled")).to_contain_text(f"Panel round {round_.number} is looking at it.")
    press(step(page, "Settled").get_by_role("link", name="To the round"))
    press(page.get_by_role("link", name="Close the round"))
    page.locator("[name=secret]").fill(PASSWORD)
    press(page.get_by_role("button", name="Sign and close"))
    press(page.get_by_role("link", name=specimen.number))
    decision = ReferenceDecision.objects.get()
    assert (decision.decision, decision.basis) == ("reject", "panel")

    press(step(page, "In use").get_by_role("link", name="Put it into a pool"))
    page.locator("#pools select").select_option("teaching")
    press(page.locator("#pools").get_by_role("button", name="Move"))
    expect(step(page, "In use")).to_contain_text("done")
    fits(page)
    accessible(page)
    seen(page, "way-6-in-use")

    floor = tablet(size, operator)
    floor.goto("/practice/")
    expect(floor.get_by_role("button", name="Practise Black specks")).to_be_visible()


def step(page: Page, name: str) -> Locator:
    return page.locator(".pl-way li", has=page.get_by_text(name, exact=True))


def photograph(page: Page, folder: Path) -> None:
    picture = folder / "IMG_6.jpg"
    picture.write_bytes(photo.oriented_jpeg(6))
    page.goto("/specimens/")
    press(page.get_by_role("link", name="Add a part").first)
    page.locator("[name=pictures]").set_input_files([picture])
    page.get_by_label("Job").select_option(label="901 Bench cover")
    page.get_by_label("Defect family").select_option(label="Black specks")
    fits(page)
    press(page.get_by_role("button", name="Keep the part"))
    page.get_by_text("Specimen S-00001 is kept.").wait_for()
    expect(step(page, "Photographed")).to_contain_text("done")
    seen(page, "way-1-photographed")


def outline(page: Page) -> None:
    press(step(page, "Outlined").get_by_role("link", name="Outline the mark"))
    page.wait_for_url("**/outline/")
    for x, y in ((0.3, 0.3), (0.45, 0.3), (0.4, 0.5)):
        if at_a_desk(page):
            tap(page, x, y)
        else:
            touch(page, x, y)
    page.get_by_text("Points in this outline: 3").wait_for()
    fits(page)
    seen(page, "way-2-outline")
    press(page.get_by_role("button", name="Keep the outline"))
    page.get_by_text("The outline is kept.").wait_for()
    press(page.get_by_role("link", name="Back to the specimen"))
    expect(step(page, "Outlined")).to_contain_text("done")


def touch(page: Page, x: float, y: float) -> None:
    """Touch a place of the picture, given as shares of its pane."""
    pane = page.locator("svg.pane")
    box = pane.bounding_box()
    assert box is not None
    pane.tap(position={"x": box["width"] * x, "y": box["height"] * y})


def rate(page: Page) -> None:
    press(step(page, "Rated").get_by_role("link", name="Rate it"))
    page.locator("[name=severity]").fill("0.306")
    page.locator("[name=unit]").select_option("mm")
    page.locator("[name=measured_how]").fill("measuring microscope")
    fits(page)
    accessible(page)
    seen(page, "way-3-rate")
    press(page.get_by_role("button", name="Keep the rating"))
    expect(step(page, "Settled")).to_contain_text("Within 5 percent of the limit")


def to_a_panel(page: Page, members: list[Person]) -> None:
    press(step(page, "Settled").get_by_role("link", name="To a panel"))
    for member in members:
        page.locator(f"[name=members][value='{member.pk}']").check()
    seen(page, "way-4-panel")
    press(page.get_by_role("button", name="Open the round"))
    expect(page.get_by_text("is open: its members find it")).to_be_visible()
