"""Questions about specimens, answered as plain rows with a fixed number of queries."""

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db.models import Count, F, Q, QuerySet

from training.floor.models import FirstPiece, Job
from training.floor.selectors import first_piece_of
from training.specimens.limit_rows import measured_text, ratio_text
from training.specimens.models import (
    Frame,
    Pool,
    ReferenceDecision,
    Region,
    Specimen,
    SpecimenQuerySet,
    View,
)

UNDECIDED = "undecided"
RETIRED = "retired"
ACCEPT = ReferenceDecision.Decision.ACCEPT
REJECT = ReferenceDecision.Decision.REJECT


@dataclass(frozen=True, slots=True)
class UsableSpecimen:
    """A specimen that can be drawn: decided for the limits in force, pictured, outlined if need be.

    `ratio` is severity ÷ limit, None where nothing is accepted or nothing was measured.
    """

    id: UUID
    number: str
    family: str
    job: str
    zone: str
    decision: str
    decision_id: UUID
    sheet_id: UUID | None
    clear: bool
    ratio: Decimal | None
    synthetic: bool


@dataclass(frozen=True, slots=True)
class BankRow:
    """How many specimens of a family are kept, in which pool, decided how."""

    family_id: UUID
    slug: str
    name: dict[str, str]
    exam_reject: int
    exam_accept: int
    exam_undecided: int
    teaching_reject: int
    teaching_accept: int
    teaching_undecided: int
    neither: int

    @property
    def total(self) -> int:
        exam = self.exam_reject + self.exam_accept + self.exam_undecided
        teaching = self.teaching_reject + self.teaching_accept + self.teaching_undecided
        return exam + teaching + self.neither


@dataclass(frozen=True, slots=True)
class BankTotals:
    """The whole bank in numbers; retired specimens count nowhere else."""

    kept: int
    undecided: int
    exam_reject: int
    exam_accept: int
    teaching: int
    retired: int


@dataclass(frozen=True, slots=True)
class FrameRow:
    """One picture: its place in its view, its size in pixels and the angle it was taken at."""

    position: int
    width: int
    height: int
    angle_deg: Decimal | None


@dataclass(frozen=True, slots=True)
class ViewRow:
    """A view with its frames in order, and the outlines on it as (family slug, polygons)."""

    id: UUID
    position: int
    kind: str
    change: str
    px_per_mm: Decimal | None
    frames: tuple[FrameRow, ...]
    regions: tuple[tuple[str, list[list[list[float]]]], ...] = ()


