"""Adding many specimens of our own making at once: rendered pictures with their ground truth.

The pictures are trusted, so they are encoded here and not in a limited child; a picture that comes
already encoded (`encode.encode`, in a worker process for instance) is written as it is.
"""

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from PIL import Image

from training.floor.models import Family, FirstPiece, Job
from training.people.models import Person
from training.people.record.chain import append
from training.specimens.models import (
    Action,
    Frame,
    Pool,
    ReferenceDecision,
    Region,
    Specimen,
    View,
)
from training.specimens.numbers import numbers_from_next
from training.specimens.pictures.encode import Encoded, encode, small_of
from training.specimens.pictures.header import Kind, read_header
from training.specimens.pictures.refusals import PictureError
from training.specimens.pictures.storage import Shelf, new_pictures, sha256
from training.specimens.pictures.words import reason
from training.specimens.services.deciding import action_for, cannot_measure, check_decision
from training.specimens.standards import CannotMeasureError, Looked, Standard, standards_of

BATCH = 200
Picture = Image.Image | Encoded | bytes


@dataclass(frozen=True, slots=True)
class NewFrame:
    """One picture: a PIL image, its encoded form, or the bytes of a JPEG or WebP of our own."""

    picture: Picture
    angle_deg: float | None = None


@dataclass(frozen=True, slots=True)
class NewRegion:
    """The outline of a family's defect, in pixels of the view's pictures as they are given."""

    family: Family
    polygons: Sequence[Sequence[Sequence[float]]]


@dataclass(frozen=True, slots=True)
class NewView:
    """A view and its frames, in order; all frames of a view have the same size."""

    frames: Sequence[NewFrame]
    kind: str = View.Kind.WHOLE
    change: str = View.Change.NONE
    px_per_mm: float | None = None
    regions: Sequence[NewRegion] = ()


@dataclass(frozen=True, slots=True)
class ByMeasurement:
    """Decide by the severity and the limits of the day; `action` is for a part that is rejected."""

    looked: Looked = field(default_factory=Looked)
    action: str = Action.SEGREGATE


@dataclass(frozen=True, slots=True)
class Decided:
    """A decision that is known already; by default it rests on quality."""

    decision: str
    action: str
    family: Family | None = None
    basis: str = ReferenceDecision.Basis.QUALITY
    severity_ratio: Decimal | None = None
    clear: bool = False


@dataclass(frozen=True, slots=True)
class NewSpecimen:
    """A specimen with everything that hangs on it; `decision=None` leaves it undecided."""

    job: Job
    zone: str
    family: Family
    views: Sequence[NewView]
    severity: float | Decimal | None = None
    unit: str = ""
    pool: str = Pool.NEITHER
    decision: ByMeasurement | Decided | None = None
    number: str = ""
    synthetic: bool = True
    recipe: dict[str, Any] = field(default_factory=dict)
    note: dict[str, str] | None = None


def add_specimens(
    specimens: Iterable[NewSpecimen],
    *,
    day: dt.date,
    moment: dt.datetime,
    by: Person | None = None,
) -> list[Specimen]:
    """Keep many specimens, all of them or none, with a number of queries that grows by batches.

    `day` is the day whose limits decide, `moment` when it is recorded. Call it with some dozens at
    a time where pictures are large.

    Raises
    ------
    ValidationError
        Naming the specimen's place in the list, or its number, and what is wrong with it.
    """
    wanted = list(specimens)
    standards = standards_of({new.job for new in wanted}, day)
    _check_numbers([new.number for new in wanted if new.number])
    series = numbers_from_next()
    with new_pictures() as shelf, transaction.atomic():
        rows = _Rows(shelf)
        for place, new in enumerate(wanted, start=1):
            number = new.number or next(series)
            with _naming(new.number or f"№ {place}"):
                specimen = rows.add(new, number, moment=moment, by=by)
                rows.decide(new, specimen, standards[new.job.pk], by)
        rows.write(moment)
    return rows.specimens


def _check_numbers(numbers: Sequence[str]) -> None:
    """Refuse numbers that are given twice or that a specimen has already."""
    known = set(Specimen.objects.filter(number__in=numbers).values_list("number", flat=True))
    twice = {number for number in numbers if number in known or numbers.count(number) > 1}
    if twice:
        raise ValidationError(f"Numbers of specimens are given once: {', '.join(sorted(twice))}.")


def add_first_piece_views(first_piece: FirstPiece, views: Sequence[NewView]) -> list[View]:
    """Keep the views of an approved first piece after those it has."""
    with new_pictures() as shelf, transaction.atomic():
        rows = _Rows(shelf)
        before = first_piece.views.count()
        for place, new in enumerate(views, start=before):
            rows.add_view(new, View(first_piece=first_piece, position=place))
        rows.write(None)
    return rows.views


@contextmanager
def _naming(name: str) -> Iterator[None]:
    """Put a specimen's name before what is wrong with it."""
    try:
        yield
    except ValidationError as error:
        raise ValidationError([f"{name}: {line}" for line in error.messages]) from error


