"""What a published plan comes to with a full bank: the numbers shown before any family is named."""

from training.quizzes.drawing import Candidate
from training.quizzes.plan_rules import Rules
from training.quizzes.worked_plan import Form, WorkedPlan
from training.quizzes.working_out import work_out

ENOUGH = 60
RATIOS = (1.1, 1.5, 2.5)


def with_full_bank(rules: Rules, families: int, *, critical: int = 0) -> WorkedPlan:
    """Return the plan for so many families, all of them with fresh specimens enough.

    `critical` of the families are examined at critical level.
    """
    names = [str(place + 1) for place in range(families)]
    bank = [
        Candidate(
            key=f"{name}-{kind}-{place}",
            family=name,
            bad=kind == "bad",
            ratio=RATIOS[place % len(RATIOS)] if kind == "bad" else None,
            clear=True,
        )
        for name in names
        for kind in ("bad", "good")
        for place in range(ENOUGH)
    ]
    plan, _draw = work_out(rules, bank, names, names[:critical], seed="full bank")
    return plan


def shown_sizes(form: str) -> tuple[int, ...]:
    """Return for how many families a plan is shown: the group plan for each size of group."""
    return (4, 5, 6, 7) if form == Form.GROUP else (1,)
