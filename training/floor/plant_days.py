"""The plant's own day: it changes when the first shift of the morning begins."""

import datetime as dt

from django.utils import timezone

DAY_STARTS = dt.time(6)


def plant_day(moment: dt.datetime) -> dt.date:
    """Return the plant day of an aware moment; half past one at night belongs to the day before."""
    local = moment.astimezone(timezone.get_default_timezone())
    early = local.time() < DAY_STARTS
    return local.date() - dt.timedelta(days=1) if early else local.date()
