"""What was presented and how it was answered, as rows; those of ended sittings are kept.

What a sitting presented, and what was answered before it ended, are facts and never change, so each
ended sitting is read once by a process. A specimen's family and all that may change is not kept.
"""

import uuid
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from training.quizzes.models import Presented, Sitting

COLUMNS: Final = (
    "specimen",
    "sitting",
    "ordinal",
    "part",
    "work_instruction",
    "decision__decision",
    "decision__severity_ratio",
    "judgement__answer",
    "judgement__answered_at",
    "judgement__scored",
    "judgement__action",
    "judgement__judging_ms",
    "judgement__view",
    "judgement__place_x",
    "judgement__place_y",
)

Row = Mapping[str, Any]

# Rows of ended sittings, by the sitting and the hash of its end, which covers all that was in it.
_kept: dict[tuple[uuid.UUID, str], tuple[Row, ...]] = {}


def rows_of_all(sittings: Mapping[uuid.UUID, Sitting]) -> Iterator[Row]:
    """Return every row of these sittings, in their order; each comes with its end, where it has one.

    Costs one query, or none where all has ended and is kept.
    """
    ended = {pk: (pk, each.end.hash) for pk, each in sittings.items() if hasattr(each, "end")}
    missing = [pk for pk in sittings if ended.get(pk) not in _kept]
    found = _read(missing) if missing else {}
    for pk in missing:
        if pk in ended:
            _kept[ended[pk]] = found.get(pk, ())
    for key in set(_kept) - set(ended.values()):
        del _kept[key]
    for pk in sittings:
        yield from _kept[ended[pk]] if pk in ended else found.get(pk, ())


def rows_of_specimens(specimens: Iterable[uuid.UUID]) -> Iterator[Row]:
    """Return the rows of some specimens, sittings in the order they were opened. One query."""
    found = Presented.objects.filter(specimen__in=list(specimens))
    yield from found.order_by("sitting__opened_at", "sitting__number", "ordinal").values(*COLUMNS)


def _read(sittings: Iterable[uuid.UUID]) -> dict[uuid.UUID, tuple[Row, ...]]:
    found: dict[uuid.UUID, list[Row]] = defaultdict(list)
    rows = Presented.objects.filter(sitting__in=list(sittings)).order_by("ordinal")
    for row in rows.values(*COLUMNS):
        found[row["sitting"]].append(row)
    return {pk: tuple(each) for pk, each in found.items()}
