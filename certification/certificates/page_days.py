"""Days and moments as certificates print them, in the reader's language and the plant's time."""

import datetime as dt

from django.utils import timezone
from django.utils.dateformat import format as format_date
from django.utils.translation import pgettext


def day_year(day: dt.date) -> str:
    """Write 24 Nov 2026."""
    return format_date(day, pgettext("pattern of a day with its year", "j M Y"))


def clock(moment: dt.datetime) -> str:
    """Write 14:12."""
    return format_date(timezone.localtime(moment), "H:i")


def moment_text(moment: dt.datetime) -> str:
    """Write 24 Nov 2026, 14:12."""
    pattern = pgettext("pattern of a moment", "j M Y, H:i")
    return format_date(timezone.localtime(moment), pattern)
