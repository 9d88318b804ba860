"""The look in a real browser: nobody is shut out, pictures and answers do what a hand expects."""

import contextlib
import functools
import http.server
import json
import os
import shutil
import threading
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from django.template.loader import get_template
from django.test import RequestFactory
from django.utils.translation import override

from certification.site.gallery import sample_context

CHROMIUM = shutil.which("chromium")
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(
        CHROMIUM is None and not os.environ.get("BROWSER_TESTS_REQUIRED"),
        reason="there is no Chromium here",
    ),
]
ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
TABLET = {"width": 820, "height": 1180}
DESK = {"width": 1280, "height": 800}
TOUCH, APART = 80, 16


class Handler(http.server.SimpleHTTPRequestHandler):
    """Serve the pages and the static files, under the site's own content security policy."""

    def end_headers(self) -> None:
        directives = settings.CONTENT_SECURITY_POLICY["DIRECTIVES"]
        policy = "; ".join(f"{name} {' '.join(values)}" for name, values in directives.items())
        self.send_header("Content-Security-Policy", policy)
        super().end_headers()

    def translate_path(self, path: str) -> str:
        if path.startswith("/static/"):
            return str(finders.find(path.removeprefix("/static/").split("?")[0]) or "/nothing")
        return super().translate_path(path)

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002
        """Say nothing."""


class Form(dict[str, Any]):
    """Just enough of a bound form for the sign-in page."""

    __getattr__ = dict.__getitem__


def sign_in_context() -> dict[str, Any]:
    form = Form(non_field_errors=[], badge=Form(value="", errors=[]), pin=Form(errors=[]))
    return {"form": form, "device": object()}


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder = tmp_path_factory.mktemp("look")
    for language in ("en", "es"):
        with override(language):
            person = {"user": Form(pk="person-1", is_authenticated=True)}
            request = RequestFactory().get("/look/")
            pages = {
                "gallery": get_template("gallery.html").render(sample_context() | person, request),
                "sign_in": get_template("floor/sign_in.html").render(sign_in_context(), request),
                "stopped": get_template("404.html").render({}, request),
                "broken": get_template("500.html").render({}),
            }
        for name, markup in pages.items():
            (folder / f"{name}-{language}.html").write_text(markup)
    handler = functools.partial(Handler, directory=str(folder))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()
    thread.join()


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(
            executable_path=CHROMIUM, headless=True, args=ARGUMENTS
        )
        yield chromium
        chromium.close()


@pytest.fixture
def visit(browser: Any, address: str) -> Iterator[Callable[..., Any]]:
    """Open a page; whatever it writes into the console as an error fails the test."""
    complaints: list[str] = []
    contexts = contextlib.ExitStack()

    def open_page(name: str, language: str = "en", *, clock: bool = False, **options: Any) -> Any:
        context = browser.new_context(**({"viewport": TABLET} | options))
        contexts.callback(context.close)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on(
            "console",
            lambda message: complaints.append(message.text) if message.type == "error" else None,
        )
        if clock:
            page.clock.install()
        page.goto(f"{address}/{name}-{language}.html")
        page.wait_for_function(
            "() => document.documentElement.classList.contains('js') || !document.querySelector('script[type=module]')"
        )
        return page

    yield open_page
    contexts.close()
    assert [each for each in complaints if "ERR_" not in each and "status of 5" not in each] == []


def box(page: Any, selector: str) -> list[float]:
    view = page.locator(selector).get_attribute("viewBox")
    return [float(each) for each in view.split()]


PART, FIRST = "svg[data-pane=part]", "svg[data-pane=first]"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("name", ["gallery", "sign_in", "stopped", "broken"])
def test_axe_finds_nothing(
    visit: Callable[..., Any], name: str, language: str, scheme: str
) -> None:
    from axe_playwright_python.sync_playwright import Axe

    size = DESK if scheme == "light" else TABLET
    page = visit(name, language, viewport=size, color_scheme=scheme)
    if name == "gallery":
        page.wait_for_selector("[data-answer=accept]:not([disabled])")
    found = Axe().run(page).response["violations"]

    assert [
        (each["id"], [node["html"][:120] for node in each["nodes"]][:3]) for each in found
    ] == []


