"""Why a picture was refused, in words: what is wrong, and what to do about it."""

from collections.abc import Mapping
from typing import Final

from django.conf import settings
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from training.specimens.pictures.intake import PicturesError
from training.specimens.pictures.refusals import PictureError, Refusal

SENTENCES: Final[Mapping[Refusal, Promise]] = {
    Refusal.EMPTY: _("The file is empty. Choose it again, or take the picture again."),
    Refusal.TOO_MANY_BYTES: _(
        "The file is larger than %(most)s MB. Save the picture as a JPEG and send that."
    ),
    Refusal.TEXT: _(
        "This is a text file, whatever its name says. Send the picture itself: JPEG, PNG,"
        " WebP or HEIC."
    ),
    Refusal.DRAWING: _(
        "This is a drawing (SVG), not a photograph. Export it as PNG, or take a photograph."
    ),
    Refusal.FILM: _("This is a film. Send a still picture, or a screenshot of the film."),
    Refusal.OTHER_FORMAT: _(
        "%(format)s files are not taken. Save the picture as JPEG, PNG or WebP and send that."
    ),
    Refusal.UNKNOWN: _(
        "This is no picture that can be read here. Send a JPEG, PNG, WebP or HEIC file."
    ),
    Refusal.HEIC_NOT_HERE: _(
        "This site is not set up for HEIC pictures. Set the camera to “most compatible”"
        " (JPEG) and take the picture again, or ask for the “phone” extra to be installed."
    ),
    Refusal.TOO_MANY_PIXELS: _(
        "The picture is too large: %(size)s pixels. At most 50 megapixels are taken; set the"
        " camera to a smaller size, or cut out the part that matters."
    ),
    Refusal.TOO_FEW_PIXELS: _(
        "The picture is too small: %(size)s pixels. Nobody can judge a part on it; send the"
        " original, not a preview."
    ),
    Refusal.SEVERAL_PICTURES: _(
        "The file holds several pictures, or an animation. Save one still picture and send that."
    ),
    Refusal.DAMAGED: _(
        "The file is damaged or incomplete. Copy it from the phone again, or take the picture"
        " again."
    ),
    Refusal.FOR_PRINT: _(
        "The picture's colours are meant for print (CMYK). Save it as RGB and send that."
    ),
    Refusal.TOO_MUCH_WORK: _(
        "The picture could not be decoded within the limits of memory and time. Save it as a"
        " plain JPEG and send that."
    ),
}


def reason(refused: PictureError) -> str:
    """Return one or two sentences: what is wrong with the file, and the remedy."""
    detail = refused.detail or "?"
    values = {"most": settings.PICTURE_UPLOAD_MEGABYTES, "format": detail, "size": detail}
    return str(SENTENCES[refused.code]) % values


def reasons(refused: PicturesError) -> list[str]:
    """Return a line for each refused file: its name, then the reason."""
    return [f"{file.name}: {reason(file.refused)}" for file in refused.files]
