"""Results of sittings: counts with their bounds, family by family, and the list of sittings."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from training.floor.models import Family, FamilyGroup
from training.people.models import Device, Person
from training.quizzes.models import Coaching, Kind, ScoreCorrection, Sitting, SittingEnd
from training.quizzes.scoring import Counts, FamilyCount
from training.quizzes.selectors.turned import counted_each
from training.quizzes.words import here
from training.quizzes.worked_plan import Decided, Form, Verdict, WorkedPlan
from training.statistics.proportions import upper_bound

EXAMS = (Kind.QUALIFICATION, Kind.REQUALIFICATION)


@dataclass(frozen=True, slots=True)
class Share:
    """Errors of a kind: so many of so many, and the rate they are at most (one-sided, 90 %).

    `high` is None where a bound may not be given: nothing judged, or stopped before the end.
    """

    errors: int
    of: int
    high: float | None


@dataclass(frozen=True, slots=True)
class FamilyResult:
    """What a sitting says of one family; `allowed` is None where the number judged decides."""

    family: Family
    missed: Share
    allowed: int | None
    count: FamilyCount
    verdict: Verdict
    critical: bool


@dataclass(frozen=True)
class Result:
    """A sitting and, once it has ended, its counts and what they decide."""

    sitting: Sitting
    plan: WorkedPlan
    end: SittingEnd | None
    judged: int
    missed: Share
    false_rejects: Share
    critical: Share | None
    families: tuple[FamilyResult, ...]

    @property
    def fillers(self) -> int:
        """Parts judged on a side that was decided already: kept, and not counted."""
        if self.plan.own is None or self.end is None:
            return 0
        return self.judged - Counts.from_json(self.end.counts).judged

    @property
    def is_practice(self) -> bool:
        return self.plan.form is Form.PRACTICE


def result_of(sitting: Sitting) -> Result:
    """Return a sitting's result. Costs three queries."""
    plan = WorkedPlan.from_json(sitting.worked_plan)
    end = SittingEnd.objects.filter(sitting=sitting).first()
    counts = Counts.from_json(end.counts) if end else Counts()
    # Of practice no rate is given: it is short, and its answers are seen while it runs.
    whole = end is not None and end.reason == SittingEnd.Reason.COMPLETE
    whole = whole and plan.form is not Form.PRACTICE
    decided = _decided(plan, counts, end)
    families = Family.objects.filter(slug__in=sitting.families).order_by("group", "position")
    block = sum(plan.critical.values())
    return Result(
        sitting=sitting,
        plan=plan,
        end=end,
        judged=sitting.judgements.filter(scored=True).count(),
        missed=_share(counts.missed, counts.bad, whole=whole),
        false_rejects=_share(counts.false_rejects, counts.good, whole=whole),
        critical=_share(counts.critical_missed, counts.critical_bad, whole=whole)
        if block
        else None,
        families=tuple(
            _family(family, plan, counts, decided, sitting, whole=whole) for family in families
        ),
    )


def _decided(plan: WorkedPlan, counts: Counts, end: SittingEnd | None) -> Decided | None:
    if end is None or end.reason == SittingEnd.Reason.ABANDONED:
        return None
    return plan.decide(counts)


def _family(
    family: Family,
    plan: WorkedPlan,
    counts: Counts,
    decided: Decided | None,
    sitting: Sitting,
    *,
    whole: bool,
) -> FamilyResult:
    count = counts.families.get(family.slug, FamilyCount())
    return FamilyResult(
        family=family,
        missed=_share(count.missed, count.bad, whole=whole),
        allowed=None if plan.own is not None else plan.family_misses_allowed.get(family.slug, 0),
        count=count,
        verdict=decided.verdicts[family.slug] if decided else Verdict.UNDECIDED,
        critical=family.slug in sitting.critical_families,
    )


def _share(errors: int, of: int, *, whole: bool) -> Share:
    return Share(errors, of, upper_bound(errors, of) if of and whole else None)


