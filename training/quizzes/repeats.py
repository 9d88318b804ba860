"""Specimens that come again: within a round, and from one round to another."""

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from training.quizzes.drawing import Draw, Pick
from training.statistics.proportions import clopper_pearson

# So many of a round come twice, with at least so many others between; common practice, no source.
REPEATED: Final = 2
APART: Final = 4


def with_repeats(picks: Sequence[Pick], *, seed: str, most: int = REPEATED) -> tuple[Pick, ...]:
    """Return a round of the same length in which a few earlier parts come again.

    A part comes again after at least four others; a round too short for that is left as it is. Room
    is made by leaving out as many of the last parts.
    """
    n = min(most, max(0, len(picks) - 2 * APART) // 2)
    order = list(picks[: len(picks) - n])
    if n == 0 or {pick.part for pick in order} != {pick.part for pick in picks}:
        return tuple(picks)
    places = sorted(range(len(order) - APART), key=lambda place: _digest(seed, f"again {place}"))
    for pick in [order[place] for place in places[:n]]:
        # What is put in between two showings only moves them further apart.
        earliest = order.index(pick) + APART + 1
        late = _digest(seed, f"late {pick.candidate.key}")[0] % (len(order) - earliest + 1)
        order.insert(earliest + late, pick)
    return tuple(order)


def apart(order: Sequence[Pick]) -> bool:
    """Return whether every part that comes again has at least four others between."""
    last: dict[str, int] = {}
    for place, pick in enumerate(order):
        before = last.get(pick.candidate.key)
        if before is not None and place - before <= APART:
            return False
        last[pick.candidate.key] = place
    return True


def _digest(seed: str, what: str) -> bytes:
    return hashlib.sha256(f"{seed}|{what}".encode()).digest()


@dataclass(frozen=True, slots=True)
class Repeatability:
    """Pairs of one person's answers to the same specimen: same of pairs, exact 95 % interval.

    `low` and `high` are None without a pair.
    """

    same: int
    pairs: int
    low: float | None
    high: float | None


def repeatability(answers: Iterable[tuple[str, str]]) -> Repeatability:
    """Count how often the same specimen got the same answer as the time before.

    `answers` are (specimen, answer) in the order they were given; each showing after the first is
    compared with the one before it. The interval is exact for independent pairs (Clopper and
    Pearson, Biometrika 26, 1934; from memory); of a specimen met three times the two pairs share
    an answer, which makes it slightly too narrow.
    """
    before: dict[str, str] = {}
    seen: dict[bool, int] = defaultdict(int)
    for specimen, answer in answers:
        if specimen in before:
            seen[before[specimen] == answer] += 1
        before[specimen] = answer
    same, pairs = seen[True], seen[True] + seen[False]
    if not pairs:
        return Repeatability(0, 0, None, None)
    interval = clopper_pearson(same, pairs)
    return Repeatability(same, pairs, interval.low, interval.high)


def round_with_repeats(draw: Draw, *, seed: str) -> Draw:
    """Return a drawn round in which a few parts come twice."""
    return Draw(with_repeats(draw.picks, seed=seed), draw.strata)
