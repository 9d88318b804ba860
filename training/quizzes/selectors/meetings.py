"""Answers of sittings that have ended, with what each came to: the rows every report counts.

Nothing of a sitting in progress is ever among them.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from django.db.models import Count, QuerySet

from training.floor.models import Family, WorkInstruction
from training.people.models import Person
from training.quizzes.kinds import EXAMS
from training.quizzes.models import Judgement, Kind, ScoreCorrection, Sitting
from training.quizzes.reports.meetings import Meeting, Round
from training.quizzes.scoring import Answer, Part, Place, Target, Truth, outcome, tolerance_px
from training.quizzes.selectors.progress import LEAST_TOLERANCE_PX, REJECT
from training.quizzes.selectors.turned import counted_each, decisions_counted
from training.quizzes.worked_plan import WorkedPlan
from training.specimens.models import Region

# Rounds in which specimens are judged one by one at an exam's share of bad ones. What was met in
# other rounds (low-rate rounds, studies, exercises) is known from there and counts nowhere.
JUDGED = (*EXAMS, Kind.PRACTICE, Kind.REFRESHER)

COLUMNS = (
    "sitting",
    "presented__specimen",
    "presented__ordinal",
    "presented__part",
    "presented__work_instruction",
    "presented__decision__decision",
    "presented__decision__action",
    "presented__decision__severity_ratio",
    "presented__decision__clear",
    "presented__specimen__family",
    "answer",
    "view",
    "place_x",
    "place_y",
    "family",
    "action",
    "judging_ms",
    "answered_at",
)


@dataclass(frozen=True)
class _Known:
    """What the rows of judgements refer to, by identifier."""

    rounds: Mapping[UUID, Round]
    families: Mapping[UUID, Family]
    needs: Mapping[UUID, Mapping[str, str]]
    targets: Mapping[UUID, dict[str, Target]]
    corrected: Mapping[tuple[UUID, UUID], Mapping[str, Any]]


def meetings_of(person: Person) -> list[Meeting]:
    """Return one person's meetings with specimens, oldest first. Costs seven queries."""
    return _read(Sitting.objects.filter(person=person))


# Meetings of ended exams, by the exam and how often its counts were corrected.
_exams: dict[tuple[UUID, int], tuple[Meeting, ...]] = {}


def exam_meetings() -> list[Meeting]:
    """Return everybody's meetings with specimens in exams, oldest first.

    What has ended does not change but by a correction, so each exam is read once by a process and
    kept. Costs one query, or eight when exams have ended since.
    """
    exams = Sitting.objects.filter(kind__in=EXAMS, end__isnull=False)
    wanted = set(exams.annotate(n=Count("score_corrections")).values_list("pk", "n"))
    missing = {pk: (pk, n) for pk, n in wanted if (pk, n) not in _exams}
    if missing:
        read: dict[UUID, list[Meeting]] = {pk: [] for pk in missing}
        for each in _read(Sitting.objects.filter(pk__in=list(missing))):
            read[each.round.pk].append(each)
        _exams.update({missing[pk]: tuple(found) for pk, found in read.items()})
    for key in set(_exams) - wanted:
        del _exams[key]
    return _with_firsts(each for key in wanted for each in _exams[key])


def _read(sittings: QuerySet[Sitting]) -> list[Meeting]:
    ended = sittings.filter(end__isnull=False).exclude(worked_plan={})
    rounds = _rounds(ended)
    rows = list(
        Judgement.objects.filter(sitting__in=ended, scored=True)
        .order_by("answered_at", "position")
        .values(*COLUMNS)
    )
    families = {family.pk: family for family in Family.objects.all()}
    known = _Known(
        rounds=rounds,
        families=families,
        needs=dict(WorkInstruction.objects.values_list("pk", "needs")),
        targets=_targets({row["presented__specimen"] for row in rows}, families),
        corrected=_corrected(rounds),
    )
    found = _with_firsts(_meeting(row, known) for row in rows)
    return [each for each in found if each.round.kind in JUDGED and _counts(each)]


def _counts(each: Meeting) -> bool:
    """Leave out parts shown together, and what turned out bad of a family that was not examined."""
    unexamined = each.part is Part.BAD and each.family not in each.round.plan.bad
    return not each.round.together and not unexamined


def _rounds(ended: QuerySet[Sitting]) -> dict[UUID, Round]:
    rows = list(ended.select_related("end", "plan"))
    each_counted = counted_each(sitting.end for sitting in rows)
    rounds = {}
    for sitting in rows:
        counted = each_counted[sitting.pk]
        rounds[sitting.pk] = Round(
            pk=sitting.pk,
            number=sitting.number,
            person=sitting.person_id,
            kind=sitting.kind,
            exam=sitting.kind in EXAMS,
            opened_at=sitting.opened_at,
            reason=sitting.end.reason,
            result=counted.result,
            plan=WorkedPlan.from_json(sitting.worked_plan),
            plan_code=sitting.plan.code,
            plan_revision=sitting.plan.revision,
            critical=frozenset(sitting.critical_families),
            families_passed=frozenset(counted.families_passed),
        )
    return rounds


