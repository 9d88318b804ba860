"""What a published plan comes to with a full bank: the numbers shown before any family is named."""

from training.quizzes.drawing import Candidate
from training.quizzes.plan_rules import Rules, own_table
from training.quizzes.worked_plan import Form, WorkedPlan
from training.quizzes.working_out import work_out

ENOUGH = 60
RATIOS = (1.1, 1.5, 2.5)


def usual_case(rules: Rules, families: int = 0) -> WorkedPlan:
    """Return the plan with a full bank for the case its pages show first.

    A group plan for so many families, two of them critical; the others for one family, critical
    where the plan knows a block. An own plan is shown at the ordinary level.
    """
    size = families or (5 if rules.form is Form.GROUP else 1)
    critical = {Form.GROUP: 2, Form.OWN: 0}.get(rules.form, 1)
    return with_full_bank(rules, size, critical=min(size, critical))


def with_full_bank(rules: Rules, families: int, *, critical: int = 0) -> WorkedPlan:
    """Return the plan for so many families, all of them with fresh specimens enough.

    `critical` of the families are examined at critical level.
    """
    enough = ENOUGH
    if rules.form is Form.OWN:
        enough = 2 * own_table(rules, critical=bool(critical)).cap
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
        for place in range(enough)
    ]
    plan, _draw = work_out(rules, bank, names, names[:critical], seed="full bank")
    return plan


def shown_sizes(form: str) -> tuple[int, ...]:
    """Return for how many families a plan is shown: the group plan for each size of group."""
    return (4, 5, 6, 7) if form == Form.GROUP else (1,)