class _Rows:
    """The rows of one call, made in order and written model by model."""

    def __init__(self, shelf: Shelf) -> None:
        self.shelf = shelf
        self.specimens: list[Specimen] = []
        self.views: list[View] = []
        self.frames: list[Frame] = []
        self.regions: list[Region] = []
        self.decisions: list[ReferenceDecision] = []

    def add(
        self, new: NewSpecimen, number: str, *, moment: dt.datetime, by: Person | None
    ) -> Specimen:
        specimen = Specimen(
            number=number,
            job=new.job,
            zone=new.zone,
            family=new.family,
            severity=_decimal(new.severity),
            unit=new.unit,
            pool=new.pool,
            synthetic=new.synthetic,
            recipe=new.recipe,
            note=new.note,
            created_at=moment,
            created_by=by,
        )
        specimen.clean_fields(exclude=["job", "family", "created_by"])
        if not new.views:
            raise ValidationError("A specimen needs at least one picture.")
        self.specimens.append(specimen)
        for place, view in enumerate(new.views):
            self.add_view(view, View(specimen=specimen, position=place))
        return specimen

    def add_view(self, new: NewView, view: View) -> None:
        view.kind, view.change = new.kind, new.change
        made = [_encoded(frame.picture) for frame in new.frames]
        if not made:
            raise ValidationError("A view needs at least one picture.")
        if len({(each.width, each.height) for each, _ in made}) > 1:
            raise ValidationError("The frames of a view have different sizes.")
        scale = made[0][0].width / _width(new.frames[0].picture)
        if new.px_per_mm is not None:
            view.px_per_mm = round(Decimal(repr(new.px_per_mm * scale)), 4)
        self.views.append(view)
        for place, (frame, (encoded, extension)) in enumerate(zip(new.frames, made, strict=True)):
            self.frames.append(
                Frame(
                    view=view,
                    position=place,
                    angle_deg=_decimal(frame.angle_deg, 2),
                    file=self.shelf.put(encoded.data, encoded.small, extension),
                    width=encoded.width,
                    height=encoded.height,
                    sha256=sha256(encoded.data),
                )
            )
        self.regions += [_region(region, view, scale, made[0][0]) for region in new.regions]

    def decide(
        self, new: NewSpecimen, specimen: Specimen, standard: Standard, by: Person | None
    ) -> None:
        if new.decision is None:
            return
        fact = (
            _by_measurement(new, new.decision, standard)
            if isinstance(new.decision, ByMeasurement)
            else _as_decided(new.decision)
        )
        fact.specimen, fact.work_instruction, fact.recorded_by = specimen, standard.sheet, by
        check_decision(fact)
        self.decisions.append(fact)

    def write(self, moment: dt.datetime | None) -> None:
        Specimen.objects.bulk_create(self.specimens, batch_size=BATCH)
        View.objects.bulk_create(self.views, batch_size=BATCH)
        Frame.objects.bulk_create(self.frames, batch_size=BATCH)
        Region.objects.bulk_create(self.regions, batch_size=BATCH)
        if self.decisions:
            append(*self.decisions, moment=moment)


def _by_measurement(new: NewSpecimen, how: ByMeasurement, standard: Standard) -> ReferenceDecision:
    try:
        said = standard.measure(
            family=new.family.slug,
            zone=new.zone,
            severity=new.severity,
            unit=new.unit,
            looked=how.looked,
        )
    except CannotMeasureError as error:
        raise ValidationError(cannot_measure(error)) from error
    return ReferenceDecision(
        general=standard.general if said.by_general else None,
        decision=said.decision,
        family=new.family,
        action=action_for(said, how.action),
        basis=ReferenceDecision.Basis.MEASURED,
        severity_ratio=said.ratio,
        clear=said.clear,
    )


def _as_decided(known: Decided) -> ReferenceDecision:
    return ReferenceDecision(
        decision=known.decision,
        family=known.family,
        action=known.action,
        basis=known.basis,
        severity_ratio=known.severity_ratio,
        clear=known.clear,
    )


def _region(new: NewRegion, view: View, scale: float, frame: Encoded) -> Region:
    polygons = [
        [[round(x * scale, 1), round(y * scale, 1)] for x, y in polygon] for polygon in new.polygons
    ]
    inside = all(
        0 <= x <= frame.width and 0 <= y <= frame.height for polygon in polygons for x, y in polygon
    )
    if not polygons or not inside or any(len(polygon) < 3 for polygon in polygons):
        raise ValidationError(
            "An outline needs three points or more, all of them inside the picture."
        )
    return Region(view=view, family=new.family, polygons=polygons)


def _encoded(picture: Picture) -> tuple[Encoded, str]:
    """Return the picture as it is kept and the ending of its file's name."""
    if isinstance(picture, Encoded):
        return picture, "jpg"
    if isinstance(picture, Image.Image):
        return encode(picture), "jpg"
    try:
        header = read_header(picture)
    except PictureError as error:
        raise ValidationError(reason(error)) from error
    if header.kind not in (Kind.JPEG, Kind.WEBP):
        raise ValidationError("Encoded pictures are JPEG or WebP.")
    try:
        small = small_of(picture)
    except (OSError, ValueError) as error:
        raise ValidationError(f"An encoded picture cannot be kept: {error}.") from error
    extension = "jpg" if header.kind is Kind.JPEG else "webp"
    return Encoded(picture, small, header.width, header.height), extension


def _width(picture: Picture) -> int:
    return read_header(picture).width if isinstance(picture, bytes) else picture.width


def _decimal(value: float | Decimal | None, places: int = 4) -> Decimal | None:
    return None if value is None else round(Decimal(str(value)), places)
