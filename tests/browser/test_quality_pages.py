"""What quality does at a desk or on a tablet: a plan put in force, a study run, every page fit to read."""

from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.conf import settings
from django.test import Client
from django.utils import timezone
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from tests.browser.conftest import DESK, TABLET
from tests.browser.test_booth import accessible, bank, open_answer, tablet
from tests.conftest import PASSWORD
from training.people.models import Device, Person
from training.quizzes.models import AgreementStudy, ExamPlan, Judgement, Sitting
from training.specimens.services.real_parts import NewCopy, register_real_part

__all__ = ["bank", "tablet"]
pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("django_db_setup"),
]
SIZES = pytest.mark.parametrize("size", [TABLET, DESK], ids=["tablet", "desk"])
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


def fits(page: Page) -> None:
    wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wide <= 0, f"{page.url} is {wide} px wider than the screen"


@SIZES
def test_a_plan_from_its_draft_to_its_second_signature(
    desk: Callable[..., Page],
    make_person: Callable[..., Person],
    bank: SimpleNamespace,
    size: dict[str, int],
) -> None:
    page = desk(size)
    page.goto("/plans/new/?kind=own")
    page.locator("[name=code]").fill("inspectors")
    page.locator("[name=name_en]").fill("Own plan of the inspectors")
    page.locator("[name=reason]").fill("a complaint about specks")
    page.locator("[name=secret]").fill(PASSWORD)
    fits(page)
    accessible(page)
    page.get_by_role("button", name="Sign and keep as a draft").click()
    expect(page.get_by_text("waits for a second signature").first).to_be_visible()
    second = desk(size, make_person("Second Quality", "quality"))
    second.goto("/plans/inspectors/")
    second.locator("[name=secret]").fill(PASSWORD)
    second.get_by_role("button", name="Sign and put").click()
    second.wait_for_load_state()
    plan = ExamPlan.objects.get(code="inspectors")
    assert not plan.is_draft
    assert plan.published_by is not None
    assert plan.published_by.name == "Second Quality"


@SIZES
def test_a_study_from_its_plan_through_a_round_to_its_result(
    desk: Callable[..., Page],
    tablet: Callable[..., Page],
    bank: SimpleNamespace,
    operator: Person,
    trainer: Person,
    device: Device,
    size: dict[str, int],
) -> None:
    page = desk(size)
    page.goto("/studies/add/")
    page.locator("[name=name]").fill("Specks at the bench")
    page.locator("[name=parts]").fill("4")
    page.locator("[name=repeats]").fill("2")
    page.locator(f"[name=people][value='{operator.pk}']").check()
    page.locator(f"[name=people][value='{trainer.pk}']").check()
    page.locator(f"[name=families][value='{bank.specks.pk}']").check()
    fits(page)
    accessible(page)
    page.locator("button[name=show]").click()
    page.locator("button[name=open]").click()
    page.wait_for_url("**/studies/*-*/")
    study = AgreementStudy.objects.get()
    assert study.parts.count() == 4

    floor = tablet(size, operator)
    floor.goto(f"/studies/{study.pk}/round/")
    floor.locator("main form button[type=submit]").first.click()
    floor.wait_for_url("**/sittings/*/")
    for _ in range(4):
        open_answer(floor, "accept")
        floor.keyboard.press("a")
        floor.keyboard.press("Enter")
    floor.wait_for_url("**/round/", timeout=20_000)
    sitting = Sitting.objects.get(kind="study")
    assert Judgement.objects.filter(sitting=sitting).count() == 4
    expect(floor.locator("main")).not_to_contain_text("missed")

    page.goto(f"/studies/{study.pk}/close/")
    page.locator("[name=secret]").fill(PASSWORD)
    page.locator("main form button[type=submit]").last.click()
    page.wait_for_url(f"**/studies/{study.pk}/")
    expect(page.locator("svg.chart").first).to_be_visible()
    fits(page)
    accessible(page)


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
