"""Facts waiting to be written in the order in which they happened."""

import datetime as dt
import heapq
import itertools

from training.people.models import Fact
from training.people.record.chain import append


class Ledger:
    """Collects facts with their moments and writes them to the chain in order of time."""

    def __init__(self) -> None:
        self._waiting: list[tuple[dt.datetime, int, Fact]] = []
        self._order = itertools.count()

    def add(self, moment: dt.datetime, fact: Fact) -> None:
        heapq.heappush(self._waiting, (moment, next(self._order), fact))

    def write_until(self, moment: dt.datetime) -> int:
        """Write everything that happened up to the moment; return how many facts."""
        due: list[Fact] = []
        while self._waiting and self._waiting[0][0] <= moment:
            happened, _, fact = heapq.heappop(self._waiting)
            fact.recorded_at = happened
            due.append(fact)
        if due:
            append(*due)
        return len(due)

    def write_all(self) -> int:
        return self.write_until(dt.datetime.max.replace(tzinfo=dt.UTC))
