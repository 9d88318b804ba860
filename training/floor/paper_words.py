"""Alerts and concessions in the words of one language: their lines, where they stand."""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _

from training.floor.concession_selectors import instead_of, line_of
from training.floor.limit_rulings import Ruling, SourceKind
from training.floor.limit_words import judged_by_text, line_text, source_text
from training.floor.limits import Line, line_data
from training.floor.models import Alert, Concession, Family, Zone
from training.floor.paper_selectors import AlertRow, ConcessionRow, PaperState
from training.people.texts import in_language


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One line of an alert or a concession; `instead_of` is what a concession sets aside."""

    family: str
    zone: str
    text: str
    instead_of: str
    judged_by: str


@dataclass(frozen=True, slots=True)
class StateWords:
    """The sign and the word of where a paper stands."""

    sign: str
    word: str


def state_words(state: PaperState) -> StateWords:
    """Return the sign (a key of the statuses) and the word."""
    return {
        PaperState.WAITING: StateWords("waiting", _("Waits for its second signature")),
        PaperState.IN_FORCE: StateWords("in_force", _("In force")),
        PaperState.TO_COME: StateWords("open", _("To come")),
        PaperState.USED_UP: StateWords("draft", _("Its parts are made")),
        PaperState.WITHDRAWN: StateWords("draft", _("Withdrawn")),
        PaperState.NEVER_SIGNED: StateWords("draft", _("Never signed a second time")),
        PaperState.ENDED: StateWords("draft", _("Ended")),
    }[state]


def paper_lines(paper: Alert | Concession, language: str) -> list[PaperLine]:
    """Return the lines of a paper in words; its lines are prefetched with their families."""
    found = []
    for row in paper.lines.all():
        line, old = line_of(row), instead_of(row)
        found.append(
            PaperLine(
                in_language(row.family.name, language),
                zone_text(row.zone),
                line_text(line, language),
                line_text(old, language) if old is not None else "",
                judged_by_text(line.judged_by, language),
            )
        )
    return found


def zone_text(zone: str) -> str:
    """Return "zone A" or "whole part"."""
    return _("whole part") if zone == Zone.WHOLE else _("zone %(zone)s") % {"zone": zone}


def line_key(line: Line) -> str:
    """Return a short name of a line that stays the same as long as the line does."""
    words = json.dumps(line_data(line), sort_keys=True)
    return hashlib.sha256(words.encode()).hexdigest()[:16]


def line_choices(
    rulings: Iterable[Ruling], families: Mapping[str, Family], language: str
) -> list[tuple[str, list[tuple[str, str]]]]:
    """Return the lines in force to choose from, under the paper they stand on."""
    groups: dict[str, list[tuple[str, str]]] = {}
    for ruling in sorted(rulings, key=lambda each: _order(each, families)):
        line = ruling.line
        family = in_language(families[line.family].name, language)
        words = f"{family}, {zone_text(line.zone)}: {line_text(line, language)}"
        source = source_text(ruling.source, language)
        groups.setdefault(source, []).append((line_key(line), words))
    return list(groups.items())


def _order(ruling: Ruling, families: Mapping[str, Family]) -> tuple[int, str, int, str]:
    line = ruling.line
    kind = list(SourceKind).index(ruling.source.kind)
    return kind, ruling.source.reference, families[line.family].position, line.zone


@dataclass(frozen=True, slots=True)
class PaperRow:
    """A paper in a list, with its sign and the word of where it stands."""

    row: ConcessionRow | AlertRow
    state: StateWords
    lines: tuple[PaperLine, ...]


def paper_rows(rows: Iterable[ConcessionRow | AlertRow], language: str) -> list[PaperRow]:
    """Return the rows of a list in words."""
    return [
        PaperRow(row, state_words(row.state), tuple(paper_lines(row.paper, language)))
        for row in rows
    ]
