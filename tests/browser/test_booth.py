"""The booth in a real browser: by touch, by keys alone, taken back, without a connection."""

from collections.abc import Callable
from decimal import Decimal
from types import SimpleNamespace

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.test import Client
from django.utils import timezone
from PIL import Image, ImageDraw
from playwright.sync_api import Locator, Page, Route, expect
from pytest_django.live_server_helper import LiveServer

from tests.browser import hands
from tests.browser.conftest import DESK, TABLET
from tests.conftest import DEVICE_TOKEN
from tests.training.quizzes.conftest import begin
from training.people.devices import COOKIE
from training.people.models import Device, Person
from training.quizzes.models import ExamPlan, Judgement, Sitting
from training.quizzes.services.opening import open_qualification, start_practice
from training.quizzes.services.plans import ensure_default_plans, publish_plan
from training.specimens.models import Pool
from training.specimens.services.bulk import (
    Decided,
    NewFrame,
    NewRegion,
    NewSpecimen,
    NewView,
    add_specimens,
)

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    # The database is made before the browser's driver starts its event loop.
    pytest.mark.usefixtures("django_db_setup"),
]
Open = Callable[..., Page]
WIDE = {"width": 1180, "height": 820}
BAD, GOOD, TOTAL = 14, 14, 24


def specimen(plant: SimpleNamespace, place: int, *, bad: bool, pool: str) -> NewSpecimen:
    """A grey plate of two views with a dark dot in its middle, of each kind the same."""
    ratio = Decimal("2.0") if bad else Decimal("0.6")
    size = 6 if bad else 2
    views = []
    for scale in (4.0, 8.0):
        image = Image.new("RGB", (600, 450), (205 + place % 5, 206, 204))
        ImageDraw.Draw(image).ellipse(
            (300 - size, 225 - size, 300 + size, 225 + size), fill=(20, 20, 20)
        )
        box = [[290, 215], [310, 215], [310, 235], [290, 235]]
        regions = [NewRegion(plant.specks, [box])] if bad else []
        views.append(NewView([NewFrame(image)], px_per_mm=scale, regions=regions))
    return NewSpecimen(
        job=plant.job,
        zone="A",
        family=plant.specks,
        views=views,
        severity=ratio * Decimal("0.3"),
        unit="mm",
        pool=pool,
        decision=Decided(
            decision="reject" if bad else "accept",
            action="segregate" if bad else "keep_running",
            family=plant.specks,
            severity_ratio=ratio,
            clear=bad,
        ),
    )


@pytest.fixture
def bank(plant: SimpleNamespace) -> SimpleNamespace:
    now = timezone.now()
    wanted = [
        specimen(plant, place, bad=bad, pool=pool)
        for pool in (Pool.EXAM, Pool.TEACHING)
        for bad, count in ((True, BAD), (False, GOOD))
        for place in range(count)
    ]
    add_specimens(wanted, day=timezone.localdate(now), moment=now)
    plant.plans = {p.code: p for p in ensure_default_plans(day=timezone.localdate(now))}
    return plant


@pytest.fixture
def exam(bank: SimpleNamespace, operator: Person, trainer: Person, device: Device) -> Sitting:
    now = timezone.now()
    # Shown to its end: whatever the first parts are, two misses do not stop it.
    plan = publish_plan(
        code="short-bank",
        form=ExamPlan.Form.SHORT_BANK,
        name={"en": "Short-bank plan"},
        parameters={"stop_when_lost": False},
        reason="Test",
        day=timezone.localdate(now),
        published_by=None,
    )
    sitting = open_qualification(
        person=operator,
        families=[bank.specks],
        plan=plan,
        invigilator=trainer,
        signature_method="pin",
        device=device,
        moment=now,
        seed="booth",
    )
    begin(sitting, now)
    return sitting


