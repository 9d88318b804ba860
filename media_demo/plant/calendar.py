"""The invented plant's calendar: its files count days from the day it is loaded."""

import datetime as dt
from dataclasses import dataclass

from media_demo.plant.read import at, on, on_or_none

# The plant's records were moved from paper on this day; see the founding appointment F-02.
GO_LIVE = -56
MOVED_AT = "06:00"


@dataclass(frozen=True)
class Calendar:
    """Turns the offsets of the files into days and moments of the plant's time zone."""

    today: dt.date
    zone: dt.tzinfo

    def day(self, offset: str | int) -> dt.date:
        return on(self.today, offset)

    def day_or_none(self, offset: str) -> dt.date | None:
        return on_or_none(self.today, offset)

    def moment(self, offset: str | int, clock: str | int) -> dt.datetime:
        return at(self.today, offset, clock, self.zone).astimezone(dt.UTC)

    def recorded(self, offset: str | int, clock: str | int = "12:00") -> dt.datetime:
        """When the plant wrote it down: on its day, or at the move from paper if that was later."""
        if int(offset) <= GO_LIVE:
            return self.moment(GO_LIVE, MOVED_AT)
        return self.moment(offset, clock)