@dataclass(frozen=True, slots=True)
class SittingRow:
    """One line of the list of sittings; `said` is what it came to, as counted today."""

    sitting: Sitting
    title: str
    end: SittingEnd | None
    said: SittingEnd | ScoreCorrection | None
    judged: int
    total: int
    counts: Counts
    coached: bool

    @property
    def awaits_coaching(self) -> bool:
        """Whether families were not passed and nobody has gone through them since."""
        said = self.said
        if said is None or said.result == SittingEnd.Result.UNDECIDED or self.coached:
            return False
        return set(self.sitting.families) > set(said.families_passed)


def find_sittings(query: str = "", *, with_practice: bool = False) -> QuerySet[Sitting]:
    """Return sittings, those still running first, then the newest; give pages to `sitting_rows`."""
    # Rounds of agreement studies stand with their study.
    every = Sitting.objects.exclude(kind=Kind.STUDY)
    found = every if with_practice else Sitting.objects.filter(kind__in=EXAMS)
    if query:
        found = found.filter(
            Q(number__iexact=query)
            | Q(person__name__icontains=query)
            | Q(person__personnel_no=query)
        )
    running = Q(end=None)
    return found.annotate(running=running).order_by("-running", "-opened_at", "number")


def sitting_rows(found: Iterable[Sitting] | QuerySet[Sitting]) -> list[SittingRow]:
    """Return the lines of a page of sittings. Costs four queries."""
    keys = [sitting.pk for sitting in found]
    rows = {
        sitting.pk: sitting
        for sitting in Sitting.objects.filter(pk__in=keys)
        .select_related("person", "plan", "invigilator", "end")
        .annotate(
            judged=Count("judgements", filter=Q(judgements__scored=True)),
            coached=Exists(Coaching.objects.filter(sitting=OuterRef("pk"))),
        )
    }
    names = {group.code: here(group.name) for group in FamilyGroup.objects.all()}
    counted = counted_each(row.end for row in rows.values() if hasattr(row, "end"))
    return [_row(rows[key], counted.get(key), names) for key in keys]


def _row(
    sitting: Sitting, said: ScoreCorrection | SittingEnd | None, names: dict[str, str]
) -> SittingRow:
    return SittingRow(
        sitting=sitting,
        title=", ".join(names.get(code, code) for code in sitting.groups),
        end=getattr(sitting, "end", None),
        said=said,
        judged=sitting.judged,  # type: ignore[attr-defined]
        total=WorkedPlan.from_json(sitting.worked_plan).total,
        counts=Counts.from_json(said.counts) if said else Counts(),
        coached=sitting.coached,  # type: ignore[attr-defined]
    )


def waiting_exam(person: Person) -> SittingRow | None:
    """Return the exam that is open for a person, or None. Costs four queries at most."""
    running = Sitting.objects.filter(person=person, kind__in=EXAMS, end=None)[:1]
    rows = sitting_rows(running)
    return rows[0] if rows else None


def running_on(device: Device | None) -> list[SittingRow]:
    """Return the exams that are open on a device, oldest first. Costs four queries at most."""
    if device is None:
        return []
    running = Sitting.objects.filter(device=device, kind__in=EXAMS, end=None)
    return sitting_rows(running.order_by("opened_at"))


def last_exams(person: Person, slugs: Iterable[str]) -> dict[str, tuple[dt.datetime, str]]:
    """Return when each family was last examined, with the result as counted today. Two queries."""
    wanted = set(slugs)
    last: dict[str, tuple[dt.datetime, str]] = {}
    ends = SittingEnd.objects.filter(sitting__person=person, sitting__kind__in=EXAMS)
    found = list(ends.select_related("sitting").order_by("ended_at"))
    counted = counted_each(found)
    for end in found:
        said = counted[end.sitting_id]
        for slug in wanted & set(end.sitting.families):
            passed = slug in said.families_passed
            last[slug] = (end.ended_at, "passed" if passed else said.result)
    return last
