"""What the bank carries under a plan: the bank figure, the four rungs, strata that are not filled."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.utils.translation import gettext as _

from training.quizzes.blueprint import Stratum, quotas, strata_for_bad
from training.quizzes.drawing import FRESH_DAYS, Candidate
from training.quizzes.plan_rules import Rules
from training.quizzes.plan_words import percent
from training.quizzes.selectors.plant_bank import PlantBank
from training.quizzes.words import here, stratum_words
from training.quizzes.worked_plan import Form, WorkedPlan
from training.statistics.bank_ladder import (
    LEAST_FRESH,
    SHORT_N,
    SHORT_PLANTED_PARTS,
    SHORT_RATE_BAD,
    SHORT_RATE_OK,
    SHORT_VALID_MONTHS,
    BankStep,
)

# The rung of the ladder as a key of the look's statuses.
SHAPES: Final = {
    BankStep.OWN: "in_force",
    BankStep.GROUP: "in_force",
    BankStep.SHORT: "short_bank",
    BankStep.NONE: "no_exam",
}


def drawn_of_each(plan: WorkedPlan) -> int:
    """Return how many bad specimens of a family one sitting draws, at least what a group needs."""
    return max(LEAST_FRESH, max(plan.bad.values(), default=0)) if plan.own is None else LEAST_FRESH


def own_cap(plan: WorkedPlan) -> int | None:
    return plan.own.misses.cap if plan.own is not None else None


def bank_figure(bank: PlantBank, plan: WorkedPlan) -> dict[str, Any]:
    """Return the bank figure as the page draws it: families, thresholds, rungs in words."""
    each = drawn_of_each(plan) if plan.form is Form.GROUP else LEAST_FRESH
    cap = own_cap(plan)
    rungs = [
        {"at": each, "word": ""},
        {
            "at": 2 * each,
            "word": _("group plan: %(now)s now, %(all)s in all") % {"now": each, "all": 2 * each},
        },
    ]
    if cap is not None:
        rungs.append({"at": 2 * cap, "word": _("own plan from %(n)s") % {"n": 2 * cap}})
    rows = [
        {
            "name": here(row.family.short),
            "fresh": row.fresh,
            "total": row.total,
            "status": SHAPES[row.plan.step],
            "word": rung_word(row.plan.step),
        }
        for row in sorted(bank.families, key=lambda row: (-row.fresh, -row.total))
    ]
    return {
        "key": "bank",
        "question": _("What can this bank carry?"),
        "method": _(
            "Thick: fresh today for everybody who has not passed within %(days)s days. "
            "Thin to the tick: all that come free within that window."
        )
        % {"days": FRESH_DAYS},
        "rungs": rungs,
        "rows": rows,
    }


def rung_word(step: BankStep) -> str:
    """Return the rung of a family in a word or two."""
    return {
        BankStep.OWN: _("own plan"),
        BankStep.GROUP: _("group plan"),
        BankStep.SHORT: _("short bank"),
        BankStep.NONE: _("no exam yet"),
    }[step]


def rung_rows(plan: WorkedPlan) -> list[tuple[str, str, str]]:
    """Return the four rungs: name, what it needs, what it separates."""
    each = drawn_of_each(plan) if plan.form is Form.GROUP else LEAST_FRESH
    cap = own_cap(plan)
    ok, bad = percent(float(plan.p_ok)), percent(float(plan.p_bad))
    own = _("twice what its plan may ask for")
    if cap is not None:
        own = _("%(n)s fresh bad (2 × %(cap)s)") % {"n": 2 * cap, "cap": cap}
    return [
        (
            _("a Own plan"),
            own,
            _("this family alone: %(ok)s from %(bad)s") % {"ok": ok, "bad": bad},
        ),
        (
            _("b Group plan"),
            _("%(now)s fresh now, %(all)s in all within the window")
            % {"now": each, "all": 2 * each},
            _("the group; of one family: stops who misses half"),
        ),
        (
            _("c Short bank"),
            _("%(least)s fresh; draws up to %(n)s; 1 miss allowed of %(n)s")
            % {"least": LEAST_FRESH, "n": SHORT_N},
            _("%(ok)s from %(bad)s; %(months)s months; marked; %(planted)s planted parts")
            % {
                "ok": percent(SHORT_RATE_OK),
                "bad": percent(SHORT_RATE_BAD),
                "months": SHORT_VALID_MONTHS,
                "planted": SHORT_PLANTED_PARTS,
            },
        ),
        (
            _("d No exam"),
            _("fewer than %(n)s") % {"n": LEAST_FRESH},
            _("lesson, observed check, named buddy"),
        ),
    ]


@dataclass(frozen=True, slots=True)
class BlueprintRow:
    """One stratum: its share, how many a sitting draws of a family, and which families lack it.

    `lacking` says for each such family what it holds and what one sitting would draw.
    """

    part: str
    range: str
    share: float
    each: int
    lacking: tuple[str, ...]


def blueprint_rows(rules: Rules, plan: WorkedPlan, bank: PlantBank) -> list[BlueprintRow]:
    """Return the blueprint with the strata that the bank cannot fill: shown, never borrowed."""
    examined = [row for row in bank.families if row.plan.step is not BankStep.NONE]
    each = max(plan.bad.values(), default=0)
    rows = []
    for stratum in rules.bad_strata:
        quota = quotas(each, rules.bad_strata)[stratum.code]
        lacking = [
            _("%(family)s %(held)s of %(quota)s")
            % {"family": here(row.family.short), "held": held, "quota": quota}
            for row in examined
            if strata_for_bad([one.ratio for one in row.bad], rules.bad_strata) == rules.bad_strata
            and (held := in_stratum(row.bad, stratum)) < quota
        ]
        rows.append(
            BlueprintRow(_("bad"), stratum_words(stratum), stratum.share, quota, tuple(lacking))
        )
    good = [one for one in bank.candidates if not one.bad]
    for stratum in rules.good_strata:
        quota = quotas(plan.good, rules.good_strata)[stratum.code]
        held = in_stratum(good, stratum)
        words = (_("%(held)s of %(quota)s in the whole bank") % {"held": held, "quota": quota},)
        rows.append(
            BlueprintRow(
                _("good"),
                stratum_words(stratum),
                stratum.share,
                quota,
                words if held < quota else (),
            )
        )
    return rows


def in_stratum(candidates: Sequence[Candidate], stratum: Stratum) -> int:
    return sum(stratum.holds(each.ratio) for each in candidates)


@dataclass(frozen=True, slots=True)
class SyntheticShare:
    """How much of the bank is drawn by program, and the most that a draw may be."""

    drawn: int
    of: int
    most: int

    @property
    def over(self) -> bool:
        return self.of > 0 and 100 * self.drawn > self.most * self.of


def synthetic_share(rules: Rules, bank: PlantBank) -> SyntheticShare:
    drawn = sum(each.synthetic for each in bank.candidates)
    return SyntheticShare(drawn, len(bank.candidates), rules.most_synthetic)
