"""The slow-down per device: each wrong secret makes the next try wait longer."""

import datetime as dt

from axes.models import AccessAttempt
from django.conf import settings
from django.db.models import Max, Sum
from django.http import HttpRequest

from training.people.devices import lock_address

FREE_FAILURES = 3
LONGEST_WAIT_S = 60


def seconds_to_wait(request: HttpRequest, *, moment: dt.datetime) -> int:
    """Return how long this device must wait before its next try: 0 for the first few failures.

    After the third failure in the lock's window the wait is 2, 4, 8 … seconds, at most a minute,
    counted over all badges tried on the device. Costs one query.
    """
    since = moment - settings.AXES_COOLOFF_TIME
    seen = AccessAttempt.objects.filter(
        ip_address=lock_address(request), attempt_time__gte=since
    ).aggregate(failures=Sum("failures_since_start"), last=Max("attempt_time"))
    failures = int(seen["failures"] or 0)
    if failures <= FREE_FAILURES or seen["last"] is None:
        return 0
    wait = min(2 ** (failures - FREE_FAILURES), LONGEST_WAIT_S)
    left = wait - (moment - seen["last"]).total_seconds()
    return max(0, int(left + 0.999))
