"""One person meeting one specimen: what it was, what was said, what that came to; pure."""

import datetime as dt
import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final
from uuid import UUID

from training.quizzes.scoring import Outcome, Part
from training.quizzes.worked_plan import Form, WorkedPlan

RIGHT: Final = frozenset({Outcome.HIT, Outcome.ACCEPTED})


@dataclass(frozen=True, slots=True)
class Round:
    """A sitting that has ended, as far as a report reads it.

    `families_passed` and `result` follow the newest correction of its counts, where there is one.
    """

    pk: UUID
    number: str
    person: UUID
    kind: str
    exam: bool
    opened_at: dt.datetime
    reason: str
    result: str
    plan: WorkedPlan
    plan_code: str
    plan_revision: int
    critical: frozenset[str] = frozenset()
    families_passed: frozenset[str] = frozenset()

    @property
    def stopped(self) -> bool:
        """Whether it was stopped because it could no longer be passed."""
        return self.reason == "lost"

    @property
    def sized(self) -> bool:
        """Whether the number judged was fixed before, so that an interval may be given."""
        return self.reason == "complete" and self.plan.form is not Form.OWN

    @property
    def together(self) -> bool:
        """Whether parts were shown beside each other: an exercise, which says little of one alone."""
        return bool(self.plan.exercise)

    @property
    def counts(self) -> bool:
        """Whether it is one of the exams that are counted: not practice, not broken off."""
        return self.exam and self.reason != "abandoned" and self.plan.form is not Form.PRACTICE


@dataclass(frozen=True, slots=True)
class Meeting:
    """One judged specimen.

    Attributes
    ----------
    reject : bool
        Whether the person rejected it, at whatever place.
    ratio : float or None
        Severity ÷ limit, where it is measured.
    asks_place : bool
        Whether the right place was asked for: a bad part of a localised family, pictured.
    first : bool
        Whether the person had not met the specimen before.
    """

    round: Round
    specimen: UUID
    ordinal: int
    at: dt.datetime
    family: str
    part: Part
    bad: bool
    clear: bool
    ratio: float | None
    outcome: Outcome
    reject: bool
    named: str
    right_action: str
    action: str
    asks_place: bool
    seconds: float
    first: bool = field(default=True)

    @property
    def right(self) -> bool:
        return self.outcome in RIGHT

    @property
    def missed(self) -> bool:
        return self.bad and not self.right

    @property
    def seen(self) -> bool:
        """Whether the person rejected it for what is wrong with it.

        A reject at the wrong place is none: what is there was not seen.
        """
        return self.reject and self.outcome is not Outcome.WRONG_PLACE

    @property
    def log_ratio(self) -> float | None:
        return math.log(self.ratio) if self.ratio else None


def first_meetings(found: Iterable[Meeting]) -> list[Meeting]:
    """Return the meetings of people with specimens they had not met before."""
    return [each for each in found if each.first]


def rounds_of(found: Iterable[Meeting]) -> list[Round]:
    """Return the rounds of some meetings, oldest first."""
    by_key = {each.round.pk: each.round for each in found}
    return sorted(by_key.values(), key=lambda each: (each.opened_at, each.number))
