"""The ladder of a bank on a day: which rungs stand, and which fell with a plan that was withdrawn."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final

from training.quizzes.models import ExamPlan, PlanReview
from training.quizzes.selectors.plans import PlanStanding
from training.quizzes.services.plans import GROUP, SHORT_BANK
from training.quizzes.worked_plan import Form
from training.statistics.bank_ladder import BankStep

DOWN: Final = (BankStep.OWN, BankStep.GROUP, BankStep.SHORT)
OF_FORM: Final = {
    Form.OWN: BankStep.OWN,
    Form.GROUP: BankStep.GROUP,
    Form.SHORT_BANK: BankStep.SHORT,
}


@dataclass(frozen=True, slots=True)
class Ladder:
    """The rungs whose plans are in force, and the reviews that withdrew the plans of others."""

    stand: frozenset[BankStep] = frozenset(DOWN)
    withdrawn: Mapping[BankStep, PlanReview] = field(default_factory=dict)

    def carried(self, step: BankStep) -> BankStep | None:
        """Return the best rung that a bank fills and that stands, or None without any."""
        if step is BankStep.NONE:
            return step
        rungs = DOWN[DOWN.index(step) :]
        return next((rung for rung in rungs if rung in self.stand), None)


def ladder_of(standings: Iterable[PlanStanding], shown: Form | None = None) -> Ladder:
    """Return the ladder under the plans as they stand on a day.

    Exams of groups and of short banks are opened under the plans of these codes, exams of one family
    by any own plan. With `shown` the rung of that form stands in any case: it is what a page shows.
    """
    stand, withdrawn = set(), {}
    for each in standings:
        rung = _rung(each.plan)
        if rung is None:
            continue
        if each.withdrawn is None:
            stand.add(rung)
        else:
            withdrawn[rung] = each.withdrawn
    if shown in OF_FORM:
        stand.add(OF_FORM[shown])
    return Ladder(
        frozenset(stand), {rung: by for rung, by in withdrawn.items() if rung not in stand}
    )


def _rung(plan: ExamPlan) -> BankStep | None:
    codes = {GROUP: BankStep.GROUP, SHORT_BANK: BankStep.SHORT}
    return BankStep.OWN if plan.form == Form.OWN else codes.get(plan.code)
