"""Where somebody sets the line on a ladder, several times over, against the job's limit."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum


class Side(StrEnum):
    """Where one setting of the line lies."""

    STRICTER = "stricter"
    AT_LIMIT = "at_limit"
    LOOSER = "looser"


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting: the largest severity accepted and the smallest rejected, in the limit's unit.

    `low` is None where everything was rejected, `high` where everything was accepted.
    """

    low: float | None
    high: float | None

    @property
    def line(self) -> float | None:
        """Where the line is taken to lie: half way between, as ratios are; None beyond an end.

        Next to a clean part there is no ratio, so half the smallest rejected severity stands in.
        """
        if self.high is None or self.low is None:
            return None
        return math.sqrt(self.low * self.high) if self.low > 0 else self.high / 2

    def side(self, limit: float) -> Side:
        """Return which side of the limit the line lies; a part just at the limit is accepted."""
        if self.high is not None and self.high <= limit:
            return Side.STRICTER
        if self.low is not None and self.low > limit:
            return Side.LOOSER
        return Side.AT_LIMIT


@dataclass(frozen=True, slots=True)
class OwnLine:
    """Several settings taken together.

    Attributes
    ----------
    line : float or None
        Geometric mean of the settings, in the limit's unit; None where one lies beyond an end.
    ratio : float or None
        Line divided by limit; below 1 is stricter than the job.
    low, high : float or None
        Smallest and largest setting.
    sides : tuple of Side
        Of each setting, in order.
    finest : float
        Width of the step of the ladder in which the limit lies, as larger divided by smaller rung:
        the line cannot be told closer than that. Infinity next to a clean part or an end.
    """

    line: float | None
    ratio: float | None
    low: float | None
    high: float | None
    sides: tuple[Side, ...]
    finest: float

    def count(self, side: Side) -> int:
        return self.sides.count(side)


def setting_at(severities: Sequence[float], accepted: int) -> Setting:
    """Return the setting that accepts the first so many rungs of a rising ladder.

    Raises
    ------
    ValueError
        When more are accepted than there are, or the severities do not rise.
    """
    if not 0 <= accepted <= len(severities):
        raise ValueError(f"{accepted} rungs cannot be accepted of {len(severities)}.")
    if any(after <= before for before, after in itertools.pairwise(severities)):
        raise ValueError("The severities of a ladder rise.")
    return Setting(
        severities[accepted - 1] if accepted else None,
        severities[accepted] if accepted < len(severities) else None,
    )


def own_line(settings: Sequence[Setting], severities: Sequence[float], limit: float) -> OwnLine:
    """Take several settings on one ladder together.

    Raises
    ------
    ValueError
        Without a setting, or for a limit that is not above 0.
    """
    if not settings or limit <= 0:
        raise ValueError("Give at least one setting, and a limit above 0.")
    lines = [setting.line for setting in settings]
    known = [line for line in lines if line is not None]
    line = None
    if len(known) == len(lines):
        line = math.exp(sum(math.log(each) for each in known) / len(known))
    return OwnLine(
        line=line,
        ratio=None if line is None else line / limit,
        low=min(known, default=None),
        high=max(known, default=None),
        sides=tuple(setting.side(limit) for setting in settings),
        finest=_step(severities, limit),
    )


def _step(severities: Sequence[float], limit: float) -> float:
    under = max((each for each in severities if each <= limit), default=0.0)
    over = min((each for each in severities if each > limit), default=math.inf)
    return over / under if under > 0 else math.inf
