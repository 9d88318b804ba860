"""What the bank lacks for a sitting: of which family, which kind, how many."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from training.quizzes.scoring import Part

KINDS: Final = {Part.BAD: "bad", Part.GOOD: "good", Part.CRITICAL: "clear"}


@dataclass(frozen=True, slots=True)
class Wanted:
    """Specimens the bank lacks: of a family, or good ones for the group (family empty).

    `photographed` says that there are enough, but too many of them drawn by program.
    """

    family: str
    part: Part
    number: int
    photographed: bool = False

    def __str__(self) -> str:
        kind = f"photographed {KINDS[self.part]}" if self.photographed else KINDS[self.part]
        return f"{self.number} more {kind} specimens wanted: {self.family or 'the group'}"


class NotExaminableError(ValueError):
    """The bank cannot carry this plan for this person; `wanted` says what is missing."""

    def __init__(self, wanted: Iterable[Wanted]) -> None:
        self.wanted = tuple(wanted)
        super().__init__(f"Not examinable yet: {'; '.join(map(str, self.wanted))}.")


def demand(wanted: Iterable[Wanted]) -> None:
    lacking = tuple(wanted)
    if lacking:
        raise NotExaminableError(lacking)
