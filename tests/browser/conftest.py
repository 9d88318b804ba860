"""Pages of the live server in the one browser of the test process."""

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page

from tests.browser.traffic import Traffic
from tests.chromium import DESK, TABLET

__all__ = ["DESK", "TABLET"]


@pytest.fixture
def open_page(chromium: Browser, live_server: object) -> Iterator[Callable[..., Page]]:
    """Open a page of the live server in a browser of its own; faults on the page fail the test."""
    contexts: list[BrowserContext] = []
    faults: list[str] = []

    def make(size: dict[str, int] = TABLET, locale: str = "en-GB") -> Page:
        context = chromium.new_context(
            viewport=size,  # type: ignore[arg-type]
            locale=locale,
            # A tablet has no mouse: what waits for one is found here.
            has_touch=size != DESK,
            base_url=live_server.url,  # type: ignore[attr-defined]
        )
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on(
            "console",
            lambda message: faults.append(message.text) if _is_fault(message) else None,
        )
        return page

    def _is_fault(message: ConsoleMessage) -> bool:
        # Pages that refuse bad input answer 4xx on purpose. What was asked for when the page was
        # left is broken off, and said by the page that is gone.
        left = message.text.startswith(("htmx:afterRequest", "htmx:sendError", "htmx:sendAbort"))
        return message.type == "error" and "status of 4" not in message.text and not left

    with Traffic() as traffic:
        yield make
        for context in contexts:
            context.close()
        # An answer that goes out as its page is left would meet a database that is being emptied.
        traffic.wait_for_the_last()
    assert faults == []
