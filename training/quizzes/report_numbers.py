"""Numbers of the operator report as they are written: shares, multiples, intervals."""

from django.utils.formats import number_format
from django.utils.translation import gettext as _

NBSP = "\N{NO-BREAK SPACE}"


def percent(share: float) -> str:
    """Write 0.051 as 5 %, below one per cent with a decimal."""
    hundred = share * 100
    decimals = 1 if 0 < hundred < 0.95 else 0
    return f"{number_format(round(hundred, decimals), decimals)}{NBSP}%"


def between(low: float, high: float) -> str:
    """Write an interval of shares as "3 to 32 %"."""
    return _("%(low)s to %(high)s") % {
        "low": percent(low).removesuffix(f"{NBSP}%"),
        "high": percent(high),
    }


def times(value: float, places: int = 2) -> str:
    """Write a multiple of the limit, or another plain number."""
    return str(number_format(round(value, places), places))


def seconds(value: float) -> str:
    """Write a time as "9 s"."""
    return f"{number_format(round(value))}{NBSP}s"
