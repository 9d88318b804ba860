"""Ways to practise in a real browser: each by touch alone and by keys alone, and without a connection."""

from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.utils import timezone
from playwright.sync_api import Page, Route, expect

from tests.browser import hands
from tests.browser.conftest import DESK, TABLET
from tests.browser.hands import accept, hurry, press, seen
from tests.browser.taught import specimen, taught
from tests.browser.test_booth import WIDE, accessible, open_answer, part, small_targets, tablet
from tests.training.quizzes.bank import right_answer
from training.people.models import Person
from training.quizzes.models import Judgement, Sitting, SittingEnd
from training.quizzes.selectors.exercises import step_results
from training.quizzes.selectors.progress import progress_of
from training.quizzes.services.judging import record_judgements
from training.specimens.services.bulk import add_specimens

__all__ = ["tablet", "taught"]

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    # The database is made before the browser's driver starts its event loop.
    pytest.mark.usefixtures("django_db_setup", "device"),
]
Tablet = Callable[..., Page]
UPRIGHT_AND_WIDE = [pytest.param(TABLET, id="upright"), pytest.param(WIDE, id="wide")]


def told(sitting: Sitting) -> list[bool]:
    return [result.told for result in step_results(progress_of(sitting)).values()]


def fits(page: Page) -> None:
    """Nothing stands out of the page to the side."""
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


@pytest.mark.parametrize("size", UPRIGHT_AND_WIDE)
def test_contrasts_by_touch(tablet: Tablet, taught: SimpleNamespace, size: dict[str, int]) -> None:
    page = tablet(size)
    page.goto("/practice/")
    press(page.get_by_role("button", name="Contrasts: Black specks"))
    for number in (1, 2):
        expect(page.locator(".b-prog")).to_contain_text(f"Pair {number} of 2")
        accessible(page)
        assert small_targets(page) == []
        fits(page)
        press(page.locator("[data-next-view]"))
        press(page.locator("[data-zoom-all=in]"))
        press(page.get_by_role("button", name="Reject 1"))
        page.locator("[data-exercise-step]").wait_for()
        expect(page.locator(".verdicts")).to_contain_text("Reject 1")
        expect(page.locator(".fb-text")).to_contain_text("They differ in: mean size.")
        expect(page.locator(".fb-pics [data-region]")).to_have_count(2)
        accessible(page)
        assert small_targets(page) == []
        press(page.locator("[data-next]"))
    expect(page.locator("h1")).to_have_text("Contrasts")
    expect(page.locator(".say")).to_contain_text("of 2 pairs told rightly")
    accessible(page)
    sitting = Sitting.objects.get()
    assert Judgement.objects.count() == 4
    assert page.locator(".say").text_content().startswith(f"{sum(told(sitting))} of 2")  # type: ignore[union-attr]


def test_contrasts_by_keys(tablet: Tablet, taught: SimpleNamespace) -> None:
    page = tablet(DESK)
    page.goto("/practice/contrasts/")
    page.get_by_role("button", name="Start: Black specks").focus()
    page.keyboard.press("Enter")
    for key in "21":
        page.locator("form[data-step][data-ready]").wait_for()
        page.keyboard.press("v")
        page.keyboard.press(key)
        page.locator("[data-exercise-step]").wait_for()
        page.keyboard.press("Enter")
    expect(page.locator(".say")).to_contain_text("pairs told rightly")
    assert len(told(Sitting.objects.get())) == 2


@pytest.mark.parametrize("by", ["touch", "keys"])
def test_look_alikes(tablet: Tablet, taught: SimpleNamespace, by: str) -> None:
    page = tablet(TABLET if by == "touch" else DESK)
    page.goto("/practice/look-alikes/")
    start = page.get_by_role("button", name="Start: Burn mark")
    if by == "touch":
        press(start)
    else:
        start.focus()
        page.keyboard.press("Enter")
    page.locator("form[data-step][data-ready]").wait_for()
    accessible(page)
    assert small_targets(page) == []
    if by == "touch":
        press(page.locator("button[name=choice][value='1']"))
    else:
        page.keyboard.press("1")
    page.locator("[data-exercise-step]").wait_for()
    # The key's words are the families in the plant's order: specks on 1, burn on 2.
    expect(page.locator(".verdicts")).to_contain_text("1 Black specks · 2 Burn mark")
    names = [row.family.slug for row in Judgement.objects.order_by("presented__ordinal")]  # type: ignore[union-attr]
    assert names == ["black-specks", "burn"]
    accessible(page)
    press(page.locator("[data-next]"))
    expect(page.locator(".say")).to_contain_text("of 1 pairs told rightly")


