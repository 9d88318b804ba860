"""Specimens and answers as plain objects that the site's figures draw."""

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final

from django.utils import timezone
from django.utils.dateformat import format as format_date
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from training.quizzes.selectors.specimen_answers import FirstAnswer
from training.quizzes.selectors.specimen_statistics import SpecimenLine
from training.quizzes.specimen_figures import Doubt
from training.quizzes.specimen_words import DOUBT_WORDS, counts_interval
from training.quizzes.words import here
from training.statistics.item_difficulty import BAND_FROM
from training.statistics.proportions import clopper_pearson

# Answers that one dot over time stands for, and most dots.
LEAST_IN_SPAN: Final = 10
MOST_SPANS: Final = 8


@dataclass(frozen=True, slots=True)
class MapPoint:
    """One specimen on the map: severity / limit against its proportion right with the interval."""

    number: str
    ratio: float
    share: float
    low: float
    high: float
    answered: int
    doubt: str


@dataclass(frozen=True)
class FamilyMap:
    """The map of one family, and what is not on it."""

    slug: str
    name: str
    points: tuple[MapPoint, ...]
    too_few: int
    unmeasured: int
    finding: str


def family_maps(lines: Iterable[SpecimenLine]) -> list[FamilyMap]:
    """Return a map of each family with an answered specimen, those with most on it first."""
    by_family: dict[str, list[SpecimenLine]] = defaultdict(list)
    for line in lines:
        if line.figures.answered and line.retired_day is None:
            by_family[line.family_slug].append(line)
    maps = [_map(rows) for rows in by_family.values()]
    return sorted(maps, key=lambda each: (-len(each.points), each.name))


def _map(lines: Sequence[SpecimenLine]) -> FamilyMap:
    measured = [line for line in lines if line.ratio]
    points = tuple(
        sorted((_point(line) for line in measured if _known(line)), key=lambda each: each.ratio)
    )
    name = here(lines[0].family)
    return FamilyMap(
        slug=lines[0].family_slug,
        name=name,
        points=points,
        too_few=sum(not _known(line) for line in measured),
        unmeasured=len(lines) - len(measured),
        finding=_finding(name, points),
    )


def _known(line: SpecimenLine) -> bool:
    return line.figures.answered >= BAND_FROM


def _point(line: SpecimenLine) -> MapPoint:
    figures, plain = line.figures, counts_interval(line.figures)
    share, low, high = figures.proportion, figures.low, figures.high
    if share is None or low is None or high is None:
        # The key is in doubt: the bank's mean says nothing about this one.
        share = figures.right / figures.answered
        low, high = (plain.low, plain.high) if plain else (0.0, 1.0)
    return MapPoint(
        number=line.number,
        ratio=float(line.ratio or 0),
        share=share,
        low=low,
        high=high,
        answered=figures.answered,
        doubt=str(DOUBT_WORDS[figures.doubts[0]]) if figures.doubts else "",
    )


def _finding(name: str, points: Sequence[MapPoint]) -> str:
    if not points:
        return ""
    hardest = min(points, key=lambda each: each.share)
    return ngettext(
        "%(family)s: %(n)d specimen; the hardest, %(number)s at %(ratio)s times the limit, is "
        "answered right by %(share)d %%.",
        "%(family)s: %(n)d specimens; the hardest, %(number)s at %(ratio)s times the limit, is "
        "answered right by %(share)d %%.",
        len(points),
    ) % {
        "family": name,
        "n": len(points),
        "number": hardest.number,
        "ratio": f"{hardest.ratio:.2f}",
        "share": round(100 * hardest.share),
    }


@dataclass(frozen=True, slots=True)
class Span:
    """Some first answers in a row of time, and how many were right."""

    first: dt.datetime
    last: dt.datetime
    right: int
    answered: int
    low: float
    high: float

    @property
    def share(self) -> float:
        return self.right / self.answered

    @property
    def middle(self) -> dt.datetime:
        return self.first + (self.last - self.first) / 2


def spans_of(given: Sequence[FirstAnswer]) -> list[Span]:
    """Part answers in order of time into spans of equal number, ten or more each, eight at most."""
    count = min(MOST_SPANS, len(given) // LEAST_IN_SPAN)
    if not count:
        return []
    edges = [round(place * len(given) / count) for place in range(count + 1)]
    return [_span(given[low:high]) for low, high in pairwise(edges)]


def _span(given: Sequence[FirstAnswer]) -> Span:
    right = sum(answer.right for answer in given)
    interval = clopper_pearson(right, len(given))
    return Span(given[0].at, given[-1].at, right, len(given), interval.low, interval.high)


def over_time(line: SpecimenLine, spans: Sequence[Span]) -> dict[str, Any] | None:
    """Return the figure of one specimen's answers over time; None below two spans."""
    if len(spans) < 2:
        return None
    first, last = spans[0], spans[-1]
    whole = max((last.last - first.first) / dt.timedelta(days=1), 1.0)
    days = [(place, _day(first.first + dt.timedelta(days=place))) for place in _ticks(whole)]
    return {
        "key": "over-time",
        "question": _("Has %(number)s become easier?") % {"number": line.number},
        "method": _("First answers in exams, in groups of equal number; exact intervals of 95 %."),
        "title": _("Proportion right over time"),
        "finding": _("%(right0)d of %(n0)d right at first, %(right1)d of %(n1)d at last.")
        % {
            "right0": first.right,
            "n0": first.answered,
            "right1": last.right,
            "n1": last.answered,
        },
        "height": 300,
        "x": {
            "low": -0.04 * whole,
            "high": 1.04 * whole,
            "label": _("day of the answers"),
            "ticks": days,
        },
        "y": {"low": 0, "high": 1, "step": 0.25, "label": _("answered right"), "percent": True},
        "layers": _layers(line, spans),
        "table": _table(spans),
    }


def _layers(line: SpecimenLine, spans: Sequence[Span]) -> list[dict[str, Any]]:
    """Return the dots, and for a part perhaps known the day its windows part."""
    start = spans[0].first
    layers: list[dict[str, Any]] = [
        {
            "kind": "dots",
            "x": [(span.middle - start) / dt.timedelta(days=1) for span in spans],
            "y": [span.share for span in spans],
            "low": [span.low for span in spans],
            "high": [span.high for span in spans],
        }
    ]
    windows = line.figures.windows
    if Doubt.PERHAPS_KNOWN in line.figures.doubts and windows is not None:
        since = (windows.since - start) / dt.timedelta(days=1)
        layers.append({"kind": "limit", "at": since, "word": _("compared from here")})
    return layers


def _table(spans: Sequence[Span]) -> dict[str, Any]:
    return {
        "head": [_("from"), _("to"), _("answered right"), _("answers"), _("interval (95 %)")],
        "rows": [
            [
                _day(span.first),
                _day(span.last),
                span.right,
                span.answered,
                f"{round(100 * span.low)} – {round(100 * span.high)} %",
            ]
            for span in spans
        ],
    }


def _ticks(whole: float) -> list[float]:
    steps = min(4, max(1, math.floor(whole)))
    return [whole * place / steps for place in range(steps + 1)]


def _day(moment: dt.datetime) -> str:
    pattern = pgettext("pattern of a day with its year", "j M Y")
    return format_date(timezone.localtime(moment), pattern)
