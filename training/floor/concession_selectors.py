"""A concession as the rulings take it: its lines, whose places they take, what is left of it."""

import datetime as dt
from collections.abc import Iterable

from training.floor.limit_rulings import ConcessionLines
from training.floor.limits import Line, parse_line
from training.floor.models import Concession, ConcessionCount, LimitLine


def line_of(row: LimitLine) -> Line:
    """Return a stored line as a line of the pure rules; its family must be loaded with it."""
    return parse_line({**row.measure, "zone": row.zone}, family=row.family.slug)


def instead_of(row: LimitLine) -> Line | None:
    """Return the line whose place a concession's line takes, where it names one."""
    return parse_line(row.instead_of) if row.instead_of else None


def parts_made(counts: Iterable[ConcessionCount], day: dt.date) -> int:
    """Return how many parts have been made by the newest count that is not younger than the day."""
    known = [count for count in counts if count.day <= day]
    return max(known, key=lambda count: (count.day, count.position)).parts if known else 0


def quantity_left(paper: Concession, day: dt.date) -> int | None:
    """Return how many parts may still be made, None without a quantity; counts are prefetched."""
    if paper.max_quantity is None:
        return None
    return max(0, paper.max_quantity - parts_made(paper.counts.all(), day))


def concession_lines(paper: Concession, day: dt.date) -> ConcessionLines:
    """Return a concession with two signatures as the rulings take it; lines are prefetched."""
    rows = list(paper.lines.all())
    return ConcessionLines(
        number=paper.number,
        first=paper.from_day,
        last=paper.to_day,
        lines=tuple(line_of(row) for row in rows),
        signed_by=paper.signed_by.name,
        second_signature=paper.second_signer,
        quantity_left=quantity_left(paper, day),
        instead_of=tuple(instead_of(row) for row in rows),
    )
