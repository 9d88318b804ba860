"""The plant's own day: it changes when the first shift of the morning begins; pure."""

from datetime import date, datetime, time, timedelta, tzinfo

DAY_STARTS = time(6)


def plant_day(moment: datetime, zone: tzinfo, day_starts: time = DAY_STARTS) -> date:
    """The plant day of a moment: it changes at ``day_starts`` on the plant's own clock.

    Raises ``ValueError`` for a moment without a time zone.
    """
    if moment.tzinfo is None:
        raise ValueError("the moment has no time zone: give an aware datetime")
    local = moment.astimezone(zone)
    if local.time() < day_starts:
        return local.date() - timedelta(days=1)
    return local.date()
