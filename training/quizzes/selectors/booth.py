"""What stands in the booth: the part, the first piece beside it, the limits, the families to name.

Nothing here depends on what a specimen is: the same queries and the same fields for every part.
"""

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from django.db.models import F, QuerySet
from django.utils import timezone
from django.utils.translation import get_language

from training.floor.models import Family, FirstPiece, Job
from training.quizzes.kinds import AT_ONCE
from training.quizzes.models import Presented, Sitting
from training.quizzes.words import here
from training.specimens.limit_captions import LimitWords, limit_words, short_name
from training.specimens.models import Frame, Pool, ReferenceDecision, Region, Specimen, View
from training.specimens.standards import Standard, standards_of


@dataclass(frozen=True, slots=True)
class FrameRef:
    """A picture by the number it is asked for, over all views of a part."""

    number: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class ViewRef:
    """A view of a part: its pictures, and picture pixels per millimetre where known."""

    frames: tuple[FrameRef, ...]
    ppm: float | None
    kind: str
    change: str


@dataclass(frozen=True, slots=True)
class MarkRef:
    """An inspector's mark on the first piece, in picture pixels."""

    x: int
    y: int
    r: int
    size: int
    word: str
    note: str


@dataclass(frozen=True)
class FirstPieceRef:
    """The approved first piece of a part's job, as far as it is pictured."""

    piece: FirstPiece
    views: tuple[ViewRef, ...]
    marks: tuple[MarkRef, ...] = ()


@dataclass(frozen=True, slots=True)
class FamilyRef:
    """A family that may be named, on which page of the pick it stands, and whether it has a picture."""

    slug: str
    name: str
    page: int
    pictured: bool


@dataclass(frozen=True)
class BoothPart:
    """One part as it is shown: the same fields whatever it is."""

    ordinal: int
    job: Job
    zone: str
    number: str
    views: tuple[ViewRef, ...]
    first: FirstPieceRef | None
    limits: tuple[LimitWords, ...]
    sheet: str
    families: tuple[FamilyRef, ...] = field(default=())

    @property
    def pages(self) -> int:
        return max((family.page for family in self.families), default=1)


PER_PAGE = 8


def booth_parts(sitting: Sitting, ordinals: Iterable[int]) -> list[BoothPart]:
    """Return parts of a sitting as they are shown. Costs fifteen queries at most, whatever they are."""
    presented = list(
        Presented.objects.filter(sitting=sitting, ordinal__in=list(ordinals))
        .select_related("specimen__job", "work_instruction")
        .order_by("ordinal")
    )
    jobs = list({each.specimen.job_id: each.specimen.job for each in presented}.values())
    standards = standards_of(jobs, timezone.localdate(sitting.opened_at)) if jobs else {}
    views = views_by_part(
        View.objects.filter(specimen__in=[each.specimen_id for each in presented])
    )
    pieces = _first_pieces(jobs, sitting)
    families = list(Family.objects.select_related("group"))
    pictured = frozenset(pictured_families())
    return [
        BoothPart(
            ordinal=each.ordinal,
            job=each.specimen.job,
            zone=each.specimen.zone,
            number=each.specimen.number,
            views=views.get(each.specimen_id, ()),
            first=pieces.get(each.specimen.job_id),
            limits=_limits(sitting, standards[each.specimen.job_id], each.specimen, families),
            sheet=each.work_instruction.revision if each.work_instruction else "",
            families=_families(sitting, each, families, pictured),
        )
        for each in presented
    ]


def views_by_part(views: "Iterable[View]") -> dict[uuid.UUID, tuple[ViewRef, ...]]:
    """Return views with their numbered frames by part. Costs two queries."""
    rows = list(views.order_by("position"))  # type: ignore[attr-defined]
    frames: dict[uuid.UUID, list[Frame]] = {row.pk: [] for row in rows}
    for frame in Frame.objects.filter(view__in=[row.pk for row in rows]).order_by("position"):
        frames[frame.view_id].append(frame)
    numbers: dict[uuid.UUID, int] = {}
    found: dict[uuid.UUID, tuple[ViewRef, ...]] = {}
    for row in rows:
        part = row.specimen_id or row.first_piece_id
        start = numbers.get(part, 0)
        refs = tuple(
            FrameRef(start + place, frame.width, frame.height)
            for place, frame in enumerate(frames[row.pk])
        )
        numbers[part] = start + len(refs)
        if refs:
            ppm = None if row.px_per_mm is None else float(row.px_per_mm)
            found[part] = (*found.get(part, ()), ViewRef(refs, ppm, row.kind, row.change))
    return found


def frame_numbered(view_of: dict[str, object], number: int) -> Frame | None:
    """Return a part's picture by its number over all views, or None. Costs one query."""
    lookup = {f"view__{name}": value for name, value in view_of.items()}
    frames = Frame.objects.filter(**lookup).order_by("view__position", "position")
    return frames[number : number + 1].first() if number >= 0 else None


