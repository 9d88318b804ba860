"""What quality does at a desk or on a tablet: a plan put in force, a study run, every page fit to read."""

from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.conf import settings
from django.test import Client
from django.utils import timezone
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from tests.browser.hands import SIZES, fits, press, seen
from tests.browser.test_booth import accessible, bank, tablet
from tests.conftest import PASSWORD
from training.people.models import Person
from training.quizzes.models import ExamPlan
from training.specimens.services.real_parts import NewCopy, register_real_part

__all__ = ["bank", "tablet"]
pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("django_db_setup"),
]
Open = Callable[..., Page]


@pytest.fixture
def desk(open_page: Open, live_server: LiveServer, quality: Person) -> Callable[..., Page]:
    """Open a page at the office with quality, or somebody else, signed in."""

    def make(size: dict[str, int], person: Person = quality) -> Page:
        client = Client()
        client.force_login(person, backend="training.people.backends.OfficeBackend")
        page = open_page(size)
        name = settings.SESSION_COOKIE_NAME
        page.context.add_cookies(
            [{"name": name, "value": client.cookies[name].value, "url": live_server.url}]
        )
        return page

    return make


@SIZES
def test_a_plan_from_its_draft_to_its_second_signature(
    desk: Callable[..., Page],
    make_person: Callable[..., Person],
    bank: SimpleNamespace,
    size: dict[str, int],
) -> None:
    page = desk(size)
    page.goto("/plans/")
    press(page.get_by_role("link", name="New plan"))
    press(page.locator(".pl-kinds").get_by_role("link", name="Own"))
    page.wait_for_url("**kind=own")
    # The numbers follow what is typed, before anything is sent.
    figures = page.locator("#figures")
    page.locator("[name=p_bad]").fill("35")
    page.locator("[name=p_bad]").blur()
    expect(figures).to_contain_text("35 %")
    before = figures.inner_text()
    page.locator("[name=p_bad]").fill("25")
    page.locator("[name=p_bad]").blur()
    expect(figures).to_contain_text("25 %")
    expect(figures).not_to_have_text(before)
    assert not ExamPlan.objects.filter(code="inspectors").exists()
    seen(page, "plan-1-form")
    page.locator("[name=code]").fill("inspectors")
    page.locator("[name=name_en]").fill("Own plan of the inspectors")
    page.locator("[name=reason]").fill("a complaint about specks")
    page.locator("[name=secret]").fill(PASSWORD)
    fits(page)
    accessible(page)
    page.get_by_role("button", name="Sign and keep as a draft").click()
    expect(page.get_by_text("waits for a second signature").first).to_be_visible()
    seen(page, "plan-2-draft")
    second = desk(size, make_person("Second Quality", "quality"))
    second.goto("/plans/")
    press(second.get_by_role("link", name="Own plan of the inspectors"))
    second.locator("[name=secret]").fill(PASSWORD)
    press(second.get_by_role("button", name="Sign and put"))
    expect(second.locator(".margin")).to_contain_text("Second Quality")
    seen(second, "plan-3-in-force")
    plan = ExamPlan.objects.get(code="inspectors")
    assert not plan.is_draft
    assert plan.published_by is not None
    assert plan.published_by.name == "Second Quality"


PAGES = (
    "/plans/",
    "/plans/wanted/",
    "/plans/group/",
    "/plans/group/review/",
    "/specimens/",
    "/specimens/statistics/",
    "/specimens/difficulty/",
    "/specimens/missed-when/",
    "/specimens/panel-members/",
    "/specimens/decide-again/",
    "/panels/",
    "/panels/open/",
    "/studies/",
    "/real-parts/",
    "/real-parts/add/",
    "/limit-samples/add/",
    "/sittings/",
)


@SIZES
def test_every_page_of_quality_fits_and_is_accessible(
    desk: Callable[..., Page],
    bank: SimpleNamespace,
    operator: Person,
    quality: Person,
    size: dict[str, int],
) -> None:
    part = register_real_part(
        number="N-0001",
        job=bank.job,
        zone="A",
        family=bank.specks,
        severity=None,
        unit="",
        pool="exam",
        copies=[NewCopy("A", "cabinet 1"), NewCopy("B", "archive")],
        by=quality,
        moment=timezone.now(),
    )
    page = desk(size)
    for address in (*PAGES, f"/real-parts/{part.pk}/", f"/eyes/{operator.pk}/"):
        response = page.goto(address)
        assert response is not None
        assert response.status == 200, address
        fits(page)
        accessible(page)
