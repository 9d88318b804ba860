"""Published tables beside the tests; each file opens with its source."""

import csv
from pathlib import Path

import numpy as np
import numpy.typing as npt

FOLDER = Path(__file__).parent / "published"


def rows(name: str) -> list[dict[str, str]]:
    """Read a table, heading row first, lines that open with # left out."""
    with (FOLDER / name).open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def numbers(name: str) -> npt.NDArray[np.float64]:
    """Read a table of numbers only."""
    return np.array([[float(cell) for cell in row.values()] for row in rows(name)])


def patterns(name: str) -> npt.NDArray[np.float64]:
    """Write out response patterns, the last column giving how often each occurred."""
    table = numbers(name)
    return np.repeat(table[:, :-1], table[:, -1].astype(int), axis=0)
