"""What the design of an agreement study can tell, worked out before anybody judges."""

import math
from dataclasses import dataclass
from typing import Final

from training.statistics.agreement import Verdict, cohen_kappa
from training.statistics.attribute_study import EFFECTIVENESS_FROM, MISS_UP_TO
from training.statistics.proportions import Interval, clopper_pearson

# The usual least design: AIAG, Measurement Systems Analysis, 4th ed. 2010, chapter III-C; from memory.
USUAL_PARTS, USUAL_PEOPLE, USUAL_REPEATS = 50, 3, 3
# What the examples assume of somebody who judges well; examples, not limits.
EXAMPLE_KAPPA: Final = 0.85
MOST_DECISIONS: Final = 2000


@dataclass(frozen=True, slots=True)
class Example:
    """A result that somebody might get, and the interval it would have (two-sided, 95 %)."""

    count: int
    of: int
    interval: Interval


@dataclass(frozen=True)
class Precision:
    """What one person's figures would look like under a design.

    Attributes
    ----------
    parts, bad, good, people, repeats : int
    effectiveness : Example
        Nine parts of ten right every time.
    no_miss, no_alarm : Example
        No error at all on bad and on good parts: the best that anybody can show.
    kappa : tuple of float
        Interval of one person's kappa against the reference around 0.85.
    all_right : Example
        Every part right every time.
    decisions_for_misses : int
        Decisions on bad parts that it takes to show at most 2 % misses, with none made.
    """

    parts: int
    bad: int
    good: int
    people: int
    repeats: int
    effectiveness: Example
    all_right: Example
    no_miss: Example
    no_alarm: Example
    kappa: tuple[float, float]
    decisions_for_misses: int

    @property
    def judgements(self) -> int:
        """Judgements of the whole study."""
        return self.parts * self.people * self.repeats

    @property
    def small(self) -> bool:
        """Smaller than the usual least design in any direction."""
        return (
            self.parts < USUAL_PARTS or self.people < USUAL_PEOPLE or self.repeats < USUAL_REPEATS
        )

    @property
    def can_accept(self) -> bool:
        """Whether all parts right would show the acceptable effectiveness beyond doubt."""
        return self.all_right.interval.low >= EFFECTIVENESS_FROM[Verdict.ACCEPTABLE] / 100


def precision_of(*, bad: int, good: int, people: int, repeats: int) -> Precision:
    """Return what a design can tell of one person.

    Repeats of one part are counted as if they were separate parts; people are steadier than that, so
    the intervals of misses and false alarms are rather too narrow than too wide.

    Raises
    ------
    ValueError
        For a design without bad or without good parts, without people, or without repeats.
    """
    if min(bad, good, people, repeats) < 1:
        raise ValueError(
            "A study needs bad parts, good parts, people and repeats: at least 1 each."
        )
    parts = bad + good
    return Precision(
        parts=parts,
        bad=bad,
        good=good,
        people=people,
        repeats=repeats,
        effectiveness=_example(math.floor(parts * 0.9 + 0.5), parts),
        all_right=_example(parts, parts),
        no_miss=_example(0, bad * repeats),
        no_alarm=_example(0, good * repeats),
        kappa=_kappa(bad * repeats, good * repeats),
        decisions_for_misses=_decisions_for(MISS_UP_TO[Verdict.ACCEPTABLE] / 100),
    )


def _example(count: int, of: int) -> Example:
    return Example(count, of, clopper_pearson(count, of))


def _kappa(bad: int, good: int) -> tuple[float, float]:
    """Return kappa's interval for errors on both sides that make it about 0.85."""
    share = bad / (bad + good)
    # Equal error rates e on both sides leave the margins nearly alike: 1 - kappa ≈ e / (2·p·q).
    rate = (1 - EXAMPLE_KAPPA) * 2 * share * (1 - share)
    missed, refused = round(bad * rate), round(good * rate)
    found = cohen_kappa([[bad - missed, missed], [refused, good - refused]])
    if found.low is None or found.high is None:
        return (-1.0, 1.0)
    return (found.low, found.high)


def _decisions_for(rate: float) -> int:
    """Return the fewest decisions without an error whose interval stays at or below the rate."""
    return next(n for n in range(1, MOST_DECISIONS) if clopper_pearson(0, n).high <= rate)
