"""Answers and keys in a real browser: held, taken back, sent later, never under another badge."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from tests.chromium import DESK, TABLET

pytestmark = pytest.mark.browser
PART, FIRST = "svg[data-pane=part]", "svg[data-pane=first]"
TOUCH, APART = 80, 16


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
