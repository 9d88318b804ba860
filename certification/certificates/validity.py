"""How long a certificate is good for, by the published rule; days in, days out."""

import calendar
import datetime as dt
from collections.abc import Iterable

from certification.certificates.standing_facts import Rules
from training.statistics.bank_ladder import SHORT_VALID_MONTHS


def end_day(
    rules: Rules, passed: dt.date, old_ends: Iterable[dt.date] = (), *, short_bank: bool = False
) -> dt.date:
    """Last day of a certificate that rests on a sitting passed on ``passed``.

    ``old_ends`` are the last days of the person's certificates of the family at the same level or
    above: renewed early, the latest of them is kept and the rule's days are added to it. Evidence
    from a short bank is good for half a year and keeps no old end.
    """
    if short_bank:
        return min(
            months_after(passed, SHORT_VALID_MONTHS), passed + dt.timedelta(rules.certificate_days)
        )
    early = [old for old in old_ends if 0 <= (old - passed).days <= rules.early_renewal_days]
    return rules.renewed_until(passed, max(early, default=None))


def latest_end(rules: Rules, granted: dt.date) -> dt.date:
    """The last day that a certificate on paper may have: granted as early a renewal as allowed."""
    return granted + dt.timedelta(rules.certificate_days + rules.early_renewal_days)


def months_after(day: dt.date, months: int) -> dt.date:
    """The same day of a later month, or that month's last day where it is shorter."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return dt.date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))
