"""What was named and done instead of what should have been: grids of counts; pure."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from training.quizzes.reports.meetings import Meeting

# Columns and a row that are no families.
ACCEPTED: Final = "accepted"
ELSEWHERE: Final = "other"
GOOD: Final = "good"
ACTIONS: Final = ("keep_running", "trim", "segregate", "stop")


@dataclass(frozen=True)
class Grid:
    """Counts of what it was (rows) and what was said (columns).

    `right` are the cells that are no error.
    """

    rows: tuple[str, ...]
    columns: tuple[str, ...]
    cells: Mapping[tuple[str, str], int]
    right: frozenset[tuple[str, str]]

    @property
    def total(self) -> int:
        return sum(self.cells.values())

    @property
    def errors(self) -> list[tuple[str, str, int]]:
        """The errors, most frequent first."""
        wrong = [
            (row, column, count)
            for (row, column), count in self.cells.items()
            if (row, column) not in self.right
        ]
        return sorted(wrong, key=lambda cell: (-cell[2], cell[0], cell[1]))

    def of(self, row: str) -> int:
        return sum(count for (each, _), count in self.cells.items() if each == row)


def naming_grid(found: Iterable[Meeting], families: Sequence[str]) -> Grid:
    """Count what parts of some look-alike families were taken for, the good ones among them.

    A rejected part stands under the family that was named, wherever it was touched.
    """
    group = set(families)
    cells: Counter[tuple[str, str]] = Counter()
    for each in found:
        if each.family in group:
            row = each.family if each.bad else GOOD
            named = each.named if each.named in group else ELSEWHERE
            cells[row, named if each.reject else ACCEPTED] += 1
    met = [family for family in families if any(row == family for row, _ in cells)]
    columns = [
        name
        for name in (*families, ELSEWHERE, ACCEPTED)
        if name in met or any(column == name for _, column in cells)
    ]
    rows = [*met, *([GOOD] if any(row == GOOD for row, _ in cells) else [])]
    right = {(family, family) for family in met} | {(GOOD, ACCEPTED)}
    return Grid(tuple(rows), tuple(columns), dict(cells), frozenset(right))


def action_grid(found: Iterable[Meeting]) -> Grid:
    """Count what was done about bad parts that were rejected against what should have been."""
    cells: Counter[tuple[str, str]] = Counter(
        (each.right_action, each.action)
        for each in found
        if each.bad and each.reject and each.action
    )
    shown = [name for name in ACTIONS if any(name in cell for cell in cells)]
    rows = [name for name in shown if any(row == name for row, _ in cells)]
    return Grid(tuple(rows), tuple(shown), dict(cells), frozenset((name, name) for name in rows))
