"""Specimens with their figures: how hard, what casts doubt on them, who has met them."""

import datetime as dt
import uuid
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from training.quizzes.selectors.specimen_answers import (
    AnswerBook,
    Exposure,
    FirstAnswer,
    answer_book,
)
from training.quizzes.selectors.specimen_panel import panel_agreement
from training.quizzes.specimen_figures import (
    BankFigures,
    Doubt,
    SpecimenFigures,
    bank_figures,
)
from training.specimens.models import Pool, Specimen, SpecimenQuerySet
from training.statistics.item_difficulty import BAND_FROM

RETIRED: Final = "retired"
ANY_DOUBT, NO_DOUBT = "any", "none"


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the list is narrowed to and how it is ordered; empty fields narrow nothing."""

    number: str = ""
    family: str = ""
    doubt: str = ""
    pool: str = ""
    order: str = ""


@dataclass(frozen=True)
class SpecimenLine:
    """A specimen with its figures; `other_key` answers were scored under a decision since changed."""

    id: uuid.UUID
    number: str
    job: str
    zone: str
    family_slug: str
    family: dict[str, str]
    pool: str
    retired_day: dt.date | None
    decided: str | None
    clear: bool
    ratio: Decimal | None
    figures: SpecimenFigures
    people: int
    last: dt.datetime | None
    other_key: int

    @property
    def to_do(self) -> bool:
        """Whether a doubt is open: the specimen may still be drawn for an exam."""
        return bool(self.figures.doubts) and self.pool == Pool.EXAM and self.retired_day is None


@dataclass(frozen=True)
class SpecimenStatistics:
    """The lines somebody may see, the bank they were compared in, and the answers behind them."""

    lines: tuple[SpecimenLine, ...]
    bank: BankFigures
    book: AnswerBook

    @property
    def to_do(self) -> int:
        return sum(line.to_do for line in self.lines)

    @property
    def answered(self) -> int:
        return sum(line.figures.answered > 0 for line in self.lines)

    def answers_to(self, specimen: uuid.UUID) -> list[FirstAnswer]:
        return [each for each in self.book.answers if each.specimen_id == specimen]


def specimen_statistics(
    *, roles: Collection[str], now: dt.datetime, day: dt.date
) -> SpecimenStatistics:
    """Return every specimen these roles may see with its answers; others only weigh in the bank.

    Costs a fixed number of queries, eleven at most.
    """
    book = answer_book(day)
    everything = list(Specimen.objects.with_decision(day).select_related("family", "job"))
    seen = _seen(everything, roles)
    bank = bank_figures(
        book.answers,
        ratios={row.pk: _ratio(row) for row in everything},
        panels=panel_agreement(day),
        now=now,
    )
    return SpecimenStatistics(
        lines=tuple(_line(row, bank, book) for row in everything if row.pk in seen),
        bank=bank,
        book=book,
    )


def _seen(everything: Iterable[Specimen], roles: Collection[str]) -> set[uuid.UUID]:
    open_to: SpecimenQuerySet = Specimen.objects.open_to(roles)
    keys = set(open_to.values_list("pk", flat=True))
    return {row.pk for row in everything if row.pk in keys}


def _ratio(row: Specimen) -> float | None:
    return None if row.decided_ratio is None else float(row.decided_ratio)


def _line(row: Specimen, bank: BankFigures, book: AnswerBook) -> SpecimenLine:
    met = book.exposures.get(row.pk, Exposure())
    return SpecimenLine(
        id=row.pk,
        number=row.number,
        job=row.job.number,
        zone=row.zone,
        family_slug=row.family.slug,
        family=row.family.name,
        pool=row.pool,
        retired_day=row.retired_day,
        decided=row.decided,
        clear=bool(row.decided_clear),
        ratio=row.decided_ratio,
        figures=bank.of(row.pk),
        people=len(met.people),
        last=met.last,
        other_key=book.other_key.get(row.pk, 0),
    )


def chosen(lines: Iterable[SpecimenLine], wanted: Wanted) -> list[SpecimenLine]:
    """Return the lines asked for, in the order asked for; what is to be done first by default."""
    kept = [line for line in lines if _is_wanted(line, wanted)]
    kept.sort(key=lambda line: line.number)
    kept.sort(key=ORDERS.get(wanted.order, _urgent))
    return kept


def _is_wanted(line: SpecimenLine, wanted: Wanted) -> bool:
    doubts = line.figures.doubts
    doubt = {
        "": True,
        ANY_DOUBT: bool(doubts),
        NO_DOUBT: not doubts,
    }.get(wanted.doubt, wanted.doubt in doubts)
    pool = (
        line.retired_day is not None
        if wanted.pool == RETIRED
        else line.retired_day is None and wanted.pool in ("", line.pool)
    )
    return (
        doubt
        and pool
        and wanted.family in ("", line.family_slug)
        and wanted.number.lower() in line.number.lower()
    )


DOUBTS: Final = tuple(Doubt)


def _urgent(line: SpecimenLine) -> tuple[Any, ...]:
    doubts = line.figures.doubts
    first = DOUBTS.index(doubts[0]) if doubts else len(DOUBTS)
    return (not line.to_do, first, -line.figures.answered)


def _easy(line: SpecimenLine) -> tuple[Any, ...]:
    hard = _hard(line)
    return (hard[0], -hard[1])


def _hard(line: SpecimenLine) -> tuple[bool, float]:
    known = line.figures.proportion
    return (known is None, 0.0 if known is None else known)


def _met(line: SpecimenLine) -> tuple[Any, ...]:
    return (-line.people,)


def _long_ago(line: SpecimenLine) -> tuple[Any, ...]:
    return (line.last is None, line.last.timestamp() if line.last else 0.0)


def _few(line: SpecimenLine) -> tuple[Any, ...]:
    answered = line.figures.answered
    return (answered >= BAND_FROM, -answered)


ORDERS: Final[dict[str, Callable[[SpecimenLine], tuple[Any, ...]]]] = {
    "": _urgent,
    "hard": _hard,
    "easy": _easy,
    "met": _met,
    "long_ago": _long_ago,
    "few": _few,
    "number": lambda _line: (),
}
