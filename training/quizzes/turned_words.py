"""Exams that rest on turned decisions, and what they come to when scored again, in words."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.floor.models import Family
from training.quizzes.models import ScoreCorrection, Sitting, SittingEnd
from training.quizzes.recounting import Recounted
from training.quizzes.scoring import Counts
from training.quizzes.selectors.turned import Bearing, Resting, resting_on
from training.quizzes.words import here
from training.specimens.resting import Rest, Rests

Result = SittingEnd.Result
RESULTS: Final[dict[str, tuple[str, Promise]]] = {
    Result.PASSED: ("done", gettext_lazy("Passed")),
    Result.NOT_PASSED: ("not_yet", gettext_lazy("Not passed")),
    Result.UNDECIDED: ("open", gettext_lazy("Not decided")),
}
BEARINGS: Final[dict[Bearing, tuple[str, Promise]]] = {
    Bearing.TURNED: ("differs", gettext_lazy("rests on a turned decision")),
    Bearing.SCORED_AGAIN: ("done", gettext_lazy("scored again")),
    Bearing.HOLDS: ("done", gettext_lazy("rests on a decision that holds")),
}


def ended_exams(specimen: UUID) -> Rests:
    """Return the ended exams that rest on a specimen, for the page that turns its decision."""
    rows = tuple(
        Rest(
            what=each.sitting.number,
            whose=each.sitting.person.name,
            status=RESULTS[each.counted.result][0],
            word=str(RESULTS[each.counted.result][1]),
            url=reverse("quizzes:result", args=[each.sitting.pk]),
        )
        for each in resting_on(specimen)
    )
    return Rests(_("Ended exams"), rows)


@dataclass(frozen=True)
class RestingLine:
    """One ended exam on the page of what rests on a specimen."""

    resting: Resting
    result_status: str
    result_word: str
    status: str
    word: str
    may_score: bool


def resting_lines(found: Sequence[Resting]) -> list[RestingLine]:
    return [
        RestingLine(
            resting=each,
            result_status=RESULTS[each.counted.result][0],
            result_word=str(RESULTS[each.counted.result][1]),
            status=BEARINGS[each.bearing][0],
            word=str(BEARINGS[each.bearing][1]),
            may_score=each.bearing is Bearing.TURNED,
        )
        for each in found
    ]


@dataclass(frozen=True)
class Said:
    """What an exam comes to, said in one way whether at its end or counted again."""

    status: str
    word: str
    missed: int
    bad: int
    false_rejects: int
    good: int
    critical_missed: int
    critical_bad: int
    families: str
    block: str


def said_of(found: SittingEnd | ScoreCorrection | Recounted, names: dict[str, str]) -> Said:
    """Return an end, a correction or a preview in words."""
    counts = Counts.from_json(found.counts)
    status, word = RESULTS[found.result]
    block = found.critical_block_passed
    return Said(
        status=status,
        word=str(word),
        missed=counts.missed,
        bad=counts.bad,
        false_rejects=counts.false_rejects,
        good=counts.good,
        critical_missed=counts.critical_missed,
        critical_bad=counts.critical_bad,
        families=", ".join(names.get(slug, slug) for slug in found.families_passed),
        block="" if block is None else _("passed") if block else _("not passed"),
    )


def family_names() -> dict[str, str]:
    """Return the short name of every family in the reader's language. One query."""
    return {each.slug: here(each.short) for each in Family.objects.all()}


@dataclass(frozen=True)
class CorrectedLine:
    """One correction of an exam: because of which specimen, by whom, and what it came to."""

    fact: ScoreCorrection
    said: Said


def corrected_lines(
    sitting: Sitting, corrections: Sequence[ScoreCorrection]
) -> list[CorrectedLine]:
    """Return how an exam was scored again, the newest first. One query if there is any."""
    if not corrections:
        return []
    names = family_names()
    return [CorrectedLine(fact, said_of(fact, names)) for fact in reversed(corrections)]