@pytest.mark.parametrize("name", ["gallery", "sign_in", "stopped"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_nothing_runs_off_a_narrow_or_enlarged_page(
    visit: Callable[..., Any], name: str, language: str
) -> None:
    """320 px wide is a desk at 400 % (WCAG 1.4.10); text alone at 200 % (WCAG 1.4.4)."""
    wide = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"

    assert visit(name, language, viewport={"width": 320, "height": 640}).evaluate(wide) <= 0
    page = visit(name, language, viewport=DESK)
    page.evaluate(
        """() => {
          const large = new CSSStyleSheet();
          large.replaceSync('html { font-size: 200% }');
          document.adoptedStyleSheets = [large];
        }"""
    )
    assert page.evaluate(wide) <= 0


def test_zoom_is_linked_and_stays_in_bounds(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK)
    start = box(page, PART)
    page.click("[data-zoom=in]")

    assert box(page, PART)[2] == pytest.approx(start[2] / 1.5)
    assert box(page, FIRST) == box(page, PART)
    for _ in range(12):
        page.click("[data-zoom=out]")
    assert box(page, PART)[2] == pytest.approx(start[2])


def test_a_hundred_per_cent_is_pixel_for_pixel(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK)
    page.click("[data-zoom=in]")
    page.click("[data-zoom=full]")

    assert page.inner_text("[data-zoom-out]") == "100 %"
    assert box(page, PART)[2] == pytest.approx(
        page.locator(PART).evaluate("pane => pane.parentElement.clientWidth")
    )


def test_bars_are_to_scale(visit: Callable[..., Any]) -> None:
    """A limit of 10 mm at 4.5 picture pixels per millimetre is 45 pixels of the picture, at any zoom."""
    page = visit("gallery", viewport=DESK)
    for _ in range(2):
        ends = page.locator(f"{PART} .to-scale .bar").evaluate_all(
            "bars => bars.map(bar => bar.getAttribute('x2') - bar.getAttribute('x1'))"
        )
        assert sorted(ends) == pytest.approx([27, 45])
        page.click("[data-zoom=in]")


def test_tilt_by_key_button_and_dial(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK)
    shown = page.locator(f"{PART} image[data-picture]")
    page.click('[data-tilt="1"]')
    assert page.inner_text("[data-tilt-out]") == "3 / 3"
    assert shown.get_attribute("href").endswith("sample-3.webp")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    assert page.inner_text("[data-tilt-out]") == "1 / 3"
    assert (
        page.locator(f"{FIRST} image[data-picture]").get_attribute("href").endswith("sample-1.webp")
    )
    dial = page.locator("[data-tilt-dial]").bounding_box()
    page.mouse.move(dial["x"] + 10, dial["y"] + 10)
    page.mouse.down()
    page.mouse.move(dial["x"] + 40, dial["y"] + 10)
    page.mouse.up()
    assert page.inner_text("[data-tilt-out]") == "2 / 3"


def test_first_piece_beside_or_in_place(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK)
    page.keyboard.press("f")
    assert page.is_visible(PART)
    assert not page.is_visible(FIRST)
    page.click("[data-swap]")
    assert page.is_visible(FIRST)
    assert not page.is_visible(PART)
    page.locator(FIRST).click()
    assert page.is_visible(PART)
    page.click("[data-beside]")
    assert page.is_visible(FIRST)
    assert page.is_visible(PART)


def test_outline_and_loupe_come_on_request(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK)
    assert not page.is_visible(f"{PART} [data-region]")
    page.keyboard.press("o")
    assert page.is_visible(f"{PART} [data-region]")
    page.click("[data-loupe]")
    page.hover(PART)
    assert page.locator(f"{PART} .loupe").get_attribute("hidden") is None
    page.keyboard.press("Escape")
    assert page.locator(f"{PART} .loupe").get_attribute("hidden") is not None


def test_a_tap_marks_the_place_in_picture_pixels(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK)
    page.evaluate("addEventListener('pane-mark', event => { window.marked = event.detail })")
    pane = page.locator(PART)
    pane.scroll_into_view_if_needed()
    page.click("[data-zoom=in]")
    x, y, w, h = box(page, PART)
    frame = pane.bounding_box()
    page.mouse.click(frame["x"] + frame["width"] / 4, frame["y"] + frame["height"] / 2)
    marked = page.evaluate("window.marked")

    assert marked["x"] == pytest.approx(x + w / 4, abs=1)
    assert marked["y"] == pytest.approx(y + h / 2, abs=1)
    assert marked["pane"] == "part"
    pane.focus()
    page.keyboard.press("ArrowRight")
    assert page.evaluate("window.marked.x") == pytest.approx(marked["x"] + w / 50, abs=1)


def test_a_drag_pans_and_does_not_mark(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK)
    page.evaluate("addEventListener('pane-mark', () => { window.marked = true })")
    page.locator(PART).scroll_into_view_if_needed()
    page.click("[data-zoom=in]")
    before = box(page, PART)
    frame = page.locator(PART).bounding_box()
    page.mouse.move(frame["x"] + 200, frame["y"] + 100)
    page.mouse.down()
    page.mouse.move(frame["x"] + 150, frame["y"] + 100, steps=5)
    page.mouse.up()

    assert box(page, PART)[0] > before[0]
    assert page.evaluate("window.marked") is None


def answered(page: Any, *, status: int = 200) -> list[dict[str, str]]:
    """Catch what is sent to the plant."""
    sent: list[dict[str, str]] = []

    def reply(route: Any) -> None:
        sent.append(dict(pair.split("=", 1) for pair in route.request.post_data.split("&")))
        route.fulfill(
            status=status, body=json.dumps({"counted": True}), content_type="application/json"
        )

    page.route("**/look/", reply)
    return sent


def look_and_accept(page: Any) -> None:
    assert page.is_disabled("[data-answer=accept]")
    page.clock.run_for(2100)
    page.keyboard.press("a")


def test_an_answer_is_possible_after_two_seconds_and_held_for_five(
    visit: Callable[..., Any],
) -> None:
    page = visit("gallery", viewport=DESK, clock=True)
    sent = answered(page)
    look_and_accept(page)
    assert page.inner_text("[data-undo-what]") == "Accepted"
    page.clock.run_for(4000)
    assert sent == []
    page.clock.run_for(1200)
    page.wait_for_function("() => document.querySelector('#undo').hidden")
    page.wait_for_function("() => JSON.parse(localStorage['witness-line-answers']).length === 0")
    assert sent[0]["verdict"] == "accept"
    assert len(sent[0]["answer_id"]) == 36


def test_what_is_taken_back_is_never_sent(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK, clock=True)
    sent = answered(page)
    look_and_accept(page)
    page.click("[data-undo-key]")
    page.clock.run_for(10_000)

    assert not page.is_visible("#undo")
    assert sent == []
    assert page.get_attribute("[data-answer=accept]", "aria-pressed") == "false"


def test_reject_asks_for_place_family_and_action(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK, clock=True)
    sent = answered(page)
    page.clock.run_for(2100)
    page.keyboard.press("r")
    assert page.is_visible("[data-rejecting]")
    assert not page.is_visible("[data-answer=accept]")
    page.locator(PART).click(position={"x": 100, "y": 100})
    page.click("[data-family=weld]")
    assert not page.is_visible("#undo")
    page.click("[data-action=tag]")
    assert page.inner_text("[data-undo-what]") == "Rejected"
    page.click("[data-family=flow]")
    page.clock.run_for(5200)
    page.wait_for_function("() => JSON.parse(localStorage['witness-line-answers']).length === 0")

    assert [(each["verdict"], each["family"], each["action"]) for each in sent] == [
        ("reject", "flow", "tag")
    ]
    assert {"x", "y", "frame", "seconds"} <= sent[0].keys()


def test_a_lost_connection_loses_nothing(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK, clock=True)
    page.route("**/look/", lambda route: route.abort())
    look_and_accept(page)
    page.clock.run_for(5200)
    page.wait_for_function(
        "() => document.querySelector('#sending').textContent.includes('Waiting (1)')"
    )
    waiting = page.evaluate("JSON.parse(localStorage['witness-line-answers'])")
    page.unroute("**/look/")
    sent = answered(page)
    page.evaluate("dispatchEvent(new Event('online'))")
    page.wait_for_function("() => document.querySelector('#sending').textContent.includes('Saved')")

    assert [each["answer_id"] for each in sent] == [waiting[0]["id"]]


def test_an_answer_held_while_the_page_is_left_is_kept(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK, clock=True)
    page.route("**/look/", lambda route: route.abort())
    look_and_accept(page)
    page.goto(page.url.replace("gallery", "stopped"))

    assert len(page.evaluate("JSON.parse(localStorage['witness-line-answers'])")) == 1


def test_a_refused_answer_is_kept_and_said(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK, clock=True)
    page.evaluate(
        """async () => {
          const { AnswerQueue } = await import('/static/js/queue.js');
          const send = async () => new Response(JSON.stringify({error: 'The sitting is over.'}), {status: 409});
          window.queue = new AnswerQueue({ owner: 'person-1', token: () => '', send });
          window.queue.add('/look/', { verdict: 'accept' });
        }"""
    )
    page.wait_for_function("() => window.queue.refused.length === 1")

    assert page.evaluate("window.queue.refused[0].refused") == "The sitting is over."
    assert page.evaluate("window.queue.waiting") == 0


def test_answers_of_another_badge_are_not_sent(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK)
    sent = answered(page)
    page.evaluate(
        """() => {
          const entry = { id: 'of-somebody-else', owner: 'person-2', url: '/look/', fields: { verdict: 'accept' } };
          localStorage['witness-line-answers'] = JSON.stringify([entry]);
          dispatchEvent(new Event('online'));
        }"""
    )
    page.wait_for_timeout(300)

    assert sent == []
    assert page.inner_text("#sending") == "Saved"
    assert page.evaluate("JSON.parse(localStorage['witness-line-answers']).length") == 1


def test_number_keys_write_badge_and_pin(visit: Callable[..., Any]) -> None:
    page = visit("sign_in")
    for digit in "10266":
        page.click(f'[data-digit="{digit}"]')
    page.click("[data-pad-back]")
    assert page.input_value("#id_badge") == "1026"
    page.click(".field >> nth=1")
    for digit in "4802639":
        page.click(f'[data-digit="{digit}"]')
    assert page.input_value("#id_pin") == "480263"
    assert page.locator("[data-discs] .f").count() == 6


def test_a_badge_reader_types_and_goes_on_to_the_pin(visit: Callable[..., Any]) -> None:
    page = visit("sign_in")
    page.focus("#id_badge")
    page.keyboard.type("1026\n")

    assert page.evaluate("document.activeElement.id") == "id_pin"
    assert "sign_in" in page.url


FLOOR_KEYS = "button:visible, a.btn:visible, .rooms a:visible"


@pytest.mark.parametrize("size", [TABLET, {"width": 1180, "height": 820}])
@pytest.mark.parametrize(("name", "within"), [("sign_in", "body"), ("gallery", "section.booth")])
def test_targets_on_the_floor_are_large_and_apart(
    visit: Callable[..., Any], name: str, within: str, size: dict[str, int]
) -> None:
    page = visit(name, viewport=size)
    boxes = [each.bounding_box() for each in page.locator(within).locator(FLOOR_KEYS).all()]
    assert len(boxes) > 5

    assert min(min(each["width"], each["height"]) for each in boxes) >= TOUCH - 0.5
    for place, one in enumerate(boxes):
        for other in boxes[place + 1 :]:
            across = max(one["x"], other["x"]) - min(
                one["x"] + one["width"], other["x"] + other["width"]
            )
            down = max(one["y"], other["y"]) - min(
                one["y"] + one["height"], other["y"] + other["height"]
            )
            assert max(across, down) >= APART - 0.5


def test_the_line_jumps_once_a_second_where_motion_is_reduced(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK, clock=True, reduced_motion="reduce")
    look_and_accept(page)
    ends = set()
    for _ in range(9):
        page.clock.run_for(100)
        ends.add(page.locator("#undo .u1").get_attribute("x2"))

    assert len(ends) <= 2


def test_print_hides_what_cannot_be_pressed(visit: Callable[..., Any]) -> None:
    page = visit("gallery", viewport=DESK)
    page.emulate_media(media="print")

    assert not page.is_visible("nav.rooms")
    assert not page.is_visible(".actions >> nth=0")
    assert page.is_visible("dl.titleblock")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
