"""The low-rate round: many good parts, two or three bad ones, as at a press that runs well."""

import datetime as dt
import hashlib
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

from training.quizzes.drawing import Candidate, Draw, Pick, chance
from training.quizzes.scoring import Part

# A round as long as an eye stays honest in one go, with as few bad parts as can still be missed;
# common practice, no source.
LENGTH: Final = 40
BAD: Final = (2, 3)


@dataclass(frozen=True, slots=True)
class Lacking:
    """How many specimens the teaching pool lacks for a low-rate round."""

    bad: int
    clean: int

    def __bool__(self) -> bool:
        return bool(self.bad or self.clean)


def lacking(candidates: Collection[Candidate], families: Collection[str]) -> Lacking:
    """Return what the pool lacks for a round on these families: bad ones, and clean good ones."""
    bad = sum(each.bad and each.family in families for each in candidates)
    clean = sum(each.clean for each in candidates)
    return Lacking(max(0, BAD[-1] - bad), max(0, LENGTH - BAD[0] - clean))


def draw_low_rate(candidates: Sequence[Candidate], families: Collection[str], *, seed: str) -> Draw:
    """Draw 40 parts of which two or three are bad; how many is chance, and so is where they stand.

    Bad ones are of different families where there are several; those not met for longest come
    first. Good ones are clean, as nearly every part at a press is.

    Raises
    ------
    ValueError
        When the pool is too small; ask `lacking` first, which says what is missing.
    """
    wanted = lacking(candidates, families)
    if wanted:
        raise ValueError(
            f"The teaching pool lacks {wanted.bad} bad and {wanted.clean} clean parts."
        )
    order = sorted(candidates, key=chance(seed, "low rate"))
    order.sort(key=lambda each: (each.seen_days_ago is not None, -(each.seen_days_ago or 0)))
    number = BAD[hashlib.sha256(f"{seed}|number".encode()).digest()[0] % len(BAD)]
    bad = _spread([each for each in order if each.bad and each.family in families], number)
    good = [each for each in order if each.clean][: LENGTH - number]
    picks = [Pick(each, Part.BAD) for each in bad] + [Pick(each, Part.GOOD) for each in good]
    mixed = chance(seed, "order")
    return Draw(tuple(sorted(picks, key=lambda pick: mixed(pick.candidate))))


def _spread(order: Sequence[Candidate], n: int) -> list[Candidate]:
    """Take n in order, a family only again once every other has been taken."""
    taken: list[Candidate] = []
    rest = list(order)
    while len(taken) < n:
        named = {each.family for each in taken}
        following = next((each for each in rest if each.family not in named), rest[0])
        taken.append(following)
        rest.remove(following)
    return taken


def quarter_of(day: dt.date) -> tuple[dt.date, dt.date]:
    """Return the first and last day of the day's quarter of the year.

    >>> quarter_of(dt.date(2026, 11, 25))
    (datetime.date(2026, 10, 1), datetime.date(2026, 12, 31))
    """
    month = 3 * ((day.month - 1) // 3) + 1
    first = dt.date(day.year, month, 1)
    following = dt.date(day.year + (month == 10), (month + 2) % 12 + 1, 1)
    return first, following - dt.timedelta(days=1)