@pytest.mark.parametrize("size", UPRIGHT_AND_WIDE)
def test_find_the_limit_by_touch(
    tablet: Tablet, taught: SimpleNamespace, size: dict[str, int]
) -> None:
    page = tablet(size)
    page.goto("/practice/")
    press(page.get_by_role("button", name="Find the limit: Black specks"))
    for number in (1, 2, 3):
        expect(page.locator(".b-prog")).to_contain_text(f"Setting {number} of 3")
        page.locator("form[data-step][data-ready]").wait_for()
        expect(page.locator("[data-keep]")).to_be_disabled()
        accessible(page)
        assert small_targets(page) == []
        fits(page)
        press(page.locator("[data-rung='2']"))
        expect(page.locator("[data-rung='2']")).to_have_attribute("aria-current", "true")
        press(page.locator("[data-move='1']"))
        press(page.locator("[data-set=accept]"))
        expect(page.locator("[data-said]")).to_have_text("4 of 8 accepted, the rest rejected.")
        press(page.locator("[data-keep]"))
    expect(page.locator(".say")).to_contain_text("Your line lies at the job's limit")
    expect(page.locator("svg.ladder")).to_be_visible()
    accessible(page)
    assert Judgement.objects.filter(answer="accept").count() == 12
    assert Judgement.objects.filter(answer="reject").count() == 12
    assert SittingEnd.objects.get().reason == "complete"


def test_find_the_limit_by_keys(tablet: Tablet, taught: SimpleNamespace) -> None:
    page = tablet(DESK)
    page.goto("/practice/find-the-limit/")
    page.get_by_role("button", name="Start: Black specks").focus()
    page.keyboard.press("Enter")
    for number in (1, 2, 3):
        expect(page.locator(".b-prog")).to_contain_text(f"Setting {number} of 3")
        page.locator("form[data-step][data-ready]").wait_for()
        shown = page.locator("image[data-picture]").first
        before = shown.get_attribute("href")
        for _ in range(8):
            page.keyboard.press("ArrowLeft")
        for _ in range(2):
            page.keyboard.press("ArrowRight")
        expect(page.locator("[data-rung='2']")).to_have_attribute("aria-current", "true")
        expect(shown).not_to_have_attribute("href", before or "")
        page.keyboard.press("r")
        expect(page.locator("[data-said]")).to_have_text("2 of 8 accepted, the rest rejected.")
        page.keyboard.press("Enter")
    expect(page.locator(".lead")).to_have_text("Stricter than the job: good parts are thrown away.")
    assert Judgement.objects.filter(answer="accept").count() == 6


def test_without_a_connection_the_answer_waits_and_is_counted_once(
    tablet: Tablet, taught: SimpleNamespace
) -> None:
    page = tablet()
    page.goto("/practice/contrasts/")
    press(page.get_by_role("button", name="Start: Black specks"))
    page.locator("form[data-step][data-ready]").wait_for()
    refuse = "**/answer/"
    page.route(refuse, lambda route: route.fulfill(status=429))
    press(page.get_by_role("button", name="Reject 2"))
    expect(page.locator("[data-panel=wait]")).to_be_visible()
    expect(page.locator("#sending")).to_contain_text("Waiting (1)")
    # The page loaded again finds the answer on the tablet and goes on waiting.
    page.reload()
    expect(page.locator("[data-panel=wait]")).to_be_visible()
    assert not Judgement.objects.exists()
    page.unroute(refuse)
    page.reload()
    page.locator("[data-exercise-step]").wait_for(timeout=10_000)
    assert Judgement.objects.count() == 2


def judge_all_but_one(page: Page, sitting: Sitting) -> None:
    """Judge the second part and all that follow but for the last; then bring the last one up."""
    now = timezone.now()
    rows = sitting.presented.select_related("decision", "specimen__family").order_by("ordinal")
    answers = [right_answer(each, now) for each in list(rows)[1:-1]]
    record_judgements(sitting=sitting, answers=answers, moment=now)
    page.reload()


@hands.SIZES
def test_a_practice_round_from_its_key_to_its_result(
    tablet: Tablet, taught: SimpleNamespace, size: dict[str, int]
) -> None:
    page = tablet(size)
    hurry(page)
    page.goto("/practice/")
    seen(page, "practice-1-list")
    press(page.get_by_role("button", name="Practise Black specks"))
    go_through_the_round(page)
    sitting = Sitting.objects.get()
    assert (sitting.kind, SittingEnd.objects.get().reason) == ("practice", "complete")
    assert Judgement.objects.count() == sitting.presented.count()


