"""Which kinds of sitting examine, which are practice, and when practice says what an answer came to."""

from typing import Final

from training.quizzes.models import Kind, Sitting

# A low-rate round is practice too, but judged like an exam: its answers are shown at the end.
PRACTICE: Final = (Kind.PRACTICE, Kind.REFRESHER, Kind.LOW_RATE)
AT_ONCE: Final = (Kind.PRACTICE, Kind.REFRESHER)
EXAMS: Final = (Kind.QUALIFICATION, Kind.REQUALIFICATION)


def result_route(sitting: Sitting, *, own: bool) -> str:
    """Return the route of the page that shows a sitting's result apart, "" for the common one."""
    if sitting.kind == Kind.LOW_RATE:
        return "quizzes:low_rate_result"
    if own and sitting.worked_plan.get("draw", {}).get("exercise"):
        return "quizzes:exercise"
    return ""
