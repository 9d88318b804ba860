"""A draw explained: what it was made from, what it drew, and the same draw made again."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils import timezone

from training.floor.models import Family, Job
from training.quizzes.blueprint import Strata, quotas, strata_for_bad
from training.quizzes.drawing import Candidate
from training.quizzes.models import Presented, Sitting
from training.quizzes.plan_rules import Rules, read_rules
from training.quizzes.redrawing import KEY, Asked, Remade, digest_of, remade
from training.quizzes.scoring import Part
from training.quizzes.selectors.bank import bank_for
from training.quizzes.worked_plan import WorkedPlan
from training.quizzes.working_out import work_out
from training.specimens.models import Pool


@dataclass(frozen=True, slots=True)
class DrawnPart:
    """A specimen as it was drawn: `seen` whether the person had met it, None where that is lost."""

    presented: Presented
    family: str
    part: Part
    ratio: float | None
    own: bool
    seen: bool | None

    @property
    def synthetic(self) -> bool:
        return self.presented.specimen.synthetic


@dataclass(frozen=True, slots=True)
class Filled:
    """How far a stratum was filled; more than wanted where another could not be."""

    code: str
    wanted: int
    drawn: int


@dataclass(frozen=True, slots=True)
class DrawnFamily:
    """What was drawn of a family: its bad parts, its critical ones, and what the bank held."""

    family: Family
    fresh: int | None
    total: int | None
    bad: tuple[DrawnPart, ...]
    critical: tuple[DrawnPart, ...]
    strata: tuple[Filled, ...]


@dataclass(frozen=True)
class DrawExplained:
    """A sitting's draw, family by family, its good parts, and what making it again comes to."""

    sitting: Sitting
    plan: WorkedPlan
    rules: Rules
    asked: Asked | None
    jobs: tuple[Job, ...]
    parts: tuple[DrawnPart, ...]
    families: tuple[DrawnFamily, ...]
    good: tuple[DrawnPart, ...]
    good_strata: tuple[Filled, ...]
    remade: Remade
    missing: tuple[Presented, ...]
    candidates_now: int

    @cached_property
    def own(self) -> int:
        return sum(each.own for each in self.parts)

    @cached_property
    def seen(self) -> int:
        return int(self.plan.draw.get("seen", 0))

    @cached_property
    def synthetic(self) -> int:
        return sum(each.synthetic for each in self.parts)


def explain_draw(sitting: Sitting) -> DrawExplained:
    """Explain how a sitting's specimens were drawn, and draw them again. Twelve queries at most."""
    plan = WorkedPlan.from_json(sitting.worked_plan)
    rules = read_rules(sitting.plan.form, sitting.plan.parameters)
    kept = plan.draw.get(KEY)
    asked = Asked.from_json(kept) if kept else None
    rows = list(
        Presented.objects.filter(sitting=sitting)
        .select_related("specimen__family", "specimen__job", "decision")
        .order_by("ordinal")
    )
    candidates = _candidates_then(sitting, asked)
    again = _drawn_again(sitting, rules, candidates)
    keys = [str(row.specimen_id) for row in rows]
    result = Remade.UNKNOWN
    if asked is not None:
        result = remade(asked, digest_of(candidates), keys, again)
    known = {each.key: each for each in candidates}
    parts = tuple(_part(row, asked, known) for row in rows)
    good = tuple(each for each in parts if each.part is Part.GOOD)
    return DrawExplained(
        sitting=sitting,
        plan=plan,
        rules=rules,
        asked=asked,
        jobs=tuple(Job.objects.filter(pk__in=asked.jobs).order_by("number")) if asked else (),
        parts=parts,
        families=_families(sitting, rules, asked, parts),
        good=good,
        good_strata=_filled(good, rules.good_strata),
        remade=result,
        missing=tuple(row for row in rows if str(row.specimen_id) not in set(again)),
        candidates_now=len(candidates),
    )


def _candidates_then(sitting: Sitting, asked: Asked | None) -> list[Candidate]:
    """Return the bank as far as it can still be seen as it was when the sitting was opened."""
    if asked is None:
        return []
    bank = bank_for(
        sitting.person,
        pool=Pool.EXAM,
        day=timezone.localdate(sitting.opened_at),
        own_jobs=asked.jobs,
        pictured_only=asked.pictured_only,
        limits_of=asked.limits_of,
        before=sitting.opened_at,
    )
    return bank.candidates


def _drawn_again(sitting: Sitting, rules: Rules, candidates: Sequence[Candidate]) -> list[str]:
    """Return the keys of the draw made again, none where the bank no longer carries it."""
    try:
        _plan, draw = work_out(
            rules, candidates, sitting.families, sitting.critical_families, seed=sitting.seed
        )
    except ValueError:
        return []
    return [pick.candidate.key for pick in draw.picks]


def _part(row: Presented, asked: Asked | None, known: dict[str, Candidate]) -> DrawnPart:
    ratio = row.decision.severity_ratio
    candidate = known.get(str(row.specimen_id))
    return DrawnPart(
        presented=row,
        family=row.specimen.family.slug,
        part=Part(row.part),
        ratio=None if ratio is None else float(ratio),
        own=asked is not None and row.specimen.job_id in asked.jobs,
        seen=None if candidate is None else not candidate.fresh,
    )


def _families(
    sitting: Sitting, rules: Rules, asked: Asked | None, parts: Sequence[DrawnPart]
) -> tuple[DrawnFamily, ...]:
    found = []
    for family in Family.objects.filter(slug__in=sitting.families).order_by("group", "position"):
        own = [each for each in parts if each.family == family.slug]
        bad = tuple(each for each in own if each.part is Part.BAD)
        fresh, total = (asked.held.get(family.slug) if asked else None) or (None, None)
        strata = strata_for_bad([each.ratio for each in bad], rules.bad_strata)
        found.append(
            DrawnFamily(
                family=family,
                fresh=fresh,
                total=total,
                bad=bad,
                critical=tuple(each for each in own if each.part is Part.CRITICAL),
                strata=_filled(bad, strata),
            )
        )
    return tuple(found)


def _filled(parts: Sequence[DrawnPart], strata: Strata) -> tuple[Filled, ...]:
    wanted = quotas(len(parts), strata)
    drawn: Counter[str] = Counter()
    for each in parts:
        drawn.update(stratum.code for stratum in strata if stratum.holds(each.ratio))
    return tuple(Filled(each.code, wanted[each.code], drawn[each.code]) for each in strata)
