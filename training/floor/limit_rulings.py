"""The limit here today, and why: which lines rule a family in a zone on a day; pure.

What overrules what, highest first (common practice, no source): a quality alert in date, which
may only tighten; a signed concession, the only paper that may loosen; the job's work
instruction; signed limit samples; the site's general limits, only where the job gives none.
All ruling lines have to hold.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from training.floor.limit_comparing import never_looser, same_subject
from training.floor.limits import WHOLE_PART, ZONES, JudgedBy, LimitError, Line, Measure


class SourceKind(StrEnum):
    """The paper or part a line comes from, highest first."""

    ALERT = "alert"
    CONCESSION = "concession"
    WORK_INSTRUCTION = "work_instruction"
    SAMPLE = "sample"
    GENERAL = "general"


@dataclass(frozen=True, slots=True)
class Source:
    """Where a line comes from: the number of the alert, concession or sample, the revision."""

    kind: SourceKind
    reference: str = ""


@dataclass(frozen=True, slots=True)
class AlertLines:
    """What an alert tightens, from its first to its last day."""

    number: str
    first: date
    last: date
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class ConcessionLines:
    """What a concession allows instead, until its last day or until its quantity is used up.

    ``last`` is None where it holds for a quantity only, ``quantity_left`` where no quantity is
    set. ``instead_of`` names, line by line, the very line whose place is taken; None or nothing
    there means the lines that limit the same thing. Raises `LimitError` without its two
    signatures: unsigned it is no concession.
    """

    number: str
    first: date
    last: date | None
    lines: tuple[Line, ...]
    signed_by: str
    second_signature: str
    quantity_left: int | None = None
    instead_of: tuple[Line | None, ...] = ()

    def __post_init__(self) -> None:
        for name in ("signed_by", "second_signature"):
            if not getattr(self, name).strip():
                raise LimitError(name, "missing", "A concession needs two signatures")

    def holds(self, day: date) -> bool:
        """Whether it is in its days and its quantity is not used up."""
        spent = self.quantity_left is not None and self.quantity_left <= 0
        return not spent and self.first <= day and (self.last is None or day <= self.last)

    def takes_the_place_of(self, place: int, other: Line) -> bool:
        """Whether its line at ``place`` stands instead of another line of its family and zone."""
        named = self.instead_of[place] if place < len(self.instead_of) else None
        return other == named if named is not None else same_subject(self.lines[place], other)


class SampleKind(StrEnum):
    """What a limit sample shows."""

    WORST_ACCEPTED = "worst accepted"
    LEAST_REFUSED = "least refused"


@dataclass(frozen=True, slots=True)
class LimitSample:
    """A signed part; past its last day it stops counting."""

    number: str
    family: str
    zone: str
    kind: SampleKind
    signed: date
    expires: date

    def valid(self, day: date) -> bool:
        """Whether the sample counts on ``day``."""
        return self.signed <= day <= self.expires


@dataclass(frozen=True, slots=True)
class Ruling:
    """A line that rules, where it comes from, and what it overrules.

    ``no_valid_sample``: the sample the line names is missing or past its day. A line that is
    nothing but the sample then decides nothing: ask quality.
    """

    line: Line
    source: Source
    over: tuple["Ruling", ...] = ()
    no_valid_sample: bool = False

    @property
    def ask_quality(self) -> bool:
        """Whether the line cannot be judged today."""
        return self.no_valid_sample and self.line.measure is Measure.SAMPLE


@dataclass(frozen=True, slots=True)
class JobPapers:
    """Everything that may say something about a job's limits, in force or not.

    ``lines`` are those of work-instruction ``revision``; ``samples`` those of the job's group.
    """

    revision: str
    lines: tuple[Line, ...]
    general: tuple[Line, ...] = ()
    alerts: tuple[AlertLines, ...] = ()
    concessions: tuple[ConcessionLines, ...] = ()
    samples: tuple[LimitSample, ...] = ()


def limits_for(papers: JobPapers, *, family: str, zone: str, day: date) -> tuple[Ruling, ...]:
    """The lines that rule ``family`` in ``zone`` on ``day``, highest source first.

    ``zone`` may be the whole part: then the lines of all zones.
    """
    if zone == WHOLE_PART:
        zones = [each for each in ZONES if each != WHOLE_PART]
        parts = [limits_for(papers, family=family, zone=each, day=day) for each in zones]
        return tuple(sorted(dict.fromkeys(r for part in parts for r in part), key=_rank))
    base = _loosened(_base(papers, family, zone, day), papers.concessions, family, zone, day)
    tight = [
        Ruling(line, Source(SourceKind.ALERT, alert.number))
        for alert in papers.alerts
        if alert.first <= day <= alert.last
        for line in alert.lines
        if line.covers(family, zone)
    ]
    known = {sample.number for sample in papers.samples if sample.valid(day)}
    return tuple(
        replace(
            ruling, no_valid_sample=bool(ruling.line.sample) and ruling.line.sample not in known
        )
        for ruling in sorted(_tightened(base, tight), key=_rank)
    )


def _base(papers: JobPapers, family: str, zone: str, day: date) -> list[Ruling]:
    """The job's own lines; without any, its worst accepted samples; without any, the site's."""
    sheet = Source(SourceKind.WORK_INSTRUCTION, papers.revision)
    own = [
        Ruling(line, _own_source(line, sheet)) for line in papers.lines if line.covers(family, zone)
    ]
    if own:
        return own
    return _from_samples(papers.samples, family, zone, day) or [
        Ruling(line, Source(SourceKind.GENERAL))
        for line in papers.general
        if line.covers(family, zone)
    ]


def _own_source(line: Line, sheet: Source) -> Source:
    """A line that is nothing but a sample rests on the sample, any other on the sheet."""
    if line.measure is Measure.SAMPLE:
        return Source(SourceKind.SAMPLE, line.sample)
    return sheet


def _from_samples(
    samples: Sequence[LimitSample], family: str, zone: str, day: date
) -> list[Ruling]:
    """Lines "not worse than the sample"; a sample of what is refused sets no limit."""
    return [
        Ruling(
            Line(sample.zone, Measure.SAMPLE, JudgedBy.EYE, family=family, sample=sample.number),
            Source(SourceKind.SAMPLE, sample.number),
        )
        for sample in samples
        if sample.kind is SampleKind.WORST_ACCEPTED and sample.valid(day)
        if sample.family == family and sample.zone in {zone, WHOLE_PART}
    ]


def _loosened(
    base: list[Ruling],
    concessions: Iterable[ConcessionLines],
    family: str,
    zone: str,
    day: date,
) -> list[Ruling]:
    """Concessions in force take the place of the lines they speak about, of no others."""
    for paper in concessions:
        if not paper.holds(day):
            continue
        for place, line in enumerate(paper.lines):
            if not line.covers(family, zone):
                continue
            over = tuple(ruling for ruling in base if paper.takes_the_place_of(place, ruling.line))
            if over:
                source = Source(SourceKind.CONCESSION, paper.number)
                base = [ruling for ruling in base if ruling not in over]
                base.append(Ruling(line, source, over))
    return base


def _tightened(base: list[Ruling], tight: list[Ruling]) -> list[Ruling]:
    """Alert lines stand beside the others and set aside what they make pointless."""
    result = []
    for alert in tight:
        over = tuple(ruling for ruling in base if _makes_pointless(alert.line, ruling.line))
        base = [ruling for ruling in base if ruling not in over]
        result.append(Ruling(alert.line, alert.source, over))
    return result + base


def _makes_pointless(alert: Line, line: Line) -> bool:
    """Whether whatever passes the alert's line passes the other line too, or it is a sample.

    A sample shows by example what an alert now refuses in words, so the alert sets it aside.
    """
    nothing = alert.measure is Measure.NONE and alert.value is None
    return (nothing and line.measure is Measure.SAMPLE) or never_looser(alert, line)


def _rank(ruling: Ruling) -> int:
    return list(SourceKind).index(ruling.source.kind)
