"""Requests that the live server is answering: a test ends when the last one has its answer."""

import threading
from types import TracebackType
from typing import Self

from django.core.signals import request_finished, request_started

# A request whose bytes have come and which nobody has begun to read is waited for this long.
SETTLE_S = 0.05
AT_MOST_S = 10


class Traffic:
    """Counts the requests that have begun and not ended, in whatever thread."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._running = 0

    def __enter__(self) -> Self:
        request_started.connect(self._began)
        request_finished.connect(self._ended)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        request_started.disconnect(self._began)
        request_finished.disconnect(self._ended)

    def _began(self, **_: object) -> None:
        self._count(1)

    def _ended(self, **_: object) -> None:
        self._count(-1)

    def _count(self, by: int) -> None:
        with self._changed:
            self._running += by
            self._changed.notify_all()

    def wait_for_the_last(self) -> None:
        """Return once nothing has been running for a moment; the database may be emptied then."""
        with self._changed:
            while self._changed.wait_for(lambda: self._running <= 0, AT_MOST_S):
                if not self._changed.wait_for(lambda: self._running > 0, SETTLE_S):
                    return
