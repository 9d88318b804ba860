"""Approving a first piece together with its pictures."""

import datetime as dt
from collections.abc import Mapping, Sequence
from decimal import Decimal

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from training.floor.models import FirstPiece, Job
from training.floor.services import approve_first_piece
from training.people.models import Person
from training.specimens.models import View
from training.specimens.pictures.storage import new_pictures
from training.specimens.services.adding import save_view
from training.specimens.services.pictures import taken


def approve_pictured(
    *,
    job: Job,
    revision: str,
    tag: Mapping[str, object],
    pictures: "Sequence[UploadedFile[bytes]]",
    approved_by: Person,
    checked_by: Person | None,
    moment: dt.datetime,
    day: dt.date,
    px_per_mm: Decimal | None = None,
) -> FirstPiece:
    """Record the approved first piece with its pictures: the whole part first, then close-ups.

    `px_per_mm` is that of the first picture as it was sent.

    Raises
    ------
    ValidationError
        By field; all of it or nothing is kept.
    """
    files = taken(pictures, one_size=False)
    with new_pictures() as shelf, transaction.atomic():
        piece = approve_first_piece(
            job=job,
            revision=revision,
            tag=tag,
            approved_by=approved_by,
            checked_by=checked_by,
            moment=moment,
            day=day,
        )
        for place, file in enumerate(files):
            view = View(
                first_piece=piece,
                kind=View.Kind.CLOSE_UP if place else View.Kind.WHOLE,
                position=place,
            )
            save_view(view, [file], None if place else px_per_mm, shelf)
    return piece
