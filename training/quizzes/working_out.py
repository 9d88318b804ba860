"""Working a published plan out for the families and the bank of one sitting, and drawing it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from training.quizzes.drawing import Candidate, Draw, draw_practice, good_for
from training.quizzes.lacking import NotExaminableError, Wanted, demand
from training.quizzes.own_plan import OwnTables
from training.quizzes.plan_draw import Numbers, critical_shares, draw_plan
from training.quizzes.plan_rules import MOST_FAMILIES, Rules, own_risks, own_table
from training.quizzes.repeats import round_with_repeats
from training.quizzes.scoring import Part
from training.quizzes.worked_plan import Form, WorkedPlan
from training.statistics.bank_ladder import (
    LEAST_FRESH,
    SHORT_N,
    SHORT_RATE_BAD,
    SHORT_RATE_OK,
    SHORT_RISK,
    BankPlan,
    BankStep,
    best_plan_for_bank,
)
from training.statistics.group_plan import design_group_plan, tighten_group_plan
from training.statistics.sampling_plan import acceptance_probability, most_errors_allowed

__all__ = [
    "Holding",
    "NotExaminableError",
    "Wanted",
    "critical_shares",
    "holdings",
    "work_out",
]

MOST_GOOD: Final = 30
MOST_FALSE_REJECTS: Final = 3


@dataclass(frozen=True, slots=True)
class Holding:
    """What the bank holds of one family for one person, and the rung of the ladder that gives."""

    family: str
    fresh: int
    total: int
    plan: BankPlan

    @property
    def step(self) -> BankStep:
        return self.plan.step


def holdings(
    candidates: Iterable[Candidate],
    families: Iterable[str],
    *,
    own_plan_cap: int | None = None,
) -> dict[str, Holding]:
    """Return what the bank holds of each family: bad specimens fresh today, and in all.

    `own_plan_cap` is the cap of the family's own plan, where that is wanted.
    """
    held: dict[str, list[bool]] = {name: [] for name in families}
    for each in candidates:
        if each.bad and each.family in held:
            held[each.family].append(each.fresh)
    return {
        name: Holding(
            name,
            sum(fresh),
            len(fresh),
            best_plan_for_bank(sum(fresh), len(fresh), own_plan_cap=own_plan_cap),
        )
        for name, fresh in held.items()
    }


def work_out(
    rules: Rules,
    candidates: Sequence[Candidate],
    families: Sequence[str],
    critical: Iterable[str] = (),
    *,
    seed: str,
) -> tuple[WorkedPlan, Draw]:
    """Work a plan out for these families and draw its specimens.

    `critical` names those of the families that are examined at critical level.

    Raises
    ------
    NotExaminableError
        When the bank cannot carry it.
    ValueError
        For no family, one named twice, or more than a sitting should hold.
    """
    names = list(families)
    if not names or len(set(names)) != len(names):
        raise ValueError("Name at least one family, each of them once.")
    if len(names) > MOST_FAMILIES:
        raise ValueError(f"A sitting holds at most {MOST_FAMILIES} families; open two sittings.")
    marked = [name for name in names if name in set(critical)]
    work = {
        Form.GROUP: _group,
        Form.SHORT_BANK: _short,
        Form.FIXED: _fixed,
        Form.OWN: _own,
        Form.PRACTICE: _practice,
    }
    return work[rules.form](rules, candidates, names, marked, seed)


def _group(
    rules: Rules, candidates: Sequence[Candidate], names: list[str], marked: list[str], seed: str
) -> tuple[WorkedPlan, Draw]:
    design = design_group_plan(
        names,
        rules.p_ok,
        rules.p_bad,
        rules.alpha,
        rules.beta,
        good=rules.good,
        false_rejects_allowed=rules.false_rejects_allowed,
    )
    held = holdings(candidates, names)
    demand(
        Wanted(name, Part.BAD, max(design.per_family - each.total, each.plan.wanted_for_next))
        for name, each in held.items()
        if each.step not in (BankStep.OWN, BankStep.GROUP) or each.total < design.per_family
    )
    demand(_good_wanted(candidates, names, design.good))
    numbers = Numbers(
        bad=dict.fromkeys(names, design.per_family),
        allowed=dict.fromkeys(names, design.family_misses_allowed),
        good=design.good,
        refused=design.false_rejects_allowed,
        alpha=design.alpha,
        beta=design.beta,
    )
    draw = draw_plan(rules, candidates, numbers, marked, seed)
    try:
        tight = tighten_group_plan(design, draw.seen_share, rules.p_ok, rules.p_bad, rules.beta)
    except ValueError:
        # Beyond the share that a tighter rule can make good the ladder goes one step down.
        raise NotExaminableError(
            Wanted(name, Part.BAD, max(1, design.per_family - each.fresh))
            for name, each in held.items()
        ) from None
    plan = _worked(
        rules,
        numbers,
        draw,
        misses_allowed=tight.misses_allowed,
        family_misses_allowed=dict.fromkeys(names, tight.family_misses_allowed),
        alpha=f"{tight.alpha:.4f}",
        beta=f"{tight.beta:.4f}",
        tightened=tight.misses_allowed < design.misses_allowed,
    )
    return plan, draw


def _short(
    rules: Rules, candidates: Sequence[Candidate], names: list[str], marked: list[str], seed: str
) -> tuple[WorkedPlan, Draw]:
    """Twelve of each family with one missed, or what there is with none; said on the certificate."""
    held = holdings(candidates, names)
    demand(
        Wanted(name, Part.BAD, LEAST_FRESH - each.fresh)
        for name, each in held.items()
        if each.fresh < LEAST_FRESH
    )
    demand(_good_wanted(candidates, names, LEAST_FRESH))
    bad = {name: min(SHORT_N, each.total) for name, each in held.items()}
    allowed = {
        name: most_errors_allowed(n, SHORT_RATE_BAD, SHORT_RISK) or 0 for name, n in bad.items()
    }
    good = min(MOST_GOOD, rules.good * len(names), len(good_for(candidates, names)))
    refused = most_errors_allowed(good, SHORT_RATE_BAD, SHORT_RISK) or 0
    numbers = Numbers(
        bad=bad,
        allowed=allowed,
        good=good,
        refused=min(MOST_FALSE_REJECTS, refused),
        alpha=max(1 - acceptance_probability(n, allowed[f], SHORT_RATE_OK) for f, n in bad.items()),
        beta=max(acceptance_probability(n, allowed[f], SHORT_RATE_BAD) for f, n in bad.items()),
    )
    draw = draw_plan(rules, candidates, numbers, marked, seed)
    rates = {"p_ok": f"{SHORT_RATE_OK:g}", "p_bad": f"{SHORT_RATE_BAD:g}"}
    return _worked(rules, numbers, draw, **rates), draw


def _fixed(
    rules: Rules, candidates: Sequence[Candidate], names: list[str], marked: list[str], seed: str
) -> tuple[WorkedPlan, Draw]:
    """Fixed numbers for each family; where it says so its bad specimens are the critical block."""
    if rules.bad_is_critical:
        candidates = [each for each in candidates if each.clear or not each.bad]
    demand(
        Wanted(name, Part.BAD, rules.bad - each.total)
        for name, each in holdings(candidates, names).items()
        if each.total < rules.bad
    )
    demand(_good_wanted(candidates, names, rules.good))
    numbers = Numbers(
        bad=dict.fromkeys(names, rules.bad),
        allowed=dict.fromkeys(names, rules.misses_allowed),
        good=rules.good,
        refused=rules.false_rejects_allowed,
        alpha=1 - acceptance_probability(rules.bad, rules.misses_allowed, rules.p_ok),
        beta=acceptance_probability(rules.bad, rules.misses_allowed, rules.p_bad),
    )
    own_block = rules.bad_is_critical and bool(marked)
    draw = draw_plan(rules, candidates, numbers, [] if rules.bad_is_critical else marked, seed)
    return _worked(rules, numbers, draw, bad_is_critical=own_block), draw


def _own(
    rules: Rules, candidates: Sequence[Candidate], names: list[str], marked: list[str], seed: str
) -> tuple[WorkedPlan, Draw]:
    """Draw as many of either side as its plan's cap, for one family; all bad ones are fresh."""
    if len(names) > 1:
        raise ValueError("An own plan examines one family at a time; open a sitting for each.")
    (name,) = names
    critical = bool(marked)
    p_ok, p_bad, _alpha, _beta = own_risks(rules, critical=critical)
    table = own_table(rules, critical=critical)
    held = holdings(candidates, names, own_plan_cap=table.cap)[name]
    if held.step is not BankStep.OWN:
        raise NotExaminableError([Wanted(name, Part.BAD, 2 * table.cap - held.fresh)])
    fresh = [each for each in candidates if each.fresh or each.bad]
    demand(_good_wanted(fresh, names, table.cap))
    numbers = Numbers(
        bad={name: table.cap},
        allowed={name: table.c},
        good=table.cap,
        refused=table.c,
        alpha=table.alpha or 0.0,
        beta=table.beta or 0.0,
    )
    draw = draw_plan(rules, fresh, numbers, [], seed)
    worked = _worked(
        rules,
        numbers,
        draw,
        own=OwnTables(table, table, critical),
        p_ok=f"{p_ok:g}",
        p_bad=f"{p_bad:g}",
    )
    return worked, draw


