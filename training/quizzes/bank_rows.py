"""What the bank carries under a plan: the bank figure, the four rungs, strata that are not filled."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from django.utils.translation import gettext as _

from training.quizzes.blueprint import Stratum, quotas, strata_for_bad
from training.quizzes.drawing import FRESH_DAYS, Candidate
from training.quizzes.ladder import DOWN, Ladder
from training.quizzes.models import PlanReview
from training.quizzes.plan_rules import Rules
from training.quizzes.plan_words import percent
from training.quizzes.selectors.plant_bank import PlantBank
from training.quizzes.withdrawn_words import withdrawn_text
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


def bank_figure(bank: PlantBank, plan: WorkedPlan, ladder: Ladder) -> dict[str, Any]:
    """Return the bank figure as the page draws it: families, thresholds, rungs that stand."""
    each = drawn_of_each(plan) if plan.form is Form.GROUP else LEAST_FRESH
    cap = own_cap(plan)
    rungs = []
    if {BankStep.SHORT, BankStep.GROUP} & ladder.stand:
        rungs.append({"at": each, "word": ""})
    if BankStep.GROUP in ladder.stand:
        word = _("group plan: %(now)s now, %(all)s in all") % {"now": each, "all": 2 * each}
        rungs.append({"at": 2 * each, "word": word})
    if cap is not None:
        rungs.append({"at": 2 * cap, "word": _("own plan from %(n)s") % {"n": 2 * cap}})
    rows = [
        {
            "name": here(row.family.short),
            "fresh": row.fresh,
            "total": row.total,
            "status": SHAPES[step] if step is not None else "no_exam",
            "word": rung_word(step),
        }
        for row in sorted(bank.families, key=lambda row: (-row.fresh, -row.total))
        for step in [ladder.carried(row.plan.step)]
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


def rung_word(step: BankStep | None) -> str:
    """Return the rung of a family in a word or two; None is a rung that does not stand."""
    if step is None:
        return _("only by another plan")
    return {
        BankStep.OWN: _("own plan"),
        BankStep.GROUP: _("group plan"),
        BankStep.SHORT: _("short bank"),
        BankStep.NONE: _("no exam yet"),
    }[step]


@dataclass(frozen=True, slots=True)
class RungRow:
    """One rung: its name, what it needs and separates, or why it does not stand on this day."""

    name: str
    needs: str
    separates: str
    fallen: tuple[str, ...] = ()


def rung_rows(plan: WorkedPlan, ladder: Ladder) -> list[RungRow]:
    """Return the four rungs as they stand; of a plan that is not in force only why."""
    each = drawn_of_each(plan) if plan.form is Form.GROUP else LEAST_FRESH
    cap = own_cap(plan)
    ok, bad = percent(float(plan.p_ok)), percent(float(plan.p_bad))
    own = _("twice what its plan may ask for")
    if cap is not None:
        own = _("%(n)s fresh bad (2 × %(cap)s)") % {"n": 2 * cap, "cap": cap}
    rows = [
        RungRow(
            _("a Own plan"),
            own,
            _("this family alone: %(ok)s from %(bad)s") % {"ok": ok, "bad": bad},
        ),
        RungRow(
            _("b Group plan"),
            _("%(now)s fresh now, %(all)s in all within the window")
            % {"now": each, "all": 2 * each},
            _("the group; of one family: stops who misses half"),
        ),
        RungRow(
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
        RungRow(
            _("d No exam"),
            _("fewer than %(n)s") % {"n": LEAST_FRESH},
            _("lesson, observed check, named buddy"),
        ),
    ]
    steps = (*DOWN, BankStep.NONE)
    return [
        row
        if step is BankStep.NONE or step in ladder.stand
        else replace(row, fallen=_fallen(ladder.withdrawn.get(step)))
        for step, row in zip(steps, rows, strict=True)
    ]


def _fallen(review: PlanReview | None) -> tuple[str, ...]:
    """Say why a rung does not stand: by which review its plan was withdrawn, and for what reason."""
    if review is None:
        return (_("No plan of this kind is in force."),)
    reason = (review.words.text if review.words else "").strip()
    said = (withdrawn_text(review),)
    return (*said, _("Why: %(reason)s") % {"reason": reason}) if reason else said


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


def blueprint_rows(
    rules: Rules, plan: WorkedPlan, bank: PlantBank, ladder: Ladder
) -> list[BlueprintRow]:
    """Return the blueprint with the strata that the bank cannot fill: shown, never borrowed."""
    examined = [row for row in bank.families if ladder.carried(row.plan.step) in ladder.stand]
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
