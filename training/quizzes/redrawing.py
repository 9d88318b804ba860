"""What is kept of a draw so that it can be made again, and what making it again comes to."""

import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Self
from uuid import UUID

from training.quizzes.drawing import Candidate
from training.quizzes.working_out import holdings

KEY = "asked"


@dataclass(frozen=True)
class Asked:
    """What a draw was made from, kept in the sitting's worked plan.

    Attributes
    ----------
    jobs : tuple of UUID
        The jobs counted as the person's own.
    limits_of : date
        Whose limits decided.
    pictured_only : bool
        Whether specimens were pictures.
    bank : str
        SHA-256 of the list of candidates: the same list gives the same draw.
    candidates : int
        How many there were.
    held : dict of str to (int, int)
        Bad specimens of each family: fresh, and in all.
    """

    jobs: tuple[UUID, ...]
    limits_of: dt.date
    pictured_only: bool
    bank: str
    candidates: int
    held: dict[str, tuple[int, int]]

    def as_json(self) -> dict[str, Any]:
        return {
            "jobs": [str(job) for job in self.jobs],
            "limits_of": self.limits_of.isoformat(),
            "pictured_only": self.pictured_only,
            "bank": self.bank,
            "candidates": self.candidates,
            "held": {name: list(numbers) for name, numbers in self.held.items()},
        }

    @classmethod
    def from_json(cls, value: Mapping[str, Any]) -> Self:
        return cls(
            jobs=tuple(UUID(job) for job in value["jobs"]),
            limits_of=dt.date.fromisoformat(value["limits_of"]),
            pictured_only=bool(value["pictured_only"]),
            bank=str(value["bank"]),
            candidates=int(value["candidates"]),
            held={name: (fresh, total) for name, (fresh, total) in value["held"].items()},
        )


def asked_of(
    candidates: Sequence[Candidate],
    families: Iterable[str],
    *,
    jobs: Iterable[UUID],
    limits_of: dt.date,
    pictured_only: bool,
) -> Asked:
    """Return what is kept of a draw that is about to be made from these candidates."""
    held = holdings(candidates, families)
    return Asked(
        jobs=tuple(sorted(jobs)),
        limits_of=limits_of,
        pictured_only=pictured_only,
        bank=digest_of(candidates),
        candidates=len(candidates),
        held={name: (each.fresh, each.total) for name, each in held.items()},
    )


def digest_of(candidates: Iterable[Candidate]) -> str:
    """Return the SHA-256 of a list of candidates, whatever its order."""
    rows = sorted(
        [
            each.key,
            each.family,
            each.bad,
            None if each.ratio is None else f"{each.ratio:.4f}",
            each.clear,
            each.own_job,
            each.seen_days_ago,
            each.in_last_sitting,
            each.synthetic,
        ]
        for each in candidates
    )
    return hashlib.sha256(json.dumps(rows, separators=(",", ":")).encode()).hexdigest()


class Remade(StrEnum):
    """What making a draw again comes to."""

    # The bank is the one of then, and so is the draw.
    SAME = "same"
    # The bank has changed since, and the draw is the same all the same.
    SAME_THOUGH_CHANGED = "same_though_changed"
    # The bank has changed since: the draw cannot be made again.
    CHANGED = "changed"
    # The bank is the one of then and the draw is another: the record contradicts itself.
    DIFFERS = "differs"
    # Nothing was kept to make it again from.
    UNKNOWN = "unknown"


def remade(asked: Asked, bank_now: str, presented: Sequence[str], again: Sequence[str]) -> Remade:
    """Return what a draw made again comes to; `presented` and `again` are keys in their order."""
    same_bank, same_draw = asked.bank == bank_now, list(presented) == list(again)
    if same_draw:
        return Remade.SAME if same_bank else Remade.SAME_THOUGH_CHANGED
    return Remade.DIFFERS if same_bank else Remade.CHANGED