def _corrected(sittings: Iterable[UUID]) -> dict[tuple[UUID, UUID], dict[str, Any]]:
    """Return the later decisions that some presented specimens are counted under."""
    return {
        key: {
            "presented__decision__decision": decision.decision,
            "presented__decision__action": decision.action,
            "presented__decision__severity_ratio": decision.severity_ratio,
            "presented__decision__clear": decision.clear,
        }
        for key, decision in decisions_counted(sittings).items()
    }


def _targets(
    specimens: Iterable[UUID], families: Mapping[UUID, Family]
) -> dict[UUID, dict[str, Target]]:
    """Return what counts as the right place, by specimen and view. Costs one query."""
    wanted = set(specimens)
    polygons: dict[UUID, list[Any]] = defaultdict(list)
    views: dict[UUID, tuple[UUID, UUID, Any]] = {}
    rows = Region.objects.filter(view__specimen__isnull=False).values_list(
        "view", "view__specimen", "view__specimen__family", "view__px_per_mm", "polygons"
    )
    for view, specimen, family, scale, outlined in rows:
        if specimen in wanted:
            views[view] = (specimen, family, scale)
            polygons[view].extend(outlined)
    found: dict[UUID, dict[str, Target]] = defaultdict(dict)
    for view, (specimen, family, scale) in views.items():
        place = families[family].place
        if place.get("kind") == "whole_part" or not polygons[view]:
            continue
        tolerance = tolerance_px(
            float(place.get("tolerance_mm", 0)),
            None if scale is None else float(scale),
            float(place.get("tolerance_px_min", LEAST_TOLERANCE_PX)),
        )
        found[specimen][str(view)] = Target(tuple(polygons[view]), tolerance)
    return found


def _meeting(row: Mapping[str, Any], known: _Known) -> Meeting:
    round_, specimen = known.rounds[row["sitting"]], row["presented__specimen"]
    row = _as_counted(row, known.corrected.get((round_.pk, specimen)))
    truth = _truth(row, round_, known)
    answer = _answer(row, known)
    ratio = row["presented__decision__severity_ratio"]
    return Meeting(
        round=round_,
        specimen=specimen,
        ordinal=row["presented__ordinal"],
        at=row["answered_at"],
        family=truth.family,
        part=truth.part,
        bad=truth.reject,
        clear=row["presented__decision__clear"],
        ratio=float(ratio) if ratio else None,
        outcome=outcome(truth, answer),
        reject=answer.reject,
        named=answer.family,
        right_action=row["presented__decision__action"],
        action=answer.action,
        asks_place=truth.reject and bool(truth.targets),
        seconds=row["judging_ms"] / 1000,
    )


def _as_counted(row: Mapping[str, Any], later: Mapping[str, Any] | None) -> Mapping[str, Any]:
    """Return a row under the decision it counts under today: a part that turned changes its side."""
    if later is None:
        return row
    now = {**row, **later}
    if now["presented__decision__decision"] != row["presented__decision__decision"]:
        bad = now["presented__decision__decision"] == REJECT
        now["presented__part"] = Part.BAD if bad else Part.GOOD
    return now


def _truth(row: Mapping[str, Any], round_: Round, known: _Known) -> Truth:
    family = known.families[row["presented__specimen__family"]]
    needs = known.needs.get(row["presented__work_instruction"], {})
    return Truth(
        family=family.slug,
        part=Part(row["presented__part"]),
        reject=row["presented__decision__decision"] == REJECT,
        critical=row["presented__part"] == Part.CRITICAL
        or family.slug in round_.critical
        or family.always_critical
        or needs.get(family.slug) == "critical",
        targets=known.targets.get(row["presented__specimen"], {}),
    )


def _answer(row: Mapping[str, Any], known: _Known) -> Answer:
    place = None
    if row["place_x"] is not None and row["place_y"] is not None:
        place = Place(str(row["view"]), row["place_x"], row["place_y"])
    named = known.families.get(row["family"])
    return Answer(
        reject=row["answer"] == REJECT,
        place=place,
        family=named.slug if named is not None else "",
        action=row["action"],
    )


def _with_firsts(found: Iterable[Meeting]) -> list[Meeting]:
    """Mark which meetings were not the person's first with that specimen, among those given."""
    in_order = sorted(found, key=lambda each: (each.at, each.round.opened_at, each.ordinal))
    met: set[tuple[UUID, UUID]] = set()
    marked = []
    for each in in_order:
        key = (each.round.person, each.specimen)
        first = key not in met
        marked.append(each if each.first is first else replace(each, first=first))
        met.add(key)
    return marked


def newest_end() -> tuple[UUID | None, int]:
    """Return what tells one state of the ended exams from another. Costs two queries."""
    newest = (
        Sitting.objects.filter(kind__in=EXAMS, end__isnull=False)
        .order_by("-end__recorded_at", "-end__position")
        .values_list("pk", flat=True)
        .first()
    )
    return newest, ScoreCorrection.objects.count()