@dataclass(frozen=True, slots=True)
class FirstPieceViews:
    """The approved first piece of a job; `first_frames` numbers its frames over all views."""

    first_piece: FirstPiece
    views: tuple[ViewRow, ...]

    @property
    def first_frames(self) -> tuple[int, ...]:
        """The running number of each view's first frame, as `specimens:first_piece_frame` counts."""
        starts, so_far = [], 0
        for view in self.views:
            starts.append(so_far)
            so_far += len(view.frames)
        return tuple(starts)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the list of specimens is narrowed to; empty fields narrow nothing."""

    family: str = ""
    job: str = ""
    pool: str = ""
    decision: str = ""
    number: str = ""
    step: str = ""


@dataclass(frozen=True, slots=True)
class SpecimenRow:
    """A line of the list; `view` is the place of its first view that has a picture."""

    id: UUID
    number: str
    job: str
    zone: str
    family: dict[str, str]
    severity: Decimal | None
    unit: str
    pool: str
    decision: str | None
    ratio: Decimal | None
    clear: bool
    synthetic: bool
    retired_day: dt.date | None
    view: int | None

    @property
    def measured(self) -> str:
        """The severity with its unit."""
        return measured_text(self.severity, self.unit)

    @property
    def share(self) -> str:
        """Severity ÷ limit."""
        return ratio_text(self.ratio)

    @property
    def pool_words(self) -> str:
        return str(Pool(self.pool).label)


@dataclass(frozen=True, slots=True)
class DecisionRow:
    """A decision, and whether it is the newest under its revision of the sheet."""

    fact: ReferenceDecision
    counts: bool

    @property
    def share(self) -> str:
        """Severity ÷ limit."""
        return ratio_text(self.fact.severity_ratio)


def usable_specimens(
    *, pool: str, day: dt.date, families: Collection[str] | None = None
) -> list[UsableSpecimen]:
    """Return what can be drawn from a pool on a day, by number. Costs one query.

    `families` are slugs; None asks for all.
    """
    found = Specimen.objects.kept().filter(pool=pool).with_decision(day)
    if families is not None:
        found = found.filter(family__slug__in=families)
    usable = found.filter(~Q(decided=None)).with_picture().that_can_be_scored()
    return [
        UsableSpecimen(
            id=row.pk,
            number=row.number,
            family=row.family.slug,
            job=row.job.number,
            zone=row.zone,
            decision=row.decided,
            decision_id=row.decision_id,
            sheet_id=row.sheet_id,
            clear=bool(row.decided_clear),
            ratio=row.decided_ratio,
            synthetic=row.synthetic,
        )
        for row in usable.select_related("family", "job").order_by("number")
        if row.decided and row.decision_id
    ]


def bank_counts(day: dt.date, among: SpecimenQuerySet | None = None) -> list[BankRow]:
    """Return what is kept of each family that has specimens. Costs one query."""
    specimens = Specimen.objects.all() if among is None else among
    found = specimens.kept().with_decision(day)
    exam, teaching = Q(pool=Pool.EXAM), Q(pool=Pool.TEACHING)
    bad, good, open_ = Q(decided=REJECT), Q(decided=ACCEPT), Q(decided=None)
    rows = (
        found.values("family_id", "family__slug", "family__name")
        .annotate(
            exam_reject=Count("pk", filter=exam & bad),
            exam_accept=Count("pk", filter=exam & good),
            exam_undecided=Count("pk", filter=exam & open_),
            teaching_reject=Count("pk", filter=teaching & bad),
            teaching_accept=Count("pk", filter=teaching & good),
            teaching_undecided=Count("pk", filter=teaching & open_),
            neither=Count("pk", filter=Q(pool=Pool.NEITHER)),
        )
        .order_by("family__position", "family__slug")
    )
    return [
        BankRow(
            family_id=row["family_id"],
            slug=row["family__slug"],
            name=row["family__name"],
            exam_reject=row["exam_reject"],
            exam_accept=row["exam_accept"],
            exam_undecided=row["exam_undecided"],
            teaching_reject=row["teaching_reject"],
            teaching_accept=row["teaching_accept"],
            teaching_undecided=row["teaching_undecided"],
            neither=row["neither"],
        )
        for row in rows
    ]


def bank_totals(day: dt.date, among: SpecimenQuerySet | None = None) -> BankTotals:
    """Return the bank in numbers, or that of the specimens this person may see. Costs one query."""
    specimens = Specimen.objects.all() if among is None else among
    kept = Q(retired_day=None)
    exam = kept & Q(pool=Pool.EXAM)
    return BankTotals(
        **specimens.with_decision(day).aggregate(
            kept=Count("pk", filter=kept),
            undecided=Count("pk", filter=kept & Q(decided=None)),
            exam_reject=Count("pk", filter=exam & Q(decided=REJECT)),
            exam_accept=Count("pk", filter=exam & Q(decided=ACCEPT)),
            teaching=Count("pk", filter=kept & Q(pool=Pool.TEACHING)),
            retired=Count("pk", filter=~kept),
        )
    )


def find_specimens(
    wanted: Wanted, day: dt.date, among: SpecimenQuerySet | None = None
) -> SpecimenQuerySet:
    """Return what the list shows, undecided first; give slices of it to `specimen_rows`.

    `among` are the specimens this person may see; all of them where it is left out.
    """
    found = (Specimen.objects.all() if among is None else among).with_decision(day)
    found = found.exclude(retired_day=None) if wanted.decision == RETIRED else found.kept()
    if wanted.family:
        found = found.filter(family__slug=wanted.family)
    if wanted.job:
        found = found.filter(job__number=wanted.job)
    if wanted.pool:
        found = found.filter(pool=wanted.pool)
    if wanted.number:
        found = found.filter(number__icontains=wanted.number)
    if wanted.decision == UNDECIDED:
        found = found.filter(Q(decided=None))
    elif wanted.decision in ReferenceDecision.Decision.values:
        found = found.filter(Q(decided=wanted.decision))
    return found.order_by(F("decided").asc(nulls_first=True), "number")


def specimen_rows(found: "QuerySet[Specimen]") -> list[SpecimenRow]:
    """Return the lines of a page of `find_specimens`. Costs two queries."""
    specimens = list(found.select_related("family", "job"))
    pictured = Frame.objects.filter(view__specimen__in=specimens).order_by("-view__position")
    first_view = dict(pictured.values_list("view__specimen", "view__position"))
    return [
        SpecimenRow(
            id=row.pk,
            number=row.number,
            job=row.job.number,
            zone=row.zone,
            family=row.family.name,
            severity=row.severity,
            unit=row.unit,
            pool=row.pool,
            decision=row.decided,
            ratio=row.decided_ratio,
            clear=bool(row.decided_clear),
            synthetic=row.synthetic,
            retired_day=row.retired_day,
            view=first_view.get(row.pk),
        )
        for row in specimens
    ]


def decisions_of(specimen: Specimen) -> list[DecisionRow]:
    """Return every decision about a specimen, the newest first. Costs one query.

    The first row of each sheet's revision is the one that counts under it.
    """
    rows = (
        ReferenceDecision.objects.filter(specimen=specimen)
        .select_related("work_instruction", "family", "recorded_by", "reason", "general")
        .order_by("-recorded_at", "-position")
    )
    found, seen = [], set()
    for fact in rows:
        found.append(DecisionRow(fact, counts=fact.work_instruction_id not in seen))
        seen.add(fact.work_instruction_id)
    return found


def views_of(specimens: Iterable[UUID]) -> dict[UUID, tuple[ViewRow, ...]]:
    """Return the views of specimens with frames and outlines, by specimen. Costs three queries."""
    views = View.objects.filter(specimen__in=list(specimens))
    by_part: dict[UUID, list[ViewRow]] = defaultdict(list)
    for part, row in _view_rows(views):
        by_part[part].append(row)
    return {part: tuple(rows) for part, rows in by_part.items()}


def first_piece_views(job: Job, moment: dt.datetime) -> FirstPieceViews | None:
    """Return the first piece a job is compared with at the moment. Costs four queries.

    None where none is approved, or where the one approved last has no picture: an older one would
    be the wrong one to compare with.
    """
    piece = first_piece_of(job, moment)
    if piece is None:
        return None
    rows = _view_rows(View.objects.filter(first_piece=piece, frames__position=0))
    return FirstPieceViews(piece, tuple(row for _part, row in rows)) if rows else None


def _view_rows(views: QuerySet[View]) -> list[tuple[UUID, ViewRow]]:
    views = views.order_by("position")
    frames: dict[UUID, list[FrameRow]] = defaultdict(list)
    for frame in Frame.objects.filter(view__in=views.order_by()).order_by("position"):
        frames[frame.view_id].append(
            FrameRow(frame.position, frame.width, frame.height, frame.angle_deg)
        )
    regions: dict[UUID, list[tuple[str, list[list[list[float]]]]]] = defaultdict(list)
    outlined = Region.objects.filter(view__in=views.order_by()).select_related("family")
    for region in outlined.order_by("family__position"):
        regions[region.view_id].append((region.family.slug, region.polygons))
    return [
        (
            view.specimen_id or view.first_piece_id,  # type: ignore[misc]
            ViewRow(
                id=view.pk,
                position=view.position,
                kind=view.kind,
                change=view.change,
                px_per_mm=view.px_per_mm,
                frames=tuple(frames[view.pk]),
                regions=tuple(regions[view.pk]),
            ),
        )
        for view in views
    ]
