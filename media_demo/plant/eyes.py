"""How an invented person judges a part: a psychometric function of severity ÷ limit, and lapses."""

import math
from dataclasses import dataclass

# Where half is rejected as log(severity ÷ limit), spread, and answers given without looking.
MIDDLE, SPREAD, LAPSE = math.log(0.97), 0.20, 0.02


@dataclass(frozen=True, slots=True)
class Eye:
    """Where somebody draws the line, how sharply, and how often the mind is elsewhere."""

    middle: float = MIDDLE
    spread: float = SPREAD
    lapse: float = LAPSE

    def rejects(self, ratio: float | None, *, bad: bool) -> float:
        """Return the chance that a part is rejected; without a ratio it is plain what it is."""
        if ratio is None:
            return 1 - self.lapse / 2 if bad else self.lapse / 2
        steps = (math.log(ratio) - self.middle) / self.spread
        return self.lapse / 2 + (1 - self.lapse) * 0.5 * math.erfc(-steps / math.sqrt(2))
