"""Exercises of practice that show several parts together, as they stand in a sitting's worked plan.

A contrast shows two parts and asks which is over the limit; look-alikes show two families and ask
which is which; "find the limit" shows a ladder and asks where the job's limit lies. Every part shown
is presented and judged, so nothing else has to be kept; but these judgements were made of several
parts together and are left out wherever a judgement of one part by itself is counted.
"""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final, TypeVar

# Pairs of one round, and settings of one limit; common practice, no source.
PAIRS: Final = 6
SETTINGS: Final = 3


class Exercise(StrEnum):
    """What is asked of parts that are shown together."""

    CONTRAST = "contrast"
    LOOK_ALIKE = "look_alike"
    FIND_LIMIT = "find_limit"


# Kind of specimen set each exercise is made of.
SET_KINDS: Final[Mapping[Exercise, str]] = {
    Exercise.CONTRAST: "contrast",
    Exercise.LOOK_ALIKE: "look_alike",
    Exercise.FIND_LIMIT: "ladder",
}


@dataclass(frozen=True, slots=True)
class Step:
    """Parts shown together: the set they are of, their ordinals, and of a ladder where it starts."""

    set: str
    ordinals: tuple[int, ...]
    start: int = 0

    def as_json(self) -> dict[str, Any]:
        return {"set": self.set, "ordinals": list(self.ordinals), "start": self.start}


def steps_of(draw: Mapping[str, Any]) -> tuple[Step, ...]:
    """Return the steps of a sitting from what its worked plan says of the draw."""
    return tuple(
        Step(each["set"], tuple(each["ordinals"]), each["start"]) for each in draw.get("steps", ())
    )


T = TypeVar("T")


def shuffled(items: Iterable[T], *, seed: str, purpose: str) -> list[T]:
    """Return items in the random order of this seed and purpose, the same on every machine."""

    def place(item: T) -> bytes:
        return hashlib.sha256(f"{seed}|{purpose}|{item}".encode()).digest()

    return sorted(items, key=place)


def starts(rungs: int, *, seed: str) -> list[int]:
    """Return where each setting of a ladder begins: at both ends and near the middle, shuffled.

    From below people set the line higher than from above, so the ends balance each other (method of
    limits, as in textbooks of psychophysics; from memory).
    """
    return shuffled([0, rungs - 1, rungs // 2], seed=seed, purpose="starts")[:SETTINGS]


def longest_ago(sets: Sequence[tuple[str, int | None]], n: int, *, seed: str) -> list[str]:
    """Return n set names: those never shown first, then those shown longest ago, ties by chance.

    Each comes with the days since it was last shown, None where it never was.
    """
    order = shuffled(sets, seed=seed, purpose="sets")
    order.sort(key=lambda each: (each[1] is not None, -(each[1] or 0)))
    return [name for name, _days in order[:n]]
