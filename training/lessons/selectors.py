"""Lessons to read: which are there, who has read which revision, and one lesson with its pictures."""

import datetime as dt
import uuid
from collections import defaultdict
from dataclasses import dataclass

from training.floor.models import Family, FamilyGroup, WorkInstruction
from training.floor.selectors import families_by_group
from training.lessons.models import LessonExample, LessonRevision, Reading
from training.people.models import Employment, Person, Role
from training.people.texts import LANGUAGES, is_stale
from training.quizzes.outlines import bounds, frame_path
from training.quizzes.selectors.booth import ViewRef, views_by_part
from training.quizzes.selectors.opening import needs_of
from training.specimens.limit_captions import limit_words
from training.specimens.models import Frame, Pool, ReferenceDecision, Region, Specimen, View
from training.specimens.standards import Standard, standards_of

MOST_SHOWN = 10


@dataclass(frozen=True, slots=True)
class LessonRow:
    """A lesson in the list: its newest revision, and when this person read it.

    `need` is the level at which the person's own jobs need the family, "" where none does. `older`
    is the day an earlier revision was read. `missing` are the languages it is not in, or stale in.
    """

    family: Family
    lesson: LessonRevision
    need: str
    read: dt.date | None
    older: dt.date | None
    missing: tuple[str, ...]

    @property
    def is_open(self) -> bool:
        return self.read is None


@dataclass(frozen=True, slots=True)
class LessonGroup:
    group: FamilyGroup
    rows: tuple[LessonRow, ...]


def newest_lessons(day: dt.date) -> dict[uuid.UUID, LessonRevision]:
    """Return the lesson in force of each family, by family. Costs one query."""
    lessons = LessonRevision.objects.filter(day__lte=day).order_by("day", "revision")
    return {lesson.family_id: lesson for lesson in lessons}


def lesson_in_force(family: Family, day: dt.date) -> LessonRevision | None:
    """Return the newest revision of a family's lesson published up to the day. One query."""
    return (
        LessonRevision.objects.filter(family=family, day__lte=day)
        .order_by("-day", "-revision")
        .select_related("published_by", "family")
        .first()
    )


def lesson_groups(person: Person, day: dt.date) -> list[LessonGroup]:
    """Return the lessons group by group, needed and unread ones first. Costs six queries."""
    lessons = newest_lessons(day)
    read, older = _readings(person)
    needs = needs_of(person, day)
    found = []
    for group, families in families_by_group():
        rows = [
            LessonRow(
                family=family,
                lesson=lesson,
                need=needs.get(family.slug, ""),
                read=read.get(lesson.pk),
                older=older.get(family.pk),
                missing=missing_languages(lesson),
            )
            for family in families
            if (lesson := lessons.get(family.pk)) is not None
        ]
        rows.sort(key=lambda row: (not (row.need and row.is_open), not row.is_open))
        if rows:
            found.append(LessonGroup(group, tuple(rows)))
    return found


def _readings(person: Person) -> tuple[dict[uuid.UUID, dt.date], dict[uuid.UUID, dt.date]]:
    """Return when the person read each revision, and last read anything of each family."""
    read: dict[uuid.UUID, dt.date] = {}
    family: dict[uuid.UUID, dt.date] = {}
    for row in Reading.objects.filter(person=person, corrections=None).order_by("day"):
        family[row.family_id] = row.day
        if row.lesson_id is not None:
            read[row.lesson_id] = row.day
    return read, family


def missing_languages(lesson: LessonRevision) -> tuple[str, ...]:
    """Return the languages in which some text of the lesson is missing or stale."""
    texts = [lesson.title, lesson.one_liner, *lesson.sections.values()]
    return tuple(code for code in LANGUAGES if any(is_stale(text, code) for text in texts))


@dataclass(frozen=True, slots=True)
class Shown:
    """A specimen that illustrates a lesson, in which role, and its caption."""

    specimen: Specimen
    role: str
    caption: dict[str, str] | None = None


@dataclass(frozen=True)
class Picture:
    """An illustration with its pictures: what it is, how large, and the outline of the defect.

    `limit` is its job's limit today where that is a number in the same unit; `region` an SVG path and
    `box` its bounds, in pixels of the picture.
    """

    shown: Shown
    view: ViewRef
    rejected: bool | None
    severity: float | None
    limit: float | None
    unit: str
    region: str
    box: tuple[float, float, float, float] | None


@dataclass(frozen=True)
class LessonPage:
    """A lesson as somebody reads it."""

    lesson: LessonRevision
    pictures: tuple[Picture, ...]
    read: Reading | None
    readers: int
    people: int
    jobs: int
    all_jobs: int


