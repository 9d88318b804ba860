"""What a person's last three exams of a family count: misses and false rejects with intervals; pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from training.quizzes.reports.meetings import Meeting, Round, rounds_of
from training.quizzes.scoring import Outcome, Part
from training.statistics.family_evidence import SITTINGS_COUNTED, Evidence, accumulate
from training.statistics.proportions import clopper_pearson


@dataclass(frozen=True, slots=True)
class Rate:
    """Errors of a kind among so many, with the exact two-sided 95 % interval of their share.

    `low` and `high` are None where none may be given: nothing judged, or stopped before the end.
    """

    errors: int
    of: int
    low: float | None = None
    high: float | None = None


def rate(errors: int, of: int, *, whole: bool = True) -> Rate:
    """Return errors with their interval; without one where the number judged was not fixed before."""
    if not of or not whole:
        return Rate(errors, of)
    interval = clopper_pearson(errors, of)
    return Rate(errors, of, interval.low, interval.high)


def rate_of(found: Iterable[Meeting], *, whole: bool = True) -> Rate:
    """Return the share of meetings that were not right."""
    rows = list(found)
    return rate(sum(not each.right for each in rows), len(rows), whole=whole)


@dataclass(frozen=True, slots=True)
class ExamLine:
    """One exam as it is drawn on a line: a mark for each bad part of the family, the missed ones last.

    The order of judging is not kept: between two parts the person knows to have rejected it would
    tell which accepted one was bad.
    """

    round: Round
    missed: tuple[bool, ...]
    drawn: int
    allowed: int | None
    good: int
    false_rejects: int
    passed: bool


@dataclass(frozen=True)
class FamilyTally:
    """The last three exams of a family in order, none left out.

    Attributes
    ----------
    missed, false_rejects, clear : Rate
        Bad parts of the family, good parts of those exams, clear parts of the critical
        block of the family. Only parts met for the first time count.
    own_false_rejects : Rate
        Good parts that were chosen for this family.
    met_before : int
        Parts left out because the person had met them before.
    wrong_place, kept_running : int
        Among the missed.
    sized : bool
        Whether the number judged was fixed before in all of them; no interval otherwise.
    evidence : Evidence
        Whether the family's own claim may be printed.
    """

    family: str
    exams: tuple[ExamLine, ...]
    missed: Rate
    false_rejects: Rate
    own_false_rejects: Rate
    clear: Rate
    met_before: int
    wrong_place: int
    kept_running: int
    sized: bool
    evidence: Evidence


def family_tally(found: Sequence[Meeting], family: str) -> FamilyTally:
    """Count one person's last three exams in which bad parts of the family were judged."""
    own = [each for each in found if each.round.counts and each.family == family]
    bad = [each for each in own if each.bad and each.part is Part.BAD]
    last = rounds_of(bad)[-SITTINGS_COUNTED:]
    keys = {each.pk for each in last}
    counted = [each for each in found if each.round.pk in keys]
    shown = [each for each in counted if each.first]
    own_bad = [each for each in shown if each.family == family and each.part is Part.BAD]
    good = [each for each in shown if not each.bad]
    clear = [each for each in shown if each.family == family and each.part is Part.CRITICAL]
    whole = all(each.sized for each in last)
    return FamilyTally(
        family=family,
        exams=tuple(_line(each, counted, family) for each in last),
        missed=rate_of(own_bad, whole=whole),
        false_rejects=rate_of(good, whole=whole),
        own_false_rejects=rate_of((each for each in good if each.family == family), whole=whole),
        clear=rate_of(clear, whole=whole),
        met_before=sum(not each.first for each in counted if each.family == family),
        wrong_place=sum(each.outcome is Outcome.WRONG_PLACE for each in own_bad),
        kept_running=sum(each.outcome is Outcome.KEPT_RUNNING for each in own_bad),
        sized=whole,
        evidence=accumulate([_missed_of(each, own_bad) for each in last]),
    )


def _missed_of(round_: Round, bad: Iterable[Meeting]) -> tuple[int, int]:
    own = [each for each in bad if each.round.pk == round_.pk]
    return sum(each.missed for each in own), len(own)


def _line(round_: Round, counted: Iterable[Meeting], family: str) -> ExamLine:
    here = [each for each in counted if each.round.pk == round_.pk]
    good = [each for each in here if not each.bad]
    return ExamLine(
        round=round_,
        missed=tuple(
            sorted(each.missed for each in here if each.family == family and each.part is Part.BAD)
        ),
        drawn=round_.plan.bad.get(family, 0),
        allowed=round_.plan.family_misses_allowed.get(family),
        good=len(good),
        false_rejects=sum(each.reject for each in good),
        passed=family in round_.families_passed,
    )
