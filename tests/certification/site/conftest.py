"""The pages of the look, served as they are, opened in the one browser of the test process."""

import contextlib
import functools
import http.server
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
from tests.chromium import TABLET


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


@pytest.fixture
def visit(chromium: Any, address: str) -> Iterator[Callable[..., Any]]:
    """Open a page; whatever it writes into the console as an error fails the test."""
    complaints: list[str] = []
    contexts = contextlib.ExitStack()

    def open_page(name: str, language: str = "en", *, clock: bool = False, **options: Any) -> Any:
        context = chromium.new_context(**({"viewport": TABLET} | options))
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
