"""A plan worked out for the families and specimens of one sitting, and what its counts decide."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, Self

from training.quizzes.own_plan import OwnTables
from training.quizzes.scoring import Counts
from training.statistics.group_plan import GroupPlan, GroupVerdict, decide_group, group_lost
from training.statistics.sampling_plan import Decision


class Form(StrEnum):
    """Kinds of rule a sitting can be under."""

    GROUP = "group"
    SHORT_BANK = "short_bank"
    FIXED = "fixed"
    OWN = "own"
    PRACTICE = "practice"
    STUDY = "study"


# Forms that end when all is judged and decide nothing.
OPEN_ENDED = (Form.PRACTICE, Form.STUDY)


class Verdict(StrEnum):
    """What a sitting says of one family."""

    PASSED = "passed"
    GROUP_MISSES = "group_misses"
    FALSE_REJECTS = "false_rejects"
    FAMILY_MISSES = "family_misses"
    UNDECIDED = "undecided"


OF_GROUP = {
    GroupVerdict.CERTIFIED: Verdict.PASSED,
    GroupVerdict.GROUP_MISSES: Verdict.GROUP_MISSES,
    GroupVerdict.GROUP_FALSE_REJECTS: Verdict.FALSE_REJECTS,
    GroupVerdict.FAMILY_MISSES: Verdict.FAMILY_MISSES,
}


@dataclass(frozen=True)
class Decided:
    """What a finished or lost sitting comes to.

    `passed` is the rule of the whole sitting, `verdicts` of each family; `critical_block` is None
    where the sitting held no critical block.
    """

    passed: bool
    verdicts: dict[str, Verdict]
    critical_block: bool | None

    @property
    def families_passed(self) -> list[str]:
        return [name for name, verdict in self.verdicts.items() if verdict is Verdict.PASSED]


@dataclass(frozen=True)
class WorkedPlan:
    """Numbers of specimens and the errors allowed, as one sitting was drawn.

    Attributes
    ----------
    bad : dict of str to int
        Bad specimens drawn for each family, in plan order.
    misses_allowed : int or None
        Most misses over the whole group; None where each family is decided by itself.
    family_misses_allowed : dict of str to int
        Most misses among a family's own bad specimens.
    good, false_rejects_allowed : int
        Good specimens, and most of them rejected.
    critical : dict of str to int
        Clear specimens of the critical block by family; none may be missed. Empty without one.
    bad_is_critical : bool
        The bad specimens are clear ones and are themselves the critical block.
    p_ok, p_bad : str
        Miss rates that the plan separates, as decimals in text, because facts hold no binary
        fractions.
    alpha, beta : str
        Exact risks of the miss rule at these rates, as decimals in text.
    tightened : bool
        Fewer misses allowed than usual, because some specimens were met before.
    stop_when_lost : bool
        Whether the sitting ends as soon as it can no longer be passed.
    ahead : int
        How many specimens may be handed out beyond the one to be judged.
    least_look_ms : int
        Shortest look before an answer counts.
    draw : dict
        What the draw found: specimens met before, from the person's jobs, strata unfilled.
    own : OwnTables or None
        The plans of both sides where one family is judged until both are decided; `bad` and `good`
        are then their caps.
    """

    form: Form
    bad: dict[str, int]
    misses_allowed: int | None
    family_misses_allowed: dict[str, int]
    good: int
    false_rejects_allowed: int
    critical: dict[str, int] = field(default_factory=dict)
    bad_is_critical: bool = False
    alpha: str = ""
    beta: str = ""
    tightened: bool = False
    stop_when_lost: bool = True
    ahead: int = 5
    least_look_ms: int = 2000
    draw: dict[str, Any] = field(default_factory=dict)
    p_ok: str = "0.05"
    p_bad: str = "0.2"
    own: OwnTables | None = None

    @property
    def total_bad(self) -> int:
        return sum(self.bad.values())

    @property
    def total(self) -> int:
        """Judgements of the whole sitting: a cap where it may be decided earlier."""
        return self.total_bad + self.good + sum(self.critical.values())

    @property
    def examines_critical(self) -> bool:
        """Whether passing may give the critical level: by a block of clear parts, or by its risks."""
        by_risks = self.own is not None and self.own.critical
        return bool(self.critical) or self.bad_is_critical or by_risks

    @property
    def exercise(self) -> str:
        """The exercise that shows parts together, see `training.quizzes.exercises`; "" without."""
        return str(self.draw.get("exercise", ""))

    def group_plan(self) -> GroupPlan | None:
        """Return the plan of the group, or None where families are decided one by one."""
        if self.misses_allowed is None or not self.bad:
            return None
        first = next(iter(self.bad))
        return GroupPlan(
            families=tuple(self.bad),
            per_family=self.bad[first],
            misses_allowed=self.misses_allowed,
            family_misses_allowed=self.family_misses_allowed[first],
            good=self.good,
            false_rejects_allowed=self.false_rejects_allowed,
            alpha=float(self.alpha or 0),
            beta=float(self.beta or 0),
        )

    def is_lost(self, counts: Counts) -> bool:
        """Return whether the sitting can no longer certify any family."""
        if self.form in OPEN_ENDED or self.own is not None:
            return False
        group = self.group_plan()
        if group is not None:
            return group_lost(group, counts.missed, counts.false_rejects)
        return counts.false_rejects > self.false_rejects_allowed or all(
            counts.families[name].missed > allowed
            for name, allowed in self.family_misses_allowed.items()
        )

    def is_over(self, counts: Counts) -> bool:
        """Return whether the next specimen would no longer be shown."""
        if self.own is not None:
            return Decision.CONTINUE not in self.sides(counts)
        return counts.judged >= self.total or (self.stop_when_lost and self.is_lost(counts))

    def sides(self, counts: Counts) -> tuple[Decision, ...]:
        """Return how misses and false rejects stand under a family's own plan; else nothing."""
        if self.own is None:
            return ()
        return (
            self.own.miss_side(counts.missed, counts.bad),
            self.own.good_side(counts.false_rejects, counts.good),
        )

    def decide(self, counts: Counts) -> Decided:
        """Return what the counts of a finished or lost sitting decide."""
        if self.own is not None:
            return self._decide_own(self.own, counts)
        block = self._block(counts)
        if self.form in OPEN_ENDED:
            return Decided(False, dict.fromkeys(self.bad, Verdict.UNDECIDED), None)
        group = self.group_plan()
        if group is not None:
            missed = {name: counts.families[name].missed for name in self.bad}
            decision = decide_group(group, missed, counts.false_rejects)
            verdicts = {name: OF_GROUP[verdict] for name, verdict in decision.verdicts.items()}
            return Decided(decision.passed, verdicts, block)
        verdicts = {name: self._own_verdict(name, counts) for name in self.bad}
        return Decided(Verdict.PASSED in verdicts.values(), verdicts, block)

    def _decide_own(self, own: OwnTables, counts: Counts) -> Decided:
        misses, false_rejects = self.sides(counts)
        if Decision.CONTINUE in (misses, false_rejects):
            verdict = Verdict.UNDECIDED
        elif false_rejects is Decision.REJECT:
            verdict = Verdict.FALSE_REJECTS
        else:
            verdict = Verdict.PASSED if misses is Decision.ACCEPT else Verdict.FAMILY_MISSES
        passed = verdict is Verdict.PASSED
        # The risks of the critical level take the place of the block; failing grants nothing anyway.
        return Decided(
            passed, dict.fromkeys(self.bad, verdict), True if passed and own.critical else None
        )

    def _block(self, counts: Counts) -> bool | None:
        if self.bad_is_critical:
            return counts.bad == self.total_bad and counts.missed == 0
        if not self.critical:
            return None
        return counts.critical_bad == sum(self.critical.values()) and counts.critical_missed == 0

    def _own_verdict(self, name: str, counts: Counts) -> Verdict:
        if counts.false_rejects > self.false_rejects_allowed:
            return Verdict.FALSE_REJECTS
        if counts.families[name].missed > self.family_misses_allowed[name]:
            return Verdict.FAMILY_MISSES
        return Verdict.PASSED

    def as_json(self) -> dict[str, Any]:
        """Return the plan in whole numbers and text, for the sitting's fact."""
        return {
            "form": str(self.form),
            "bad": self.bad,
            "misses_allowed": self.misses_allowed,
            "family_misses_allowed": self.family_misses_allowed,
            "good": self.good,
            "false_rejects_allowed": self.false_rejects_allowed,
            "critical": self.critical,
            "bad_is_critical": self.bad_is_critical,
            "p_ok": self.p_ok,
            "p_bad": self.p_bad,
            "alpha": self.alpha,
            "beta": self.beta,
            "tightened": self.tightened,
            "stop_when_lost": self.stop_when_lost,
            "ahead": self.ahead,
            "least_look_ms": self.least_look_ms,
            "draw": self.draw,
            "own": self.own.as_json() if self.own is not None else None,
        }

    @classmethod
    def from_json(cls, value: Mapping[str, Any]) -> Self:
        own = value.get("own")
        return cls(
            **{
                **value,
                "form": Form(value["form"]),
                "own": None if own is None else OwnTables.from_json(own),
            }
        )
