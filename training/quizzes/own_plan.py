"""A family's own plan: two sides, each judged until it is decided, the rest unscored fillers.

Bad and good specimens come in one random order to the end. A side that is decided goes on being
shown, because the other kind alone would tell an attentive person the answer; what is judged on it
from then on is kept and not counted. The sitting ends when both sides are decided, passed or not.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Self

from training.quizzes.scoring import Answer, Part, Truth, is_error
from training.statistics.sampling_plan import Decision, DecisionTable

Judged = tuple[Truth, Answer]


@dataclass(frozen=True)
class OwnTables:
    """The plans of both sides as a sitting was drawn.

    `critical` says that they keep the risks of the critical level.
    """

    misses: DecisionTable
    false_rejects: DecisionTable
    critical: bool = False

    def as_json(self) -> dict[str, Any]:
        """Return acceptance and rejection numbers as lists of whole numbers."""
        return {
            "misses": _written(self.misses),
            "false_rejects": _written(self.false_rejects),
            "critical": self.critical,
        }

    @classmethod
    def from_json(cls, value: Mapping[str, Any]) -> Self:
        return cls(
            misses=_read(value["misses"]),
            false_rejects=_read(value["false_rejects"]),
            critical=value["critical"],
        )

    def miss_side(self, missed: int, bad: int) -> Decision:
        return self.misses.decide(missed, bad)

    def good_side(self, false_rejects: int, good: int) -> Decision:
        return self.false_rejects.decide(false_rejects, good)


def _written(table: DecisionTable) -> dict[str, list[int]]:
    return {"accept": list(table.accept), "reject": list(table.reject)}


def _read(value: Mapping[str, list[int]]) -> DecisionTable:
    return DecisionTable(tuple(value["accept"]), tuple(value["reject"]))


def counted(tables: OwnTables, judged: Iterable[tuple[int, Judged]]) -> list[Judged]:
    """Return the judged specimens that count, by their place in the order of presentation.

    Only what is judged without a gap from the first specimen on counts, in that order, whatever
    order the answers reached the plant in; and of a side only what came up to its decision.
    """
    table_of = {True: tables.false_rejects, False: tables.misses}
    shown, errors = {True: 0, False: 0}, {True: 0, False: 0}
    decided: set[bool] = set()
    kept: list[Judged] = []
    for place, (ordinal, (truth, answer)) in enumerate(sorted(judged, key=_ordinal), start=1):
        if ordinal != place:
            break
        is_good = truth.part is Part.GOOD
        if is_good in decided:
            continue
        kept.append((truth, answer))
        shown[is_good] += 1
        errors[is_good] += is_error(truth, answer)
        side = table_of[is_good].decide(errors[is_good], shown[is_good])
        if side is not Decision.CONTINUE:
            decided.add(is_good)
    return kept


def _ordinal(row: tuple[int, Judged]) -> int:
    return row[0]
