"""Specimens wanted in words: which, from which jobs, what for."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Final

from django.utils.translation import gettext as _

from training.quizzes.selectors.wanted import WantedRow, Why
from training.quizzes.words import here, stratum_words

# Beyond so many jobs the rest is counted.
JOBS_NAMED: Final = 6


@dataclass(frozen=True, slots=True)
class WantedLine:
    """One line of the list of specimens wanted."""

    slug: str
    is_family: bool
    name: str
    number: int
    what: str
    why: str
    waiting: str
    jobs: str
    people: int
    presses: int
    status: str


def wanted_lines(rows: Iterable[WantedRow]) -> list[WantedLine]:
    return [
        WantedLine(
            slug=row.slug,
            is_family=row.family is not None,
            name=here(row.family or row.group),
            number=row.number,
            what=_what(row),
            why=why_words(row),
            waiting=_waiting(row),
            jobs=_jobs(row),
            people=len(row.demand.people),
            presses=len(row.demand.presses),
            status="no_exam" if row.blocks else "open",
        )
        for row in rows
    ]


def _what(row: WantedRow) -> str:
    kind = _("bad") if row.bad else _("good")
    if row.why is Why.PHOTOGRAPHED:
        return _("bad, photographed")
    if row.clear:
        return _("bad and clear: 1.5 × limit or more")
    if row.stratum is None:
        return _("%(kind)s, any severity") % {"kind": kind}
    if row.stratum.low is None:
        return _("good and clean: below half of the limit")
    return _("%(kind)s, %(range)s × limit") % {"kind": kind, "range": stratum_words(row.stratum)}


def why_words(row: WantedRow) -> str:
    """Say what is not possible without them."""
    return {
        Why.NO_EXAM: _("first exam possible"),
        Why.NO_CRITICAL: _("exam at critical level possible"),
        Why.SHORT: _("back to the group plan, a full year instead of six months"),
        Why.STRATUM: _("the blueprint asks for more of these"),
        Why.PHOTOGRAPHED: _("the plan %(plan)s allows fewer drawn pictures") % {"plan": row.plan},
    }[row.why]


def _waiting(row: WantedRow) -> str:
    """Say what lies in the bank already and only waits for a hand."""
    said = []
    if row.undecided:
        said.append(_("%(n)s to be decided for the limits in force") % {"n": row.undecided})
    if row.without_outline:
        said.append(_("%(n)s without an outline") % {"n": row.without_outline})
    return "; ".join(said)


def _jobs(row: WantedRow) -> str:
    named = ", ".join(row.demand.jobs[:JOBS_NAMED])
    more = len(row.demand.jobs) - JOBS_NAMED
    return _("%(jobs)s and %(n)s more") % {"jobs": named, "n": more} if more > 0 else named


def wanted_sheet(lines: Iterable[WantedLine]) -> Iterator[list[Any]]:
    """Return the list as rows of a table with a head, for a file."""
    yield [
        _("family"),
        _("more"),
        _("what"),
        _("what for"),
        _("in the bank already"),
        _("jobs"),
        _("people waiting"),
        _("presses"),
    ]
    for line in lines:
        yield [
            line.name,
            line.number,
            line.what,
            line.why,
            line.waiting,
            line.jobs,
            line.people,
            line.presses,
        ]
