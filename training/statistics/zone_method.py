"""The grey zone about a limit in which an accept/reject gauge or eye disagrees with itself."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from training.statistics.checks import FloatArray, real_number, rising, vector
from training.statistics.wording import Wording, gettext_noop

ACCEPTED, REJECTED, MIXED = "+", "-", "x"
# Share of the tolerance the zone may take up (ISO 22514-7:2012, 12.3).
LARGEST_SHARE = 0.20


@dataclass(frozen=True)
class ZoneMethod:
    """Widths of the grey zones; None where there is no such zone, with a reason.

    Attributes
    ----------
    upper, lower : float or None
        Distance from the last part everybody accepted to the first one everybody
        rejected, at the upper and the lower limit.
    width : float or None
        Mean of those there are.
    uncertainty : float or None
        Half the width.
    tolerance_share : float or None
        Width / tolerance, when limits were given.
    capable : bool or None
        Whether that share is at most 20 %.
    reason : Wording or None
        Why there is no width at all.
    """

    upper: float | None
    lower: float | None
    width: float | None
    uncertainty: float | None
    tolerance_share: float | None
    capable: bool | None
    reason: Wording | None


def zone_method(
    values: npt.ArrayLike,
    codes: Sequence[str],
    limits: tuple[float, float] | None = None,
) -> ZoneMethod:
    """Find the grey zones of an attribute study.

    Parameters
    ----------
    values : array_like, shape (parts,)
        Measured value of each part.
    codes : sequence of str, shape (parts,)
        '+' when every trial of every appraiser accepted the part, '-' when every one
        rejected it, 'x' when they differed.
    limits : (float, float), optional
        Lower and upper limit; their distance is the tolerance.

    Returns
    -------
    ZoneMethod
        None with a reason when no part was accepted by all, none was rejected by all,
        or one rejected by all lies between two accepted by all.

    Raises
    ------
    ValueError
        For NaN, other codes, different lengths, or limits out of order.

    Notes
    -----
    ISO 22514-7:2012, 12.3: sort by value; the zone at the upper limit reaches from the
    last part accepted by all up to the first rejected by all; likewise below.

    Examples
    --------
    >>> found = zone_method([0.41, 0.44, 0.47, 0.53, 0.55, 0.58], list("-x++x-"), (0.45, 0.55))
    >>> round(found.upper, 3), round(found.lower, 3), round(found.tolerance_share, 2)
    (0.05, 0.06, 0.55)
    """
    value = vector("values", values)
    code = _codes(codes, value.size)
    tolerance = None if limits is None else _tolerance(limits)
    good, bad = value[code == ACCEPTED], value[code == REJECTED]
    reason = _why_no_zone(good, bad)
    if reason is not None:
        return ZoneMethod(None, None, None, None, None, None, reason)
    above, below = bad[bad > good.max()], bad[bad < good.min()]
    upper = float(above.min() - good.max()) if above.size else None
    lower = float(good.min() - below.max()) if below.size else None
    zones = [zone for zone in (upper, lower) if zone is not None]
    width = sum(zones) / len(zones)
    share = None if tolerance is None else width / tolerance
    return ZoneMethod(
        upper=upper,
        lower=lower,
        width=width,
        uncertainty=width / 2.0,
        tolerance_share=share,
        capable=None if share is None else share <= LARGEST_SHARE,
        reason=None,
    )


def _codes(codes: Sequence[str], parts: int) -> npt.NDArray[np.str_]:
    given = list(codes)
    if len(given) != parts:
        raise ValueError(f"codes holds {len(given)} values; give {parts}, one for each part.")
    for place, code in enumerate(given, start=1):
        if code not in {ACCEPTED, REJECTED, MIXED}:
            raise ValueError(
                f"codes, value {place}, is {code!r}; give '+' (all accepted), "
                "'-' (all rejected) or 'x' (mixed)."
            )
    return np.array(given, dtype=np.str_)


def _tolerance(limits: tuple[float, float]) -> float:
    low, high = (real_number("limits", limit) for limit in limits)
    rising("limits[0]", low, "limits[1]", high)
    return high - low


def _why_no_zone(good: FloatArray, bad: FloatArray) -> Wording | None:
    if good.size == 0:
        return Wording(gettext_noop("No part was accepted by everyone every time."))
    if bad.size == 0:
        return Wording(gettext_noop("No part was rejected by everyone every time."))
    inside = (bad >= good.min()) & (bad <= good.max())
    if inside.any():
        return Wording(
            gettext_noop(
                "A part everyone rejected (%(value)g) lies between parts everyone accepted: "
                "the value does not decide."
            ),
            value=float(bad[inside][0]),
        )
    return None
