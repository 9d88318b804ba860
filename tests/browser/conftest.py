"""A real Chromium for the browser tests: skipped where there is none, required where CI says so."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, sync_playwright

# The browser's driver runs an event loop in this thread, also while the database is made and
# emptied; the tests' own queries are safe beside it.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")

CHROMIUM = Path(os.environ.get("CHROMIUM", "/usr/bin/chromium"))
ARGUMENTS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
TABLET = {"width": 820, "height": 1180}
DESK = {"width": 1280, "height": 800}


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    if not CHROMIUM.exists():
        if os.environ.get("REQUIRE_BROWSER"):
            pytest.fail(f"REQUIRE_BROWSER is set and there is no {CHROMIUM}")
        pytest.skip(f"no Chromium at {CHROMIUM}: install it to run the browser tests")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=str(CHROMIUM), headless=True, args=ARGUMENTS
        )
        yield browser
        browser.close()


@pytest.fixture
def open_page(chromium: Browser, live_server: object) -> Iterator[Callable[..., Page]]:
    """Open a page of the live server in a browser of its own; faults on the page fail the test."""
    contexts: list[BrowserContext] = []
    faults: list[str] = []

    def make(size: dict[str, int] = TABLET, locale: str = "en-GB") -> Page:
        context = chromium.new_context(
            viewport=size,  # type: ignore[arg-type]
            locale=locale,
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
        # Pages that refuse bad input answer 4xx on purpose.
        return message.type == "error" and "status of 4" not in message.text

    yield make
    for context in contexts:
        context.close()
    assert faults == []