def first_piece_for(job_id: uuid.UUID, sitting: Sitting) -> FirstPiece | None:
    """Return the pictured first piece that a sitting shows for a job, or None. Costs one query."""
    return (
        FirstPiece.objects.filter(
            job=job_id, approved_at__lte=sitting.opened_at, views__frames__position=0
        )
        .order_by("-approved_at")
        .first()
    )


@dataclass(frozen=True)
class Outlined:
    """A picture with the outline of its defect, in picture pixels."""

    frame: Frame
    polygons: list[list[list[float]]]


def pictured_families() -> list[str]:
    """Return the families of which the teaching pool has an outlined picture. Costs one query."""
    return list(
        _taught().order_by().values_list("view__specimen__family__slug", flat=True).distinct()
    )


def family_picture(slug: str) -> Outlined | None:
    """Return the picture that stands for a family: its clearest in teaching. Costs three queries."""
    region = (
        _taught()
        .filter(view__specimen__family__slug=slug)
        .order_by(
            F("view__specimen__decisions__severity_ratio").desc(nulls_last=True), "-view__position"
        )
        .first()
    )
    if region is None:
        return None
    frames = list(Frame.objects.filter(view=region.view_id).order_by("position"))
    return Outlined(frames[len(frames) // 2], region.polygons) if frames else None


def _taught() -> QuerySet[Region]:
    """Outlines of bad teaching specimens, each of its specimen's own family."""
    return Region.objects.filter(
        view__specimen__pool=Pool.TEACHING,
        view__specimen__retired_day=None,
        view__specimen__decisions__decision=ReferenceDecision.Decision.REJECT,
        view__frames__position=0,
        family=F("view__specimen__family"),
    )


def _first_pieces(jobs: Sequence[Job], sitting: Sitting) -> dict[uuid.UUID, FirstPieceRef]:
    newest: dict[uuid.UUID, FirstPiece] = {}
    pieces = FirstPiece.objects.filter(
        job__in=[job.pk for job in jobs], approved_at__lte=sitting.opened_at
    ).filter(views__frames__position=0)
    for piece in pieces.order_by("approved_at"):
        newest[piece.job_id] = piece
    views = views_by_part(
        View.objects.filter(first_piece__in=[each.pk for each in newest.values()])
    )
    return {
        job: FirstPieceRef(piece, views.get(piece.pk, ()), _marks(piece, views.get(piece.pk, ())))
        for job, piece in newest.items()
    }


def _marks(piece: FirstPiece, views: Sequence[ViewRef]) -> tuple[MarkRef, ...]:
    """Return the inspector's marks in pixels of the first view; they are kept as shares of it."""
    if not views:
        return ()
    frame = views[0].frames[0]
    return tuple(
        MarkRef(
            x=round(float(mark["x"]) * frame.width),
            y=round(float(mark["y"]) * frame.height),
            r=round(frame.width / 36),
            size=round(frame.width / 24),
            word=str(number),
            note=here(mark.get("note")),
        )
        for number, mark in enumerate(piece.marks, start=1)
    )


def _limits(
    sitting: Sitting, standard: Standard, specimen: Specimen, families: Iterable[Family]
) -> tuple[LimitWords, ...]:
    """Return the limits shown: of the whole group in an exam, of its families in practice."""
    language = get_language() or "en"
    shown = [family for family in families if _is_shown(sitting, family)]
    found = (
        limit_words(
            family.slug,
            here(family.short),
            standard.rulings(family.slug, specimen.zone),
            language[:2],
        )
        for family in shown
    )
    return tuple(words for words in found if words is not None)


def _is_shown(sitting: Sitting, family: Family) -> bool:
    if sitting.kind in AT_ONCE:
        return family.slug in sitting.families
    return family.group.code in sitting.groups


def _families(
    sitting: Sitting, presented: Presented, families: Sequence[Family], pictured: frozenset[str]
) -> tuple[FamilyRef, ...]:
    """Return the families to name: the sitting's groups first, then those of the job's sheet."""
    needs = presented.work_instruction.needs if presented.work_instruction else {}
    chosen = [each for each in families if each.group.code in sitting.groups or each.slug in needs]
    chosen.sort(key=lambda each: each.group.code not in sitting.groups)
    per_page = PER_PAGE if len(chosen) <= PER_PAGE else PER_PAGE - 1
    return tuple(
        FamilyRef(
            each.slug, _button_name(here(each.short)), place // per_page + 1, each.slug in pictured
        )
        for place, each in enumerate(chosen)
    )


def _button_name(name: str) -> str:
    short = short_name(name)
    return short[:1].upper() + short[1:]