def _practice(
    rules: Rules, candidates: Sequence[Candidate], names: list[str], marked: list[str], seed: str
) -> tuple[WorkedPlan, Draw]:
    try:
        draw = round_with_repeats(
            draw_practice(candidates, names, rules.length, seed=seed), seed=seed
        )
    except ValueError:
        raise NotExaminableError(Wanted(name, Part.BAD, 1) for name in names) from None
    drawn = [pick.candidate for pick in draw.picks]
    bad = {name: sum(each.bad and each.family == name for each in drawn) for name in names}
    numbers = Numbers(bad, {}, len(drawn) - sum(bad.values()), 0, 0.0, 0.0)
    return _worked(rules, numbers, draw, alpha="", beta=""), draw


def _worked(rules: Rules, numbers: Numbers, draw: Draw, **more: Any) -> WorkedPlan:
    critical: dict[str, int] = {}
    for pick in draw.picks:
        if pick.part is Part.CRITICAL:
            critical[pick.candidate.family] = critical.get(pick.candidate.family, 0) + 1
    values: dict[str, Any] = {
        "form": rules.form,
        "bad": numbers.bad,
        "misses_allowed": None,
        "family_misses_allowed": numbers.allowed,
        "good": numbers.good,
        "false_rejects_allowed": numbers.refused,
        "critical": critical,
        "p_ok": f"{rules.p_ok:g}",
        "p_bad": f"{rules.p_bad:g}",
        "alpha": f"{numbers.alpha:.4f}",
        "beta": f"{numbers.beta:.4f}",
        "stop_when_lost": rules.stop_when_lost,
        "ahead": rules.ahead,
        "least_look_ms": rules.least_look_ms,
        "draw": draw.as_json(),
    }
    return WorkedPlan(**{**values, **more})


def _good_wanted(candidates: Iterable[Candidate], names: list[str], n: int) -> list[Wanted]:
    lacking = n - len(good_for(candidates, names))
    return [Wanted("", Part.GOOD, lacking)] if lacking > 0 else []
