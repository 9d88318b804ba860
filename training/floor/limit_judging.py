"""Accept or reject a part against the ruling limits, and how near it came; pure."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import inf, isfinite

from training.floor.limit_rulings import Ruling
from training.floor.limits import CompareTo, Line, Measure, Unit


class Decision(StrEnum):
    """What the limits say about a part."""

    ACCEPT = "accept"
    REJECT = "reject"
    UNDECIDABLE = "undecidable"


@dataclass(frozen=True, slots=True)
class Finding:
    """What was found on a part, of one family in one zone.

    ``severity`` is the measured size in ``unit``, of the largest of ``count`` marks; 0 where
    nothing was found. ``feature`` is the English name of what was measured, where the limits
    tell several apart; ``compare_to`` what a colour difference was measured against.
    ``seen``: whether it shows at the job's viewing distance and time. ``present``: English
    features that were looked for and found ("loose fin").
    """

    severity: float
    unit: Unit
    count: int = 1
    feature: str = ""
    compare_to: CompareTo | None = None
    seen: bool | None = None
    present: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        if not isfinite(self.severity):
            raise ValueError("the severity is not a number: give a plain decimal number")
        if self.count < 0:
            raise ValueError("a count cannot be negative: give 0 or more")


@dataclass(frozen=True, slots=True)
class LimitVerdict:
    """The decision, the line that decides, and the severity as a share of its limit.

    ``ratio`` is above 1 beyond the limit, infinite where nothing at all is accepted.
    ``open`` are lines the finding says nothing about: touch, gauge, sample still to come.
    """

    decision: Decision
    ruling: Ruling | None = None
    ratio: float | None = None
    open: tuple[Ruling, ...] = ()


@dataclass(frozen=True, slots=True)
class _Outcome:
    """One line's say: whether it holds, and severity ÷ limit."""

    holds: bool
    ratio: float


def judge(finding: Finding, rulings: Iterable[Ruling]) -> LimitVerdict:
    """What the ruling lines of one family and zone say about a finding; all have to hold.

    Any line broken rejects. A line that cannot be judged today (no valid sample), or lines
    that all stay open, leave it undecidable: segregate and ask quality.
    """
    decided: list[tuple[_Outcome, Ruling]] = []
    waiting: list[Ruling] = []
    for ruling in rulings:
        outcome = _outcome(finding, ruling.line)
        if outcome is None:
            waiting.append(ruling)
        else:
            decided.append((outcome, ruling))
    left = tuple(waiting)
    broken = [(outcome, ruling) for outcome, ruling in decided if not outcome.holds]
    if broken:
        worst, ruling = max(broken, key=_by_ratio)
        return LimitVerdict(Decision.REJECT, ruling, worst.ratio, left)
    unclear = next((ruling for ruling in waiting if ruling.ask_quality), None)
    if unclear is not None or not decided:
        return LimitVerdict(Decision.UNDECIDABLE, unclear or next(iter(waiting), None), None, left)
    nearest, ruling = max(decided, key=_by_ratio)
    return LimitVerdict(Decision.ACCEPT, ruling, nearest.ratio, left)


def _by_ratio(pair: tuple[_Outcome, Ruling]) -> float:
    return pair[0].ratio


def _outcome(finding: Finding, line: Line) -> _Outcome | None:
    """What one line says; None where the finding does not answer it."""
    if line.measure is Measure.ANY:
        return _all_or_nothing(found=False)
    if line.measure is Measure.NOT_VISIBLE_AT:
        return None if finding.seen is None else _all_or_nothing(found=finding.seen)
    if line.measure is Measure.NONE and line.value is None:
        return _nothing(finding, line)
    if line.value is None or line.unit is not finding.unit or not _meant(finding, line):
        return None
    return _measured(finding, line, line.value)


def _measured(finding: Finding, line: Line, value: float) -> _Outcome:
    """What a line with a number says about a severity in its unit."""
    if line.measure is Measure.BETWEEN:
        return _between(finding.severity, value, line.value2 or 0.0)
    ratio = finding.severity / value
    if line.measure is Measure.NONE:
        return _Outcome(finding.severity < value, ratio)
    if line.count is not None and finding.count > line.count:
        return _Outcome(False, max(ratio, finding.count / line.count))
    return _Outcome(finding.severity <= value, ratio)


def _all_or_nothing(*, found: bool) -> _Outcome:
    return _Outcome(not found, inf if found else 0.0)


def _nothing(finding: Finding, line: Line) -> _Outcome | None:
    """A line that accepts nothing: of the family, or of the feature it names."""
    if line.feature is None:
        return _all_or_nothing(found=finding.severity != 0 or bool(finding.present))
    if line.feature.en in finding.present:
        return _all_or_nothing(found=True)
    if finding.severity == 0:
        return _all_or_nothing(found=False)
    return _all_or_nothing(found=True) if line.feature.en == finding.feature else None


def _between(severity: float, low: float, high: float) -> _Outcome:
    """Share of the limit on the side the severity lies; infinite where that side has none."""
    holds = low <= severity <= high
    if low > 0 and severity < low:
        return _Outcome(holds, low / severity if severity > 0 else inf)
    limit = high if severity >= 0 else low
    if severity == 0:
        return _Outcome(holds, 0.0 if holds else inf)
    ratio = severity / limit if limit * severity > 0 else inf
    return _Outcome(holds, ratio)


def _meant(finding: Finding, line: Line) -> bool:
    """Whether the line limits what was measured; what is not told apart counts for all."""
    if finding.feature and line.feature is not None and line.feature.en != finding.feature:
        return False
    told = finding.compare_to is not None and line.compare_to is not None
    return not told or finding.compare_to is line.compare_to
