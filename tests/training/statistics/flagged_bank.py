"""A bank with wrong keys, items at the limit and leaked items, and rates of flags on it."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tests.training.statistics.simulated import Table, distances, operators
from training.statistics.item_flags import flag_items

ITEMS, WRONG_KEYS, AT_THE_LIMIT, LEAKED = 120, 4, 6, 6
LEAKED_TO, KNOWN = 0.6, 0.97
AMBIGUOUS, WRONG, LEAKS, SOUND = "ambiguous", "wrong key", "leaked", "sound"


@dataclass(frozen=True)
class Answered:
    """Right answers of each item before and after some leaked, and what each item is."""

    earlier: npt.NDArray[np.int64]
    now: npt.NDArray[np.int64]
    kind: npt.NDArray[np.str_]


def answered_bank(rng: np.random.Generator, each: int) -> Answered:
    """Let each item be answered by as many operators before and after the leak."""
    distance = distances(rng, ITEMS)
    kind = np.full(ITEMS, SOUND, dtype="<U10")
    kind[:WRONG_KEYS] = WRONG
    limit = slice(WRONG_KEYS, WRONG_KEYS + AT_THE_LIMIT)
    kind[limit] = AMBIGUOUS
    distance[limit] = rng.uniform(-0.03, 0.03, AT_THE_LIMIT)
    bad = distance > 0
    sound = np.flatnonzero(kind == SOUND)
    # What leaks is what people talk about: the hardest sound items.
    hardest = sound[np.argsort(np.abs(distance[sound]))[:LEAKED]]
    kind[hardest] = LEAKS

    def right(leaked: bool) -> Table:
        rejects = operators(rng, each).rejects(distance)
        share = np.where(bad, rejects, 1 - rejects)
        if leaked:
            told = (rng.random(share.shape) < LEAKED_TO) & (kind == LEAKS)
            share = np.where(told, KNOWN, share)
        return np.where(kind == WRONG, 1 - share, share)

    counts = [(rng.random((each, ITEMS)) < right(leaked)).sum(axis=0) for leaked in (False, True)]
    return Answered(counts[0], counts[1], kind)


def flag_rates(seed: int, each: int, reps: int) -> dict[tuple[str, str], float]:
    """Share of items of each kind that get each flag."""
    flags: dict[tuple[str, str], int] = {}
    totals: dict[str, int] = {}
    for rep in range(reps):
        bank = answered_bank(np.random.default_rng([seed, each, rep]), each)
        answered = np.full(ITEMS, each)
        for found, kind in zip(
            flag_items(bank.now, answered, bank.earlier, answered), bank.kind, strict=True
        ):
            totals[str(kind)] = totals.get(str(kind), 0) + 1
            if found.flag is not None:
                key = str(kind), found.flag.value
                flags[key] = flags.get(key, 0) + 1
    return {key: count / totals[key[0]] for key, count in flags.items()}