@pytest.fixture
def tablet(open_page: Open, live_server: LiveServer, operator: Person) -> Callable[..., Page]:
    """Open a page on the enrolled tablet with the operator, or somebody else, signed in."""

    def make(size: dict[str, int] = TABLET, person: Person = operator) -> Page:
        client = Client()
        client.force_login(person, backend="training.people.backends.FloorBackend")
        session = client.session
        session["signed_in_at"] = "floor"
        session.save()
        page = open_page(size)
        name = settings.SESSION_COOKIE_NAME
        cookies = {name: client.cookies[name].value, COOKIE: DEVICE_TOKEN}
        page.context.add_cookies(
            [
                {"name": each, "value": value, "url": live_server.url}
                for each, value in cookies.items()
            ]
        )
        return page

    return make


def part(page: Page) -> Locator:
    return page.locator("[data-booth]:not([hidden])")


def open_answer(page: Page, answer: str) -> Locator:
    """Return the answer's key once the look is over."""
    key = part(page).locator(f"[data-answer={answer}]:visible")
    expect(key).to_be_enabled(timeout=10_000)
    return key


def sent(sitting: Sitting) -> list[str]:
    """The answers that reached the plant, by part."""
    rows = Judgement.objects.filter(sitting=sitting).order_by("presented__ordinal")
    return [f"{row.presented.ordinal} {row.answer}" for row in rows.select_related("presented")]


def wait_until_saved(page: Page) -> None:
    """Let the strip's five seconds pass, and the answer reach the plant."""
    expect(page.locator("#undo")).to_be_hidden(timeout=10_000)
    expect(page.locator("#sending")).to_contain_text("Saved", timeout=10_000)


def accessible(page: Page) -> None:
    result = Axe().run(page)
    assert result.violations_count == 0, result.generate_report()


def small_targets(page: Page) -> list[str]:
    """Keys on the screen that a gloved finger would miss: under 80 px on one side."""
    found: list[str] = page.evaluate(
        """() => [...document.querySelectorAll("button, a")]
             .filter((key) => key.getClientRects().length && !key.closest(".skip"))
             .map((key) => [key, key.getBoundingClientRect()])
             .filter(([, box]) => box.width < 79.5 || box.height < 79.5)
             .map(([key, box]) => `${key.outerHTML.slice(0, 90)} ${box.width}x${box.height}`)"""
    )
    return found


@pytest.mark.parametrize("size", [TABLET, WIDE], ids=["upright", "wide"])
def test_a_reject_by_touch(
    tablet: Callable[..., Page], exam: Sitting, bank: SimpleNamespace, size: dict[str, int]
) -> None:
    page = tablet(size)
    hands.hurry(page)
    page.goto(f"/sittings/{exam.pk}/")
    expect(part(page).locator("[data-answer=reject]:visible")).to_be_disabled()
    hands.open_answer(page, "reject")
    accessible(page)
    assert small_targets(page) == []
    hands.open_answer(page, "reject").tap()
    assert small_targets(page) == []
    accessible(page)
    part(page).locator("[data-next-view]:visible").tap()
    part(page).locator("svg.pane[data-pane=part]:visible").tap()
    part(page).locator("[data-family=black-specks]").tap()
    part(page).locator("[data-action=tag]").tap()
    expect(page.locator("#undo")).to_contain_text("Rejected")
    page.clock.fast_forward(5_000)
    wait_until_saved(page)
    row = Judgement.objects.get()
    assert (row.answer, row.action, row.family) == ("reject", "segregate", bank.specks)
    assert row.view is not None
    assert row.view.position == 1
    assert row.place_x == pytest.approx(300, abs=2)
    assert row.place_y == pytest.approx(225, abs=2)
    assert row.judging_ms >= 2000


def test_keys_alone_judge_a_part(tablet: Callable[..., Page], exam: Sitting) -> None:
    page = tablet(DESK)
    hands.hurry(page)
    page.goto(f"/sittings/{exam.pk}/")
    hands.open_answer(page, "reject")
    page.keyboard.press("r")
    pane = part(page).locator("svg.pane[data-pane=part]:visible")
    pane.focus()
    for key in ("ArrowRight", "ArrowDown", "ArrowLeft", "ArrowUp"):
        page.keyboard.press(key)
    part(page).locator("[data-family=black-specks]").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("4")
    hands.open_answer(page, "accept")
    page.keyboard.press("a")
    page.clock.fast_forward(5_000)
    wait_until_saved(page)
    assert sent(exam) == ["1 reject", "2 accept"]
    first = Judgement.objects.get(presented__ordinal=1)
    assert (first.action, first.place_x, first.place_y) == ("stop", 300, 225)


