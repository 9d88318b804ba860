"""One comparison of an instrument with a value published elsewhere."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

# published: seen in the source named; from memory: a known source, quoted from memory;
# recomputed: computed by the independent tool named, no printed value at hand;
# own study: exact or simulated figures of this project's methods study.
Status = Literal["published", "from memory", "recomputed", "own study"]


@dataclass(frozen=True)
class Check:
    """What is compared, with which source, how closely, and how to compute it.

    ``ours`` is called without arguments and returns the project's value;
    it agrees when ``abs(ours() - published) <= tolerance``.
    """

    id: str
    what: str
    source: str
    status: Status
    published: float
    tolerance: float
    ours: Callable[[], float]

    def agrees(self) -> bool:
        """Whether the project's value lies within the tolerance."""
        return abs(float(self.ours()) - self.published) <= self.tolerance
