"""From files that people send to pictures that are kept: what is wrong with which file, in words."""

from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _

from training.specimens.pictures.intake import PicturesError, TakenPicture, take_in_all
from training.specimens.pictures.words import reasons

MOST_FILES = 24


def taken(files: "Sequence[UploadedFile[bytes]]", *, one_size: bool) -> list[TakenPicture]:
    """Take in every file, or raise ValidationError on `pictures` with a line for each problem.

    With `one_size` the pictures are frames of one view and must share their pixels.
    """
    if not files:
        raise ValidationError({"pictures": _("Choose at least one picture.")})
    if len(files) > MOST_FILES:
        raise ValidationError(
            {"pictures": _("At most %(most)s pictures at once.") % {"most": MOST_FILES}}
        )
    try:
        pictures = take_in_all(files)
    except PicturesError as error:
        raise ValidationError({"pictures": reasons(error)}) from error
    if one_size:
        _check_one_size(files, pictures)
    return pictures


def _check_one_size(
    files: "Sequence[UploadedFile[bytes]]", pictures: Sequence[TakenPicture]
) -> None:
    first = pictures[0].encoded
    problems = [
        _(
            "%(file)s: %(width)s × %(height)s pixels, but the first frame has %(first_width)s ×"
            " %(first_height)s. Frames of one view are taken from one place with one setting."
        )
        % {
            "file": file.name,
            "width": picture.encoded.width,
            "height": picture.encoded.height,
            "first_width": first.width,
            "first_height": first.height,
        }
        for file, picture in zip(files, pictures, strict=True)
        if (picture.encoded.width, picture.encoded.height) != (first.width, first.height)
    ]
    if problems:
        raise ValidationError({"pictures": problems})