def lesson_page(lesson: LessonRevision, person: Person, day: dt.date) -> LessonPage:
    """Return a lesson with its pictures and readers. Costs fifteen queries."""
    sheets = list(WorkInstruction.objects.in_force(day).values_list("needs", flat=True))
    employed = Employment.objects.on(day).values("person")
    learners = Person.objects.filter(pk__in=employed, groups__name=Role.OPERATOR)
    readers = Reading.objects.filter(lesson=lesson, person__in=learners).values("person").distinct()
    return LessonPage(
        lesson=lesson,
        pictures=tuple(pictures_of(lesson, day)),
        read=Reading.objects.filter(person=person, lesson=lesson).order_by("-day").first(),
        readers=readers.count(),
        people=learners.distinct().count(),
        jobs=sum(lesson.family.slug in needs for needs in sheets),
        all_jobs=len(sheets),
    )


def pictures_of(lesson: LessonRevision, day: dt.date) -> list[Picture]:
    """Return the pictures of a lesson, all of teaching specimens. Costs ten queries."""
    illustrations = shown_in(lesson)
    parts = [each.specimen.pk for each in illustrations]
    jobs = {each.specimen.job_id: each.specimen.job for each in illustrations}
    standards = standards_of(list(jobs.values()), day) if jobs else {}
    views = views_by_part(View.objects.filter(specimen__in=parts))
    rejected = {
        specimen: decision == ReferenceDecision.Decision.REJECT
        for specimen, decision in ReferenceDecision.objects.filter(specimen__in=parts)
        .order_by("recorded_at", "position")
        .values_list("specimen", "decision")
    }
    polygons: dict[uuid.UUID, list[list[list[float]]]] = defaultdict(list)
    outlined = Region.objects.filter(view__specimen__in=parts, view__position=0)
    for specimen, outlines in outlined.values_list("view__specimen", "polygons"):
        polygons[specimen].extend(outlines)
    return [
        _picture(
            each,
            views[each.specimen.pk][0],
            rejected.get(each.specimen.pk),
            polygons[each.specimen.pk],
            _limit(each.specimen, lesson.family, standards[each.specimen.job_id]),
        )
        for each in illustrations
        # What nobody has decided yet teaches nobody.
        if each.specimen.pk in views and each.specimen.pk in rejected
    ]


def _limit(specimen: Specimen, family: Family, standard: Standard) -> float | None:
    words = limit_words(family.slug, "", standard.rulings(family.slug, specimen.zone), "en")
    return words.size if words is not None and words.unit == specimen.unit else None


def shown_in(lesson: LessonRevision) -> list[Shown]:
    """Return what illustrates a lesson: its own examples, else what the teaching pool holds.

    Costs two queries at most.
    """
    chosen = LessonExample.objects.filter(lesson=lesson, specimen__pool=Pool.TEACHING)
    examples = chosen.select_related("specimen__job").order_by("position")
    if examples:
        return [Shown(each.specimen, each.role, each.caption) for each in examples]
    held = Specimen.objects.kept().filter(pool=Pool.TEACHING, family=lesson.family).with_picture()
    found = held.select_related("job").order_by("severity", "number")
    return [Shown(each, LessonExample.Role.LADDER) for each in _spread(list(found))]


def _spread(specimens: list[Specimen]) -> list[Specimen]:
    """Thin a long list out evenly, smallest and largest severity kept."""
    if len(specimens) <= MOST_SHOWN:
        return specimens
    step = (len(specimens) - 1) / (MOST_SHOWN - 1)
    return [specimens[round(place * step)] for place in range(MOST_SHOWN)]


def _picture(
    shown: Shown,
    view: ViewRef,
    rejected: bool | None,
    outline: list[list[list[float]]],
    limit: float | None,
) -> Picture:
    specimen = shown.specimen
    return Picture(
        shown=shown,
        view=view,
        rejected=rejected,
        severity=None if specimen.severity is None else float(specimen.severity),
        limit=limit,
        unit=specimen.unit,
        region=frame_path(outline),
        box=bounds(outline),
    )


def teaching_frame(specimen_id: uuid.UUID, number: int) -> Frame | None:
    """Return a picture of a teaching specimen by its number over all views. Costs one query."""
    frames = Frame.objects.filter(
        view__specimen=specimen_id,
        view__specimen__pool=Pool.TEACHING,
        view__specimen__retired_day=None,
    ).order_by("view__position", "position")
    return frames[number : number + 1].first() if number >= 0 else None
