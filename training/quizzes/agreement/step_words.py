"""What to do after a study, in the reader's language: which parts and which people come first."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from training.quizzes.agreement.reading import (
    Doubt,
    JudgeReading,
    Need,
    PartReading,
    StudyReading,
)
from training.quizzes.models import StudyJudge


@dataclass(frozen=True)
class Step:
    """One thing to do next; `parts` are those it is about."""

    text: str
    parts: tuple[str, ...] = ()


def next_steps(read: StudyReading, judges: Sequence[StudyJudge]) -> list[Step]:
    """Return what to do next, what would spoil everything else first."""
    steps = [*_about_parts(read)]
    for own, judge in zip(read.judges, judges, strict=True):
        step = _about_person(
            own, f"{judge.label}, {judge.person.name}" if judge.person else judge.label
        )
        if step is not None:
            steps.append(step)
    if not steps:
        steps.append(
            Step(_("Nothing is disputed. Repeat the study when limits, light or people change."))
        )
    return steps


def _about_parts(read: StudyReading) -> Iterable[Step]:
    doubted = _labels(read.parts, Doubt.REFERENCE)
    if doubted:
        yield Step(
            ngettext(
                "On %(n)d part most answers contradict the reference: have the reference looked at "
                "again before anybody is coached on it.",
                "On %(n)d parts most answers contradict the reference: have the references looked at "
                "again before anybody is coached on them.",
                len(doubted),
            )
            % {"n": len(doubted)},
            doubted,
        )
    between = _labels(read.parts, Doubt.BETWEEN)
    if between:
        yield Step(
            ngettext(
                "On %(n)d part people are steady and differ from each other: agree on it at the bench.",
                "On %(n)d parts people are steady and differ from each other: agree on them at the bench.",
                len(between),
            )
            % {"n": len(between)},
            between,
        )


def _labels(parts: Iterable[PartReading], doubt: Doubt) -> tuple[str, ...]:
    return tuple(part.label for part in parts if part.doubt is doubt)


def _about_person(own: JudgeReading, name: str) -> Step | None:
    steady = ngettext(
        "%(name)s answers %(n)d part differently from round to round: look at light, viewing time and "
        "eyesight first, then coach.",
        "%(name)s answers %(n)d parts differently from round to round: look at light, viewing time and "
        "eyesight first, then coach.",
        len(own.unsteady),
    ) % {"name": name, "n": len(own.unsteady)}
    said = {
        Need.STEADY: (steady, own.unsteady),
        Need.STRICTER: (
            _("%(name)s lets bad parts through, steadily: go through the limit on these parts."),
            own.missed,
        ),
        Need.LAXER: (
            _("%(name)s refuses good parts, steadily: go through the limit on these parts."),
            own.refused,
        ),
        Need.LIMITS: (
            _("%(name)s is steady and wrong on both sides: go through the limits on these parts."),
            own.steady_wrong,
        ),
    }
    if own.need not in said:
        return None
    text, parts = said[own.need]
    return Step(text % {"name": name} if own.need is not Need.STEADY else text, parts)
