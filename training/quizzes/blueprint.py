"""The blueprint of a draw: shares of severity ÷ limit among good and bad specimens."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final


@dataclass(frozen=True, slots=True)
class Stratum:
    """A range of severity ÷ limit, low end included, and the share of the draw it should have.

    Without `low` it holds what is clean: nothing measured, or less than `high`. Without `high` it is
    open above. Without both it holds everything.
    """

    code: str
    low: float | None
    high: float | None
    share: float

    def holds(self, ratio: float | None) -> bool:
        """Return whether a specimen of this severity ÷ limit belongs here."""
        if self.low is None:
            return ratio is None or self.high is None or ratio < self.high
        if ratio is None or ratio < self.low:
            return False
        return self.high is None or ratio < self.high


Strata = tuple[Stratum, ...]

GOOD: Final[Strata] = (
    Stratum("0.5-0.8", 0.5, 0.8, 0.25),
    Stratum("0.8-0.95", 0.8, 0.95, 0.15),
    Stratum("clean", None, 0.5, 0.60),
)
BAD: Final[Strata] = (
    Stratum("1.05-1.25", 1.05, 1.25, 0.25),
    Stratum("1.25-2", 1.25, 2.0, 0.45),
    Stratum("over 2", 2.0, None, 0.30),
)
# A family whose limit is "none" has no ratio: the defect is there or it is not.
PRESENT: Final[Strata] = (Stratum("present", None, None, 1.0),)
# The critical block asks for clear specimens and for nothing else.
CLEAR: Final[Strata] = (Stratum("clear", None, None, 1.0),)


def quotas(n: int, strata: Sequence[Stratum]) -> dict[str, int]:
    """Return how many of n specimens each stratum should have, by the largest remainders."""
    exact = [stratum.share * n for stratum in strata]
    whole = [int(value) for value in exact]
    by_remainder = sorted(
        range(len(strata)), key=lambda place: (whole[place] - exact[place], place)
    )
    for place in by_remainder[: n - sum(whole)]:
        whole[place] += 1
    return {stratum.code: number for stratum, number in zip(strata, whole, strict=True)}


def strata_for_bad(ratios: Iterable[float | None], strata: Strata = BAD) -> Strata:
    """Return the strata of a family's bad specimens: by ratio, or only present where none has one."""
    return strata if any(ratio is not None for ratio in ratios) else PRESENT


def read_strata(rows: Sequence[Mapping[str, Any]], default: Strata) -> Strata:
    """Read strata from the parameters of a published plan; without any, the default.

    Raises
    ------
    ValueError
        When shares do not add to 1 or a range is empty.
    """
    if not rows:
        return default
    strata = tuple(
        Stratum(
            code=str(row["code"]),
            low=None if row.get("low") is None else float(row["low"]),
            high=None if row.get("high") is None else float(row["high"]),
            share=float(row["share"]),
        )
        for row in rows
    )
    if abs(sum(stratum.share for stratum in strata) - 1) > 1e-9:
        raise ValueError("The shares of a blueprint must add to 1.")
    for stratum in strata:
        if stratum.low is not None and stratum.high is not None and stratum.low >= stratum.high:
            raise ValueError(
                f"Stratum {stratum.code} is empty: its low end must be below its high."
            )
    return strata


def write_strata(strata: Strata) -> list[dict[str, Any]]:
    """Write strata into the parameters of a plan."""
    return [
        {"code": each.code, "low": each.low, "high": each.high, "share": each.share}
        for each in strata
    ]
