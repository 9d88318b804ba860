"""Rows as the pages of quizzes show them: names in the reader's language, shapes and short words."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Final

from django.utils.translation import gettext as _

from training.quizzes.blueprint import Strata
from training.quizzes.ladder import Ladder
from training.quizzes.plan_rules import Rules
from training.quizzes.selectors.exercises import ExerciseOption
from training.quizzes.selectors.opening import FamilyOption, GroupOption
from training.quizzes.selectors.practice import PracticeGroup
from training.quizzes.selectors.results import FamilyResult, Result
from training.quizzes.words import here, stratum_words
from training.quizzes.worked_plan import Verdict
from training.specimens.models import SpecimenSet
from training.statistics.bank_ladder import BankStep


def practice_rows(groups: Iterable[PracticeGroup]) -> list[dict[str, Any]]:
    return [
        {
            "group": each.group,
            "name": here(each.group.name),
            "rows": [
                {
                    "family": row.family,
                    "name": here(row.family.name),
                    "total": row.total,
                    "unseen": row.unseen,
                    "last": row.last,
                    "contrasts": SpecimenSet.Kind.CONTRAST in row.sets,
                    "ladders": SpecimenSet.Kind.LADDER in row.sets,
                }
                for row in each.rows
            ],
        }
        for each in groups
    ]


def exercise_rows(options: Iterable[ExerciseOption]) -> list[dict[str, Any]]:
    """Return the families an exercise can be done on, with when it was done last."""
    return [
        {
            "family": each.family,
            "name": here(each.family.name),
            "sets": each.sets,
            "last": each.last,
        }
        for each in options
    ]


# The rung of the ladder as a key of the look's statuses.
RUNGS: Final = {
    BankStep.OWN: "in_force",
    BankStep.GROUP: "in_force",
    BankStep.SHORT: "short_bank",
    BankStep.NONE: "no_exam",
}

WHOLE: Final = Ladder()


def option_rows(groups: Iterable[GroupOption], ladder: Ladder = WHOLE) -> list[dict[str, Any]]:
    """Return the families that can be examined as rows, and the others with what they lack."""
    rows = []
    for each in groups:
        options = [_option(row, ladder) for row in each.families]
        rows.append(
            {
                "name": here(each.group.name),
                "rows": [row for row in options if row["rung"] != "no_exam"],
                "lacking": [row for row in options if row["rung"] == "no_exam"],
            }
        )
    return sorted(rows, key=lambda row: not row["rows"])


def _option(row: FamilyOption, ladder: Ladder) -> dict[str, Any]:
    step = ladder.carried(row.holding.step)
    rung = RUNGS[step] if step is not None else "short_bank"
    waiting = []
    if row.holding.plan.wanted:
        waiting.append(_("%(n)s more bad") % {"n": row.holding.plan.wanted})
    if row.without_outline:
        waiting.append(_("%(n)s without an outline") % {"n": row.without_outline})
    if row.undecided:
        waiting.append(_("%(n)s to be decided for the limits in force") % {"n": row.undecided})
    return {
        "slug": row.family.slug,
        "name": here(row.family.name),
        "short": here(row.family.short),
        "need": row.need,
        "fresh": row.holding.fresh,
        "total": row.holding.total,
        "rung": rung,
        "rung_word": _rung_word(step),
        "wanted": "; ".join(waiting),
        "last_at": row.last_at,
        "last_word": last_words()[row.last_result],
    }


def _rung_word(step: BankStep | None) -> str:
    if step is None:
        return _("Only by another plan")
    return _("Short-bank plan") if step is BankStep.SHORT else _("Group plan")


def last_words() -> dict[str, str]:
    """Return how the last exam of a family ended, in words."""
    return {
        "passed": _("passed"),
        "not_passed": _("not passed"),
        "undecided": _("broken off"),
        "": "",
    }


VERDICTS: Final = {
    Verdict.PASSED: "done",
    Verdict.GROUP_MISSES: "not_yet",
    Verdict.FALSE_REJECTS: "not_yet",
    Verdict.FAMILY_MISSES: "not_yet",
    Verdict.UNDECIDED: "open",
}


def family_rows(result: Result) -> list[dict[str, Any]]:
    """Return a result family by family, those not passed first."""
    rows = [_family(row, practice=result.is_practice) for row in result.families]
    return sorted(rows, key=lambda row: row["shape"] == "done")


def _family(row: FamilyResult, *, practice: bool) -> dict[str, Any]:
    words = {
        Verdict.PASSED: _("Passed"),
        Verdict.GROUP_MISSES: _("Not passed: too many missed in the group"),
        Verdict.FALSE_REJECTS: _("Not passed: too many good parts refused"),
        Verdict.FAMILY_MISSES: _("Not passed: too many missed in this family"),
        Verdict.UNDECIDED: _("Not decided"),
    }
    missed = row.count.missed > 0
    return {
        "slug": row.family.slug,
        "name": here(row.family.name),
        "critical": row.critical,
        "shape": VERDICTS[row.verdict],
        "word": words[row.verdict],
        "missed": row.missed,
        "allowed": row.allowed,
        "how": _how(row),
        "read_again": missed and (practice or row.verdict is not Verdict.PASSED),
    }


def _how(row: FamilyResult) -> str:
    """Say how bad parts were missed and what was named otherwise."""
    count = row.count
    accepted = count.missed - count.wrong_place - count.kept_running
    said = [
        (accepted, _("%(n)s accepted")),
        (count.wrong_place, _("%(n)s right answer, wrong place")),
        (count.kept_running, _("%(n)s rejected and kept running")),
        (count.named_otherwise, _("%(n)s found under another name")),
    ]
    return ", ".join(words % {"n": n} for n, words in said if n)


@dataclass(frozen=True, slots=True)
class StratumRow:
    """One line of a blueprint."""

    part: str
    range: str
    share: float


def strata_rows(rules: Rules) -> list[StratumRow]:
    return _strata(_("bad"), rules.bad_strata) + _strata(_("good"), rules.good_strata)


def _strata(part: str, strata: Strata) -> list[StratumRow]:
    return [StratumRow(part, stratum_words(each), each.share) for each in strata]
