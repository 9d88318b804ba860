"""Choosing the parts of an agreement study, and the order in which each round shows them.

As in every draw of the site, chance is the order of SHA-256 over seed, purpose and specimen: whoever
has the seed and the list can make the choice again.
"""

import hashlib
import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

# Severity ÷ limit from which to which a part counts as near its limit. Common practice, no source.
NEAR: Final = (0.8, 1.25)


@dataclass(frozen=True, slots=True)
class Offer:
    """A specimen that could be a part of a study.

    `met` of the people chosen were shown it before, `told` of them together with its answer.
    """

    key: str
    family: str
    bad: bool
    ratio: float | None = None
    met: int = 0
    told: int = 0

    @property
    def near(self) -> bool:
        """Close to its limit on either side."""
        return self.ratio is not None and NEAR[0] <= self.ratio <= NEAR[1]


@dataclass(frozen=True, slots=True)
class Side:
    """How many parts of one side were wanted, how many there are, and how many near the limit."""

    wanted: int
    held: int
    near_wanted: int
    near_found: int


@dataclass(frozen=True)
class Chosen:
    """The parts chosen, in the order of the study's list, and how far the wishes were met."""

    parts: tuple[Offer, ...]
    bad: Side
    good: Side

    @property
    def near_wanted(self) -> int:
        return self.bad.near_wanted + self.good.near_wanted

    @property
    def near_found(self) -> int:
        return self.bad.near_found + self.good.near_found

    @property
    def met(self) -> int:
        """Parts that somebody of the people was shown before."""
        return sum(part.met > 0 for part in self.parts)

    @property
    def told(self) -> int:
        """Parts of which somebody of the people was shown the answer before."""
        return sum(part.told > 0 for part in self.parts)


class TooFewError(ValueError):
    """The pool holds fewer parts than the study wants; `bad` and `good` are still missing."""

    def __init__(self, bad: int, good: int) -> None:
        super().__init__(f"{bad} bad and {good} good parts are missing.")
        self.bad, self.good = bad, good


def choose_parts(
    offers: Iterable[Offer], n: int, *, bad_share: float, near_share: float, seed: str
) -> Chosen:
    """Choose n parts: so many bad, so many near the limit, spread evenly over the families.

    What nobody was told the answer of comes before what somebody was, and the unseen before the seen.

    Parameters
    ----------
    offers
        What the pool holds.
    n : int
        Parts wanted, at least 2.
    bad_share, near_share : float
        Shares of 0 to 1; at least one part is bad and one is good.

    Raises
    ------
    TooFewError
        When a side has too few parts. Too few near the limit is reported, not refused.
    """
    held: dict[bool, list[Offer]] = {True: [], False: []}
    for offer in offers:
        held[offer.bad].append(offer)
    bad = min(max(math.floor(n * bad_share + 0.5), 1), n - 1)
    wanted = {True: bad, False: n - bad}
    missing = {side: max(wanted[side] - len(held[side]), 0) for side in (True, False)}
    if any(missing.values()):
        raise TooFewError(missing[True], missing[False])
    sides: dict[bool, Side] = {}
    parts: list[Offer] = []
    for side in (True, False):
        near = math.floor(wanted[side] * near_share + 0.5)
        taken = _take(held[side], wanted[side], near, seed)
        found = sum(offer.near for offer in taken)
        sides[side] = Side(wanted[side], len(held[side]), near, found)
        parts.extend(taken)
    parts.sort(key=lambda offer: _chance(seed, "list", offer.key))
    return Chosen(tuple(parts), sides[True], sides[False])


def _take(offers: Sequence[Offer], n: int, near: int, seed: str) -> list[Offer]:
    order = _evenly(offers, seed)
    close = [offer for offer in order if offer.near]
    far = [offer for offer in order if not offer.near]
    first, then = close[:near], far[: n - min(near, len(close))]
    # What one kind lacks is filled from the other.
    rest = close[len(first) :] + far[len(then) :]
    return (first + then + rest)[:n]


def _evenly(offers: Iterable[Offer], seed: str) -> list[Offer]:
    """Return the offers so that each family's first come before any family's second."""
    by_family: dict[str, list[Offer]] = defaultdict(list)
    for offer in offers:
        by_family[offer.family].append(offer)
    ranked: list[tuple[int, bytes, Offer]] = []
    for own in by_family.values():
        own.sort(key=lambda each: (each.told, each.met, _chance(seed, "choose", each.key)))
        ranked.extend(
            (place, _chance(seed, "turn", each.family), each) for place, each in enumerate(own)
        )
    return [each for _place, _turn, each in sorted(ranked, key=lambda row: row[:2])]


def order_of_round(
    keys: Sequence[str], *, seed: str, judge: int, number: int, earlier: Iterable[Sequence[str]]
) -> list[str]:
    """Return the parts in the random order of one person's round, another one than every earlier.

    With two parts there are only two orders; from the third round on one of them comes again.
    """
    used = {tuple(order) for order in earlier}
    order: list[str] = list(keys)
    for attempt in range(64):
        purpose = f"round {judge}.{number}.{attempt}"
        order = sorted(keys, key=lambda key: _chance(seed, purpose, key))
        if tuple(order) not in used:
            break
    return order


def _chance(seed: str, purpose: str, key: str) -> bytes:
    return hashlib.sha256(f"{seed}|{purpose}|{key}".encode()).digest()
