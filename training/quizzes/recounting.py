"""An ended exam counted again where a specimen's decision was turned under the same limits.

A part that turns changes its side: a bad one that was good after all leaves its family's misses and
counts among the good ones, and the other way round. How many errors a plan allows stays as it was.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from training.quizzes.models import SittingEnd
from training.quizzes.scoring import Counts, Part
from training.quizzes.selectors.progress import REJECT, Progress
from training.quizzes.worked_plan import Decided, Verdict, WorkedPlan
from training.specimens.models import ReferenceDecision

Result = SittingEnd.Result


@dataclass(frozen=True)
class Recounted:
    """What an exam comes to: its counts and what they decide, in the words of its end."""

    counts: dict[str, Any]
    result: str
    families_passed: list[str]
    critical_block_passed: bool | None


def recount(
    progress: Progress, end: SittingEnd, decisions: Mapping[UUID, ReferenceDecision]
) -> Recounted:
    """Return what an ended exam comes to under later decisions, by specimen.

    An exam that was stopped as lost, and would not have been, is undecided: the parts that were
    never shown can decide nothing.
    """
    plan, dropped = progress.plan, set()
    for presented in progress.presented:
        later = decisions.get(presented.specimen_id)
        if later is None or later.decision == presented.decision.decision:
            continue
        family = presented.specimen.family.slug
        plan = without(plan, presented.part, family)
        if later.decision == REJECT and family not in plan.bad:
            # Bad after all, of a family this exam did not examine: it counts on neither side.
            dropped.add(presented.pk)
        # In memory only: what was presented is a fact and stays as it is.
        presented.decision = later
        presented.part = Part.BAD if later.decision == REJECT else Part.GOOD
    judged = tuple(each for each in progress.judgements if each.presented_id not in dropped)
    again = replace(progress, plan=plan, judgements=judged)
    counts = again.counts
    return _said(counts, plan, end)


def without(plan: WorkedPlan, part: str, family: str) -> WorkedPlan:
    """Return the plan as it stands once a part of a critical block has turned out good."""
    if part == Part.CRITICAL and family in plan.critical:
        return replace(plan, critical={**plan.critical, family: plan.critical[family] - 1})
    if part == Part.BAD and plan.bad_is_critical:
        return replace(plan, bad={**plan.bad, family: plan.bad[family] - 1})
    return plan


def _said(counts: Counts, plan: WorkedPlan, end: SittingEnd) -> Recounted:
    undecided = Recounted(counts.as_json(), Result.UNDECIDED, [], None)
    if end.reason == SittingEnd.Reason.ABANDONED:
        return undecided
    if end.reason == SittingEnd.Reason.LOST and not plan.is_lost(counts):
        return undecided
    decided = plan.decide(counts)
    return Recounted(
        counts=counts.as_json(),
        result=_result(decided),
        families_passed=decided.families_passed,
        critical_block_passed=decided.critical_block,
    )


def _result(decided: Decided) -> str:
    if decided.passed:
        return Result.PASSED
    open_ = decided.verdicts and all(
        verdict is Verdict.UNDECIDED for verdict in decided.verdicts.values()
    )
    return Result.UNDECIDED if open_ else Result.NOT_PASSED