def test_an_answer_can_be_taken_back_for_five_seconds(
    tablet: Callable[..., Page], exam: Sitting
) -> None:
    page = tablet()
    page.goto(f"/sittings/{exam.pk}/")
    open_answer(page, "accept").click()
    expect(part(page)).to_have_attribute("data-ordinal", "2")
    page.locator("[data-undo-key]").click()
    expect(part(page)).to_have_attribute("data-ordinal", "1")
    expect(page.locator("[data-progress]")).to_have_text(f"0 of {TOTAL} judged")
    open_answer(page, "reject").click()
    part(page).locator("[data-back]").click()
    open_answer(page, "accept").click()
    wait_until_saved(page)
    assert sent(exam) == ["1 accept"]


def test_without_a_connection_answers_wait_and_are_counted_once(
    tablet: Callable[..., Page], exam: Sitting
) -> None:
    page = tablet()
    page.goto(f"/sittings/{exam.pk}/")
    open_answer(page, "accept")
    page.wait_for_load_state("networkidle")
    refuse = "**/judgements/"
    page.route(refuse, lambda route: route.fulfill(status=429))
    for ordinal in (1, 2):
        expect(part(page)).to_have_attribute("data-ordinal", str(ordinal))
        open_answer(page, "accept").click()
    expect(page.locator("#undo")).to_be_hidden(timeout=10_000)
    expect(page.locator("#sending")).to_contain_text("Waiting (2)")
    assert sent(exam) == []
    # The reload finds the answers on the tablet and goes on after them.
    page.reload()
    expect(part(page)).to_have_attribute("data-ordinal", "3")
    page.unroute(refuse)
    page.reload()
    wait_until_saved(page)
    expect(page.locator("[data-progress]")).to_have_text(f"2 of {TOTAL} judged")
    assert sent(exam) == ["1 accept", "2 accept"]


def test_practice_answers_at_once(
    tablet: Callable[..., Page], bank: SimpleNamespace, operator: Person, device: Device
) -> None:
    sitting = start_practice(
        person=operator,
        families=[bank.specks],
        plan=bank.plans["practice"],
        moment=timezone.now(),
        seed="booth",
    )
    page = tablet(WIDE)
    page.goto(f"/sittings/{sitting.pk}/")
    open_answer(page, "accept").click()
    shown = page.locator("[data-feedback]")
    shown.wait_for()
    expect(shown).to_contain_text("You said")
    expect(shown).to_contain_text("the limit.")
    accessible(page)
    page.keyboard.press("Enter")
    expect(part(page)).to_have_attribute("data-ordinal", "2")
    assert sent(sitting) == ["1 accept"]


def test_practice_shows_what_came_of_it_even_if_the_next_part_is_there_first(
    tablet: Callable[..., Page], bank: SimpleNamespace, operator: Person, device: Device
) -> None:
    sitting = start_practice(
        person=operator,
        families=[bank.specks],
        plan=bank.plans["practice"],
        moment=timezone.now(),
        seed="booth",
    )
    page = tablet()
    held: dict[str, Route] = {}
    page.route("**/2/", lambda route: held.update(part=route))
    page.route("**/judgements/", lambda route: held.update(answer=route))
    page.goto(f"/sittings/{sitting.pk}/")
    open_answer(page, "accept").click()
    expect(part(page)).to_have_count(0)
    with page.expect_response("**/2/"):
        held["part"].continue_()
    # The next part has come; its pictures are asked for, so it was taken in.
    page.wait_for_timeout(300)
    expect(part(page)).to_have_count(0)
    held["answer"].continue_()
    page.locator("[data-feedback]").wait_for()
    page.keyboard.press("Enter")
    expect(part(page)).to_have_attribute("data-ordinal", "2")
