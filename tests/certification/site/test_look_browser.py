"""The look in a real browser: nobody is shut out, pictures do what a hand expects."""

from collections.abc import Callable
from typing import Any

import pytest

from tests.chromium import DESK, TABLET

pytestmark = pytest.mark.browser
PART, FIRST = "svg[data-pane=part]", "svg[data-pane=first]"


def box(page: Any, selector: str) -> list[float]:
    view = page.locator(selector).get_attribute("viewBox")
    return [float(each) for each in view.split()]


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


# How many pictures part and first piece have, which are shown first, which after one step of the lamp.
LAMPS = [
    pytest.param(9, 9, (4, 4), (5, 5), id="both_of_nine_move_together"),
    pytest.param(1, 9, (0, 4), (0, 5), id="a_part_of_one_beside_a_first_piece_of_nine"),
    pytest.param(9, 1, (4, 0), (5, 0), id="a_part_of_nine_beside_a_first_piece_of_one"),
    pytest.param(3, 9, (1, 4), (2, 8), id="the_lamp_is_the_part_s"),
    pytest.param(1, 1, (0, 0), (0, 0), id="nothing_to_move"),
]


@pytest.mark.parametrize(("part", "first", "begun", "moved"), LAMPS)
def test_each_picture_begins_under_the_middle_lamp(
    visit: Callable[..., Any],
    part: int,
    first: int,
    begun: tuple[int, int],
    moved: tuple[int, int],
) -> None:
    """Of the lowest of nine angles of the light there is nearly nothing to see."""
    page = visit("gallery", viewport=DESK)
    shown = page.evaluate(
        """async ({ part, first }) => {
          const { Bench, benches } = await import('/static/js/bench.js');
          const root = document.querySelector('[data-bench]').cloneNode(true);
          for (const [key, count] of Object.entries({ part, first })) {
            const svg = root.querySelector(`svg[data-pane=${key}]`);
            const of = Array.from({ length: count }, (_none, at) => `/static/img/sample-1.webp?${at}`);
            const middle = Math.floor(count / 2);
            svg.querySelector('[data-picture]').setAttribute('href', of[middle]);
            delete svg.dataset.frames;
            delete svg.dataset.frame;
            if (count > 1) Object.assign(svg.dataset, { frames: JSON.stringify(of), frame: middle });
          }
          document.querySelector('main').append(root);
          const bench = new Bench(root);
          const places = () => ['part', 'first'].map((key) => Number(
            root.querySelector(`svg[data-pane=${key}] [data-picture]`).getAttribute('href').split('?')[1]));
          const arrived = () => bench.panes.every((pane) => pane.ready
            && (pane.frames.length || 1) === pane.loaded.size);
          while (!arrived()) await new Promise((after) => setTimeout(after, 20));
          const begun = places();
          bench.tilt(1);
          return { begun, moved: places() };
        }""",
        {"part": part, "first": first},
    )

    assert shown == {"begun": list(begun), "moved": list(moved)}


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
