"""The parameters of a published exam plan, read and checked."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from training.quizzes.blueprint import BAD, GOOD, Strata, read_strata
from training.quizzes.worked_plan import OPEN_ENDED, Form
from training.statistics.group_plan import critical_block, design_group_plan
from training.statistics.sampling_plan import DecisionTable
from training.statistics.sequential_plan import design_sequential

# Common practice, no source: a forced look removes careless answers on easy specimens.
LEAST_LOOK_MS: Final = 2000
AHEAD: Final = 5
# One night between two tries, and three of them: common practice, no source.
WAIT_DAYS: Final = 1
TRIES: Final = 3
MOST_FAMILIES: Final = 7


@dataclass(frozen=True)
class Rules:
    """Everything a published plan fixes before families and specimens are known.

    Attributes
    ----------
    p_ok, p_bad, alpha, beta : float
        Miss rates that the group plan separates, and its risks; of both sides of an own plan.
    bad : int
        Bad specimens of each family; 0 where the plan works the number out.
    misses_allowed : int
        Of a family's own, for the fixed plan.
    good, false_rejects_allowed : int
        Good specimens and most of them rejected; of each family for the short-bank plan.
    critical_p_bad, critical_beta : float
        What the critical block stops, and with which risk; of an own plan at critical level what
        `p_bad` and `beta` are at the ordinary one.
    critical_p_ok, critical_alpha : float
        Beside them the rate that should pass an own plan at critical level, and its risk.
    most_synthetic : int
        Largest share of a draw that may be drawn by program, in per cent.
    bad_is_critical : bool
        The bad specimens are clear ones and are themselves the critical block.
    pictured : bool
        Whether specimens are pictures; else numbered parts, or both.
    length : int
        Specimens of a practice round.
    wait_days, tries : int
        Calendar days from an exam that was not passed to the next try, and exams of a family not
        passed within 90 days after which quality releases another.
    bad_strata, good_strata : Strata
        The blueprint.
    """

    form: Form
    p_ok: float = 0.05
    p_bad: float = 0.20
    alpha: float = 0.05
    beta: float = 0.10
    bad: int = 0
    misses_allowed: int = 0
    good: int = 30
    false_rejects_allowed: int = 3
    critical_p_bad: float = 0.10
    critical_beta: float = 0.05
    critical_p_ok: float = 0.02
    critical_alpha: float = 0.05
    bad_is_critical: bool = False
    pictured: bool = True
    most_synthetic: int = 100
    length: int = 12
    stop_when_lost: bool = True
    least_look_ms: int = LEAST_LOOK_MS
    ahead: int = AHEAD
    wait_days: int = WAIT_DAYS
    tries: int = TRIES
    bad_strata: Strata = BAD
    good_strata: Strata = GOOD


# What may be set in each kind of plan, beside what every plan has.
COMMON: Final = frozenset({"pictured", "stop_when_lost", "least_look_ms", "ahead"})
AGAIN: Final = frozenset({"wait_days", "tries"})
STRATA: Final = frozenset({"bad_strata", "good_strata", "most_synthetic"})
BLOCK: Final = frozenset({"critical_p_bad", "critical_beta"})
RISKS: Final = frozenset({"p_ok", "p_bad", "alpha", "beta"})
OWN_RISKS: Final = RISKS | {"critical_p_ok", "critical_p_bad", "critical_alpha", "critical_beta"}
SETTABLE: Final[Mapping[Form, frozenset[str]]] = {
    Form.GROUP: COMMON | AGAIN | STRATA | BLOCK | RISKS | {"good", "false_rejects_allowed"},
    Form.SHORT_BANK: COMMON | AGAIN | STRATA | BLOCK | {"good"},
    Form.FIXED: COMMON
    | AGAIN
    | STRATA
    | {"bad", "misses_allowed", "good", "false_rejects_allowed", "bad_is_critical"},
    Form.OWN: (COMMON - {"stop_when_lost"}) | AGAIN | STRATA | OWN_RISKS,
    Form.PRACTICE: COMMON | {"length"},
    # Every part is judged: a study's round is never stopped before its end.
    Form.STUDY: COMMON - {"stop_when_lost"},
}
DEFAULTS: Final[Mapping[Form, Mapping[str, Any]]] = {
    Form.GROUP: {},
    Form.SHORT_BANK: {"good": 12},
    Form.FIXED: {"bad": 8, "misses_allowed": 1, "good": 4, "false_rejects_allowed": 1},
    # Both numbers of an own plan follow from its risks.
    Form.OWN: {"critical_beta": 0.10},
    Form.PRACTICE: {"good": 0, "false_rejects_allowed": 0, "least_look_ms": 0},
    Form.STUDY: {"good": 0, "false_rejects_allowed": 0, "stop_when_lost": False},
}


def read_rules(form: str, parameters: Mapping[str, Any]) -> Rules:
    """Return the rules of a published plan.

    Raises
    ------
    ValueError
        For a parameter that the form does not have, or a value that cannot hold; the message says
        which and what to give instead.
    """
    kind = Form(form)
    unknown = sorted(set(parameters) - SETTABLE[kind])
    if unknown:
        allowed = ", ".join(sorted(SETTABLE[kind]))
        raise ValueError(f"A {kind} plan has no parameter {unknown[0]!r}; it has {allowed}.")
    values = {**DEFAULTS[kind], **parameters}
    for name, default in (("bad_strata", BAD), ("good_strata", GOOD)):
        values[name] = read_strata(values.get(name, ()), default)
    rules = Rules(form=kind, **values)
    _check_numbers(rules)
    if kind is Form.GROUP:
        design_group_plan(
            5,
            rules.p_ok,
            rules.p_bad,
            rules.alpha,
            rules.beta,
            good=rules.good,
            false_rejects_allowed=rules.false_rejects_allowed,
        )
    if kind is Form.OWN:
        for level in (False, True):
            own_table(rules, critical=level)
    elif SETTABLE[kind] >= BLOCK:
        critical_block(rules.critical_p_bad, rules.critical_beta)
    return rules


def own_risks(rules: Rules, *, critical: bool) -> tuple[float, float, float, float]:
    """Return p_ok, p_bad, alpha and beta of both sides of an own plan at a level."""
    if critical:
        return (
            rules.critical_p_ok,
            rules.critical_p_bad,
            rules.critical_alpha,
            rules.critical_beta,
        )
    return rules.p_ok, rules.p_bad, rules.alpha, rules.beta


def own_table(rules: Rules, *, critical: bool) -> DecisionTable:
    """Return the plan of each side of an own plan at a level; cached."""
    return design_sequential(*own_risks(rules, critical=critical))


def _check_numbers(rules: Rules) -> None:
    at_least = {
        "ahead": (rules.ahead, 0),
        "least_look_ms": (rules.least_look_ms, 0),
        "length": (rules.length, 2),
        "wait_days": (rules.wait_days, 0),
        "tries": (rules.tries, 1),
        "misses_allowed": (rules.misses_allowed, 0),
        "false_rejects_allowed": (rules.false_rejects_allowed, 0),
        "good": (rules.good, 0 if rules.form in OPEN_ENDED else 1),
        "bad": (rules.bad, 1 if rules.form is Form.FIXED else 0),
        "most_synthetic": (rules.most_synthetic, 0),
    }
    for name, (value, least) in at_least.items():
        if value != int(value) or value < least:
            raise ValueError(f"{name} is {value!r}: give a whole number of at least {least}.")
    if rules.most_synthetic > 100:
        raise ValueError(f"most_synthetic is {rules.most_synthetic!r}: give 0 to 100 per cent.")
    if rules.form is Form.FIXED and rules.misses_allowed >= rules.bad:
        raise ValueError("misses_allowed must be below the number of bad specimens.")
    decided = rules.form in (Form.GROUP, Form.FIXED)
    if decided and rules.false_rejects_allowed >= rules.good:
        raise ValueError("false_rejects_allowed must be below the number of good specimens.")
    if rules.bad_is_critical and rules.misses_allowed:
        raise ValueError("Where the bad specimens are the critical block none may be missed.")
