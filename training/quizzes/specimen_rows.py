"""Rows of the pages about answers: one specimen's answers, crews and hours, members of the panel."""

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from training.people.models import Crew, Person
from training.quizzes.selectors.specimen_answers import FirstAnswer
from training.quizzes.selectors.specimen_panel import PanelMember, PanelRecord
from training.quizzes.specimen_conditions import HourRow
from training.quizzes.specimen_words import said
from training.quizzes.words import here
from training.statistics.panel_members import Leaning, Side

LEANING_WORDS: Final[dict[Leaning, Promise]] = {
    Leaning.LENIENT: gettext_lazy("More lenient than the others"),
    Leaning.STRICT: gettext_lazy("Stricter than the others"),
    Leaning.ALIKE: gettext_lazy("Like the others"),
}
LEANING_STATUS: Final = {
    Leaning.LENIENT: "differs",
    Leaning.STRICT: "differs",
    Leaning.ALIKE: "done",
}


@dataclass(frozen=True, slots=True)
class MissedRow:
    """One crew within two hours of the clock, as the figure and the table show it."""

    crew: str
    hours: str
    missed: int
    shown: int
    people: int
    expected: float
    low: float | None
    high: float | None
    more: bool
    reason: str

    @property
    def share(self) -> float | None:
        return self.missed / self.shown if self.low is not None else None

    @property
    def expected_share(self) -> float:
        return self.expected / self.shown if self.shown else 0.0


def hour_rows(rows: Iterable[HourRow]) -> list[MissedRow]:
    names = {crew.code: here(crew.name) for crew in Crew.objects.all()}
    return [
        MissedRow(
            crew=names.get(row.crew, row.crew) or _("no crew"),
            hours=f"{row.start:02d}–{row.end:02d}",
            missed=row.found.missed,
            shown=row.found.shown,
            people=row.people,
            expected=row.found.expected,
            low=row.found.interval.low if row.found.interval else None,
            high=row.found.interval.high if row.found.interval else None,
            more=row.found.more,
            reason=said(row.found.reason),
        )
        for row in rows
    ]


def hours_said(rows: Sequence[HourRow]) -> str:
    """Return the finding in one sentence, with its numbers."""
    more = [row for row in rows if row.found.more]
    if not any(row.found.interval for row in rows):
        return _("Not enough answers yet to compare crews and hours.")
    if not more:
        return _("No crew and hour misses more than its specimens explain.")
    worst = min(more, key=lambda row: row.found.p_value or 0.0)
    names = {crew.code: here(crew.name) for crew in Crew.objects.all()}
    return ngettext(
        "%(crew)s, %(start)02d to %(end)02d: %(missed)d of %(shown)d missed by %(n)d person, "
        "where the same specimens let expect %(expected)d.",
        "%(crew)s, %(start)02d to %(end)02d: %(missed)d of %(shown)d missed by %(n)d people, "
        "where the same specimens let expect %(expected)d.",
        worst.people,
    ) % {
        "crew": names.get(worst.crew, worst.crew),
        "start": worst.start,
        "end": worst.end,
        "missed": worst.found.missed,
        "shown": worst.found.shown,
        "n": worst.people,
        "expected": round(worst.found.expected),
    }


def answer_rows(
    given: Sequence[FirstAnswer], people: Mapping[uuid.UUID, Person]
) -> list[dict[str, Any]]:
    """Return one specimen's answers, the newest first."""
    return [
        {
            "person": people[answer.person_id],
            "sitting": answer.sitting_id,
            "at": answer.at,
            "right": answer.right,
            "seconds": round(answer.seconds),
            "new": answer.new,
        }
        for answer in reversed(given)
    ]


def member_rows(record: PanelRecord) -> list[dict[str, Any]]:
    """Return the members, those who leave the others first."""
    rows = [_member(member) for member in record.members]
    return sorted(rows, key=lambda row: row["status"] == "done")


def _member(member: PanelMember) -> dict[str, Any]:
    figures = member.figures
    limit = figures.limit
    return {
        "person": member.person,
        "word": str(LEANING_WORDS[figures.leaning]),
        "status": LEANING_STATUS[figures.leaning],
        "bad": figures.accepted_bad,
        "good": figures.rejected_good,
        "bad_said": _side_said(figures.accepted_bad),
        "good_said": _side_said(figures.rejected_good),
        "same": figures.same,
        "pairs": figures.pairs,
        "limit": limit,
        "limit_said": said((limit.statement or limit.reason) if limit else None),
    }


def _side_said(side: Side) -> str:
    if side.interval is None:
        return _("not enough looks (%(n)d)") % {"n": side.looks}
    return _("the others %(against)d of %(of)d") % {
        "against": side.others_against,
        "of": side.others_looks,
    }
