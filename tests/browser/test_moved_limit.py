"""A limit that moves: from the job's sheet over what is decided again to the panel for the rest."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import SIZES, fits, press, seen
from tests.browser.test_booth import accessible
from tests.browser.test_quality_pages import desk
from tests.conftest import PASSWORD
from tests.training.specimens.conftest import make_bank
from training.people.models import Person
from training.specimens.models import PanelRound, ReferenceDecision, Specimen

__all__ = ["desk", "make_bank"]
pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("django_db_setup"),
]


@SIZES
def test_a_moved_limit_is_decided_again_and_sent_to_a_panel(
    desk: Callable[..., Page],
    make_bank: Callable[..., list[Specimen]],
    make_person: Callable[..., Person],
    quality: Person,
    size: dict[str, int],
) -> None:
    within, between, near, beyond = (
        make_bank(1, severity=severity)[0] for severity in (0.15, 0.35, 0.39, 0.9)
    )
    members = [quality, make_person("Second", "quality"), make_person("Third", "trainer")]
    page = desk(size)
    move_the_limit(page)
    page.goto("/specimens/")
    expect(page.get_by_text("4 specimens left the exams")).to_be_visible()
    press(page.get_by_role("link", name="Decide again"))
    turning = page.locator("tr", has_text="changes side")
    expect(turning).to_have_count(1)
    expect(turning).to_contain_text(between.number)
    fits(page)
    accessible(page)
    seen(page, "moved-2-decide-again")
    page.locator("[name=secret]").fill(PASSWORD)
    press(page.get_by_role("button", name="Sign the decisions"))
    expect(page.get_by_text("3 specimens are decided again.")).to_be_visible()
    newest = {
        fact.specimen: fact.decision
        for fact in ReferenceDecision.objects.filter(work_instruction__revision="B")
    }
    assert newest == {within: "accept", between: "accept", beyond: "reject"}

    expect(page.get_by_role("region", name="1 that a measurement does not decide")).to_contain_text(
        near.number
    )
    press(page.get_by_role("button", name="Open a panel round for these"))
    expect(page.locator("[name=specimens]")).to_have_count(1)
    for member in members:
        page.locator(f"[name=members][value='{member.pk}']").check()
    fits(page)
    seen(page, "moved-3-panel")
    press(page.get_by_role("button", name="Open the round"))
    expect(page.get_by_text("is open: its members find it")).to_be_visible()
    round_ = PanelRound.objects.get()
    assert [item.specimen for item in round_.items.all()] == [near]
    assert set(round_.members.all()) == set(members)


def move_the_limit(page: Page) -> None:
    """Open the sheet, change the limit of specks from 0.3 to 0.4 mm, and read what follows."""
    page.goto("/jobs/")
    press(page.get_by_role("link", name="901").first)
    page.wait_for_url("**/jobs/901/")
    seen(page, "moved-0-sheet")
    press(page.locator("a[href*='limits']").first)
    page.wait_for_url("**/limits/**")
    press(page.get_by_role("link", name="Change Black specks, A"))
    expect(page.locator("[name=value]")).to_have_value("0.3")
    page.locator("[name=value]").fill("0.4")
    page.locator("[name=reason]").fill("Customer's letter of 20 November")
    page.locator("[name=reason]").blur()
    # What follows stands beside the form before anything is signed.
    expect(page.locator("#follows")).to_contain_text("→ at most 1 of up to 0.4 mm")
    expect(page.locator("#follows")).to_contain_text("4 of them leave the exams.")
    expect(page.locator("#follows")).to_contain_text("1 changes side, 1 lies within 5 %")
    fits(page)
    seen(page, "moved-1-limit")
    page.locator("[name=secret]").fill(PASSWORD)
    press(page.get_by_role("button", name="Save as revision B"))
    page.wait_for_url("**/jobs/901/")