def go_through_the_round(page: Page) -> None:
    """Reject the first part, read what came of it, judge to the end, and open the result."""
    hands.reject(page)
    page.locator("[data-feedback]").wait_for()
    expect(page.locator("[data-feedback] .verdicts")).to_contain_text("Reject")
    # The word beside the tap is as large as other words, however near the picture is.
    word = page.locator("[data-feedback] [data-word]").bounding_box()
    assert word is not None
    assert 12 < word["height"] < 40
    hands.fits(page)
    accessible(page)
    seen(page, "practice-2-feedback")
    press(page.locator("[data-feedback] [data-next]"))
    expect(part(page)).to_have_attribute("data-ordinal", "2")
    judge_all_but_one(page, Sitting.objects.get())
    accept(page)
    press(page.get_by_role("link", name="Result of this round"))
    page.wait_for_url("**/result/")
    hands.fits(page)
    accessible(page)
    seen(page, "practice-3-result")


@hands.SIZES
def test_a_refresher_says_why_and_answers_at_once(
    tablet: Tablet, taught: SimpleNamespace, size: dict[str, int]
) -> None:
    page = tablet(size)
    hurry(page)
    page.goto("/practice/")
    press(page.get_by_role("link", name="Refresher: look"))
    expect(page.locator(".pr-list")).to_contain_text("Not practised yet.")
    accessible(page)
    press(page.get_by_role("button", name="Start the refresher"))
    go_through_the_round(page)
    assert Sitting.objects.get().kind == "refresher"


def test_the_same_part_on_the_other_side_stands_in_the_feedback(
    tablet: Tablet, taught: SimpleNamespace
) -> None:
    page = tablet(WIDE)
    page.goto("/practice/")
    press(page.get_by_role("button", name="Practise Black specks"))
    open_answer(page, "accept")
    page.keyboard.press("a")
    twin = page.locator("[data-feedback] .fb-twin")
    twin.wait_for()
    expect(twin).to_contain_text("It differs in: mean size.")
    loaded = page.evaluate(
        "href => fetch(href).then((reply) => reply.status)",
        twin.locator("image").get_attribute("href"),
    )
    assert loaded == 200
    accessible(page)


@hands.SIZES
def test_a_low_rate_round_ends_on_its_own_page(
    tablet: Tablet, taught: SimpleNamespace, size: dict[str, int]
) -> None:
    now = timezone.now()
    clean = [specimen(taught, taught.specks, "0") for _n in range(40)]
    add_specimens(clean, day=timezone.localdate(now), moment=now)
    page = tablet(size)
    hurry(page)
    page.goto("/practice/")
    press(page.get_by_role("link", name="Low-rate round: look"))
    expect(page.locator("main")).to_contain_text("Due this quarter")
    accessible(page)
    press(page.get_by_role("button", name="Start the 40 parts"))
    part(page).wait_for()
    sitting = Sitting.objects.get()
    first = sitting.presented.select_related("decision", "specimen__family").order_by("ordinal")
    record_judgements(
        sitting=sitting, answers=[right_answer(each, now) for each in first[:39]], moment=now
    )
    page.reload()
    accept(page)
    page.wait_for_url("**/low-rate/", timeout=15_000)
    expect(page.locator("h1")).to_have_text("Low-rate round")
    expect(page.locator("main")).to_contain_text("Why it is reported apart")
    accessible(page)
    seen(page, "low-rate-result")
    page.goto("/practice/low-rate/")
    expect(page.locator("main")).to_contain_text("Done this quarter")


@pytest.mark.parametrize("where", ["contrasts", "find-the-limit"])
def test_in_spanish(tablet: Tablet, taught: SimpleNamespace, operator: Person, where: str) -> None:
    operator.ui_language = "es"
    operator.save(update_fields=["ui_language"])
    page = tablet()
    page.goto(f"/practice/{where}/")
    press(page.locator("form[action*='i18n'] button, form button[value=es]").first)
    expect(page.locator("html")).to_have_attribute("lang", "es")
    page.goto(f"/practice/{where}/")
    expect(page.locator("html")).to_have_attribute("lang", "es")
    press(page.locator(".pr-list button").first)
    page.locator("form[data-step][data-ready]").wait_for()
    expect(page.locator("html")).to_have_attribute("lang", "es")
    assert small_targets(page) == []
    fits(page)


def test_a_refused_answer_says_why(tablet: Tablet, taught: SimpleNamespace) -> None:
    page = tablet()
    page.goto("/practice/contrasts/")
    press(page.get_by_role("button", name="Start: Black specks"))
    page.locator("form[data-step][data-ready]").wait_for()

    def refuse(route: Route) -> None:
        route.fulfill(status=400, json={"error": "Choose one of the answers on the page."})

    page.route("**/answer/", refuse)
    press(page.get_by_role("button", name="Reject 2"))
    expect(page.locator("[data-panel=refused]")).to_contain_text("Choose one of the answers")
    page.unroute("**/answer/")
    press(page.locator("[data-reload]:visible"))
    page.locator("form[data-step][data-ready]").wait_for()
