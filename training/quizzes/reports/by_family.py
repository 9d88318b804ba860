"""Counts of each sitting and family of one person, for a table; pure."""

import statistics
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from training.quizzes.reports.meetings import Meeting, Round, rounds_of
from training.quizzes.scoring import Outcome, Part


@dataclass(frozen=True, slots=True)
class FamilyInRound:
    """What one sitting counts of one family.

    `missed` is of the bad parts outside the critical block; `accepted`, `wrong_place` and
    `kept_running` add up to it. `passed` says nothing where the round was practice.
    """

    round: Round
    family: str
    bad: int
    missed: int
    accepted: int
    wrong_place: int
    kept_running: int
    named_otherwise: int
    clear: int
    clear_missed: int
    good: int
    false_rejects: int
    met_before: int
    median_s: float
    passed: bool


def families_in_rounds(found: Iterable[Meeting]) -> list[FamilyInRound]:
    """Return a row for each sitting and family, oldest first, then by family."""
    rows = list(found)
    by_key: dict[tuple[object, str], list[Meeting]] = defaultdict(list)
    for each in rows:
        by_key[each.round.pk, each.family].append(each)
    return [
        _row(round_, family, by_key[round_.pk, family])
        for round_ in rounds_of(rows)
        for family in sorted(name for key, name in by_key if key == round_.pk)
    ]


def _row(round_: Round, family: str, here: list[Meeting]) -> FamilyInRound:
    bad = [each for each in here if each.bad and each.part is not Part.CRITICAL]
    clear = [each for each in here if each.part is Part.CRITICAL]
    good = [each for each in here if not each.bad]

    def came_to(outcome: Outcome) -> int:
        return sum(each.outcome is outcome for each in bad)

    return FamilyInRound(
        round=round_,
        family=family,
        bad=len(bad),
        missed=sum(each.missed for each in bad),
        accepted=came_to(Outcome.MISSED),
        wrong_place=came_to(Outcome.WRONG_PLACE),
        kept_running=came_to(Outcome.KEPT_RUNNING),
        named_otherwise=sum(each.right and each.named not in ("", family) for each in bad),
        clear=len(clear),
        clear_missed=sum(each.missed for each in clear),
        good=len(good),
        false_rejects=sum(each.reject for each in good),
        met_before=sum(not each.first for each in here),
        median_s=statistics.median(each.seconds for each in here),
        passed=family in round_.families_passed,
    )
