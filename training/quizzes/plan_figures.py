"""Everything a page shows of a plan in figures: curves, risks, lengths, bank, blueprint, shares."""

import datetime as dt
from typing import Any

from training.quizzes.bank_rows import (
    bank_figure,
    blueprint_rows,
    drawn_of_each,
    own_cap,
    rung_rows,
    synthetic_share,
)
from training.quizzes.full_bank import usual_case, with_full_bank
from training.quizzes.ladder import ladder_of
from training.quizzes.plan_rules import Rules
from training.quizzes.plan_words import (
    length_rows,
    numbers_words,
    operating,
    operating_good_side,
    risk_words,
    rule_words,
    worth_words,
)
from training.quizzes.selectors.plans import plan_standings
from training.quizzes.selectors.plant_bank import plant_bank
from training.quizzes.worked_plan import Form


def plan_figures(rules: Rules, size: int, day: dt.date) -> dict[str, Any]:
    """Return the context of quizzes/_plan_figures.html; `size` families, 0 for the usual case.

    Costs seven queries for the bank, two for the plans in force.
    """
    worked = usual_case(rules, size)
    bank = plant_bank(day, own_plan_cap=own_cap(worked), per_family=drawn_of_each(worked))
    ladder = ladder_of(plan_standings(day), rules.form)
    levels = []
    if rules.form is Form.OWN:
        critical = with_full_bank(rules, 1, critical=1)
        levels = [(critical.total, length_rows(critical), risk_words(critical))]
    return {
        "numbers": numbers_words(worked),
        "rules_said": rule_words(worked),
        "risks": risk_words(worked),
        "operating": operating(worked),
        "operating_good": operating_good_side(worked),
        "worth": worth_words(worked),
        "lengths": length_rows(worked),
        "critical_level": levels,
        "is_own": rules.form is Form.OWN,
        "bank": bank_figure(bank, worked, ladder) if rules.pictured else None,
        "rungs": rung_rows(worked, ladder),
        "blueprint": blueprint_rows(rules, worked, bank, ladder) if rules.pictured else [],
        "synthetic": synthetic_share(rules, bank),
    }
