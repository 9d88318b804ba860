"""What a sitting showed: counts with intervals, the pictures, the panel, and what came before."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, Exists, OuterRef

from certification.certificates.granting import EXAMS
from training.people.models import Person
from training.quizzes.models import ExamPlan, Presented, ScoreCorrection, Sitting, SittingEnd
from training.quizzes.plan_rules import Rules, read_rules
from training.quizzes.scoring import Counts
from training.quizzes.selectors.turned import counted_each
from training.quizzes.worked_plan import WorkedPlan
from training.specimens.models import Frame
from training.statistics.family_evidence import SITTINGS_COUNTED, Evidence, accumulate
from training.statistics.proportions import clopper_pearson


@dataclass(frozen=True, slots=True)
class Tally:
    """Errors among specimens; `high` is the upper end of the two-sided 95 % interval.

    Without `fixed` there is none: where the answers decided how many were judged, the interval of a
    number fixed beforehand would say too much.
    """

    errors: int
    shown: int
    fixed: bool = True

    @property
    def high(self) -> float | None:
        if not self.shown or not self.fixed:
            return None
        return clopper_pearson(self.errors, self.shown).high


@dataclass(frozen=True)
class Showing:
    """What one sitting showed, as its end or a later scoring (`said`) counts it."""

    sitting: Sitting
    end: SittingEnd
    said: SittingEnd | ScoreCorrection
    plan: WorkedPlan
    rules: Rules
    counts: Counts

    @property
    def fixed(self) -> bool:
        """Whether the number of specimens was fixed before the first answer."""
        return self.plan.own is None

    @property
    def misses(self) -> Tally:
        return Tally(self.counts.missed, self.counts.bad, self.fixed)

    @property
    def false_rejects(self) -> Tally:
        return Tally(self.counts.false_rejects, self.counts.good, self.fixed)

    @property
    def critical(self) -> Tally | None:
        """The critical block's tally; None where the sitting held none."""
        if self.said.critical_block_passed is None or not self.fixed:
            return None
        if self.plan.bad_is_critical:
            return self.misses
        return Tally(self.counts.critical_missed, self.counts.critical_bad)

    def family(self, slug: str) -> Tally:
        own = self.counts.families[slug]
        return Tally(own.missed, own.bad, self.fixed)


def showing_of(sitting: Sitting, said: SittingEnd | ScoreCorrection) -> Showing:
    """Return what a sitting that has ended showed. No query if end and plan are loaded."""
    plan = sitting.plan
    return Showing(
        sitting=sitting,
        end=sitting.end,
        said=said,
        plan=WorkedPlan.from_json(sitting.worked_plan),
        rules=read_rules(plan.form, plan.parameters),
        counts=Counts.from_json(said.counts),
    )


@dataclass(frozen=True, slots=True)
class Shown:
    """How the parts of a sitting were shown, and what their reference decisions rest on."""

    parts: int
    drawn: int
    physical: int
    bases: tuple[tuple[str, int], ...]

    @property
    def photographed(self) -> int:
        return self.parts - self.drawn - self.physical


def shown_in(sitting: Sitting) -> Shown:
    """Return how the parts of a sitting were shown. One query."""
    framed = Exists(Frame.objects.filter(view__specimen=OuterRef("specimen")))
    rows = (
        Presented.objects.filter(sitting=sitting)
        .annotate(framed=framed)
        .order_by("decision__basis")
        .values_list("decision__basis", "specimen__synthetic", "framed")
        .annotate(number=Count("pk"))
    )
    parts = drawn = physical = 0
    bases: dict[str, int] = {}
    for basis, synthetic, pictured, number in rows:
        parts += number
        physical += 0 if pictured else number
        drawn += number if pictured and synthetic else 0
        bases[basis] = bases.get(basis, 0) + number
    return Shown(parts, drawn, physical, tuple(bases.items()))


@dataclass(frozen=True, slots=True)
class Sequel:
    """A person's sittings of one family in order, up to one of them, and what they show together."""

    sittings: int
    tally: Tally
    evidence: Evidence


def sequel_of(person: Person, slug: str, upto: SittingEnd, at: dt.datetime) -> Sequel:
    """Return what the last three sittings of a family show, failed ones included. Two queries.

    Each counts as it did at a moment, that of the certificate. Sittings under an own plan stand
    apart: their number of specimens was not fixed, so they do not add to a binomial count.
    """
    ends = list(
        SittingEnd.objects.filter(
            sitting__person=person, sitting__kind__in=EXAMS, ended_at__lte=upto.ended_at
        )
        .exclude(sitting__plan__form=ExamPlan.Form.OWN)
        .order_by("ended_at")
    )
    counted = counted_each(ends, until=at)
    decided = [
        said
        for end in ends
        if (said := counted[end.sitting_id]).result != SittingEnd.Result.UNDECIDED
    ]
    own = [
        (count.missed, count.bad)
        for said in decided
        if (count := Counts.from_json(said.counts).families.get(slug)) is not None and count.bad
    ]
    return _sequel(own)


def _sequel(own: Sequence[tuple[int, int]]) -> Sequel:
    last = own[-SITTINGS_COUNTED:]
    tally = Tally(sum(missed for missed, _ in last), sum(shown for _, shown in last))
    return Sequel(len(last), tally, accumulate(own))
