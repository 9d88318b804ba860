"""A real Chromium for the browser tests: skipped where there is none, required where CI says so."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

CHROMIUM = Path(os.environ.get("CHROMIUM", "/usr/bin/chromium"))
ARGUMENTS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
TABLET = {"width": 820, "height": 1180}
DESK = {"width": 1280, "height": 800}


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """The one browser of a test process: its driver cannot be started twice."""
    if not CHROMIUM.exists():
        if os.environ.get("REQUIRE_BROWSER"):
            pytest.fail(f"REQUIRE_BROWSER is set and there is no {CHROMIUM}")
        pytest.skip(f"no Chromium at {CHROMIUM}: install it to run the browser tests")
    # The driver runs an event loop in this thread from now on, also while the database is emptied;
    # the tests' own queries are safe beside it.
    os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=str(CHROMIUM), headless=True, args=ARGUMENTS
        )
        yield browser
        browser.close()
