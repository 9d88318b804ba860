"""Meetings for the tests of reports, made without a database."""

import datetime as dt
import uuid
from itertools import count
from typing import Any

from tests.conftest import NOON
from training.quizzes.reports.meetings import Meeting, Round
from training.quizzes.scoring import Outcome, Part
from training.quizzes.worked_plan import Form, WorkedPlan

PERSON = uuid.UUID(int=1)
numbers = count(1)


def a_round(
    *,
    days_ago: int = 0,
    kind: str = "qualification",
    reason: str = "complete",
    families: tuple[str, ...] = ("weld-line",),
    form: Form = Form.GROUP,
    person: uuid.UUID = PERSON,
    passed: tuple[str, ...] = (),
) -> Round:
    plan = WorkedPlan(
        form=form,
        bad=dict.fromkeys(families, 8),
        misses_allowed=4,
        family_misses_allowed=dict.fromkeys(families, 1),
        good=30,
        false_rejects_allowed=3,
    )
    return Round(
        pk=uuid.uuid4(),
        number=f"S-{next(numbers):04d}",
        person=person,
        kind=kind,
        exam=kind in ("qualification", "requalification"),
        opened_at=NOON - dt.timedelta(days=days_ago),
        reason=reason,
        result="passed" if passed else "not_passed",
        plan=plan,
        plan_code="group",
        plan_revision=1,
        families_passed=frozenset(passed),
    )


def met(round_: Round, *, bad: bool = True, reject: bool | None = None, **more: Any) -> Meeting:
    """Make a meeting; right unless `reject` or `outcome` says otherwise."""
    said = bad if reject is None else reject
    outcomes = {
        (True, True): Outcome.HIT,
        (True, False): Outcome.MISSED,
        (False, True): Outcome.FALSE_REJECT,
        (False, False): Outcome.ACCEPTED,
    }
    family = more.get("family", "weld-line")
    values: dict[str, Any] = {
        "specimen": uuid.uuid4(),
        "ordinal": next(numbers),
        "at": round_.opened_at,
        "family": family,
        "part": Part.BAD if bad else Part.GOOD,
        "clear": False,
        "ratio": 1.5 if bad else 0.7,
        "outcome": outcomes[bad, said],
        "named": family if said else "",
        "right_action": "segregate" if bad else "keep_running",
        "action": "segregate" if said else "",
        "asks_place": bad,
        "seconds": 10.0,
        **more,
    }
    return Meeting(round=round_, bad=bad, reject=said, **values)


def exam(
    missed: int, shown: int = 8, *, good: int = 0, refused: int = 0, **more: Any
) -> list[Meeting]:
    """Make an exam in which some of the bad parts were missed and some good ones refused."""
    round_ = a_round(**more)
    return [
        *(met(round_, reject=place >= missed) for place in range(shown)),
        *(met(round_, bad=False, reject=place < refused) for place in range(good)),
    ]
