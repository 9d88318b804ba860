"""Adding specimens and their views from pictures that people send."""

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from training.floor.limits import Unit
from training.floor.models import Family, FirstPiece, Job
from training.people.models import Person
from training.specimens.models import Frame, Pool, Specimen, View
from training.specimens.numbers import numbers_from_next
from training.specimens.pictures.intake import TakenPicture
from training.specimens.pictures.storage import Shelf, new_pictures, sha256
from training.specimens.services.pictures import taken

TRIES = 5


def add_specimen(
    *,
    job: Job,
    zone: str,
    family: Family,
    pictures: "Sequence[UploadedFile[bytes]]",
    by: Person,
    moment: dt.datetime,
    severity: Decimal | None = None,
    unit: str = "",
    pool: str = Pool.NEITHER,
    number: str = "",
    change: str = View.Change.NONE,
    px_per_mm: Decimal | None = None,
    note: dict[str, str] | None = None,
) -> Specimen:
    """Keep a part and its pictures, all of them or nothing.

    With a change of tilt or light the pictures are frames of one view, in their order; without,
    each is a view of its own, the first of the whole part and the others close up. `px_per_mm` is
    that of the pictures as they were sent. Without a number the next of the series is given.

    Raises
    ------
    ValidationError
        By field; the problems of files stand on `pictures`, each with the file's name.
    """
    check_severity(severity, unit)
    in_frames = change != View.Change.NONE
    files = taken(pictures, one_size=in_frames)
    views = [files] if in_frames else [[file] for file in files]
    with new_pictures() as shelf, transaction.atomic():
        specimen = _saved(
            Specimen(
                job=job,
                zone=zone,
                family=family,
                severity=severity,
                unit=unit,
                pool=pool,
                note=note,
                created_at=moment,
                created_by=by,
            ),
            number.strip(),
        )
        for place, frames in enumerate(views):
            view = View(
                specimen=specimen,
                kind=View.Kind.CLOSE_UP if place else View.Kind.WHOLE,
                change=change,
                position=place,
            )
            save_view(view, frames, px_per_mm, shelf)
    return specimen


def add_view(
    *,
    pictures: "Sequence[UploadedFile[bytes]]",
    specimen: Specimen | None = None,
    first_piece: FirstPiece | None = None,
    kind: str = View.Kind.CLOSE_UP,
    change: str = View.Change.NONE,
    px_per_mm: Decimal | None = None,
) -> View:
    """Add one view to a specimen or to an approved first piece; its pictures are its frames.

    Raises
    ------
    ValidationError
        If a picture cannot be taken, or several come without a change of tilt or light.
    """
    if change == View.Change.NONE and len(pictures) > 1:
        raise ValidationError(
            {
                "change": _(
                    "Several pictures of one view differ in tilt or in light: say which, or add"
                    " them one by one."
                )
            }
        )
    frames = taken(pictures, one_size=True)
    with new_pictures() as shelf, transaction.atomic():
        part = {"specimen": specimen} if specimen else {"first_piece": first_piece}
        last = View.objects.filter(**part).order_by("position").last()
        view = View(kind=kind, change=change, position=last.position + 1 if last else 0, **part)
        save_view(view, frames, px_per_mm, shelf)
    return view


def check_severity(severity: Decimal | None, unit: str) -> None:
    """Refuse, by field, a severity without its unit, below 0, or in a unit no limit uses."""
    if severity is not None and not unit:
        raise ValidationError({"unit": _("Say in which unit the severity was measured.")})
    if severity is None and unit:
        raise ValidationError({"severity": _("Give the measured severity, or leave the unit out.")})
    if unit and unit not in set(Unit):
        raise ValidationError(
            {"unit": _("Use one of these units: %(units)s.") % {"units": ", ".join(Unit)}}
        )
    if severity is not None and severity < 0:
        raise ValidationError({"severity": _("A severity is 0 or more.")})


def _saved(specimen: Specimen, number: str) -> Specimen:
    """Save under the given number, or under the next one that nobody else takes first."""
    if number:
        specimen.number = number
        specimen.full_clean()
        specimen.save()
        return specimen
    for left in reversed(range(TRIES)):
        specimen.number = next(numbers_from_next())
        specimen.full_clean(validate_unique=False)
        try:
            with transaction.atomic():
                specimen.save(force_insert=True)
        except IntegrityError:
            if not left:
                raise
        else:
            break
    return specimen


def save_view(
    view: View, frames: Sequence[TakenPicture], px_per_mm: Decimal | None, shelf: Shelf
) -> None:
    """Save a view and its frames; the files stand on the shelf until the transaction is through."""
    if px_per_mm is not None:
        view.px_per_mm = round(px_per_mm * Decimal(repr(frames[0].scale)), 4)
    view.full_clean(validate_constraints=False)
    view.save()
    rows = [
        Frame(
            view=view,
            position=place,
            file=shelf.put(picture.encoded.data, picture.encoded.small),
            width=picture.encoded.width,
            height=picture.encoded.height,
            sha256=sha256(picture.encoded.data),
        )
        for place, picture in enumerate(frames)
    ]
    Frame.objects.bulk_create(rows)
