"""Handing a picture to a browser so that nothing but the picture itself tells anything of the part."""

import logging

from django.http import Http404, HttpResponse

from training.specimens.models import Frame
from training.specimens.pictures.padding import padded
from training.specimens.pictures.storage import path_of, small_name

TYPES = {"jpg": "image/jpeg", "webp": "image/webp"}
# Addresses are random and pictures never change, so a browser may keep them for an hour; nobody
# between browser and site may keep or re-encode them.
CACHE = "private, max-age=3600, no-transform"

logger = logging.getLogger(__name__)


def frame_response(frame: Frame, *, small: bool = False) -> HttpResponse:
    """Return the picture's bytes, padded to steps of 16 KiB, without a name, day or validator.

    The caller has checked that this person may see this picture now. `small` asks for the picture
    of at most 360 pixels that lists show.

    Raises
    ------
    Http404
        If the file is not where it should be; the log says which.
    """
    name = small_name(frame.file) if small else frame.file
    try:
        data = path_of(name).read_bytes()
    except OSError as error:
        logger.error("The picture %s of frame %s cannot be read: %s", name, frame.pk, error)
        raise Http404 from error
    response = HttpResponse(padded(data), content_type=TYPES[name.rpartition(".")[2]])
    response.headers["Cache-Control"] = CACHE
    response.headers["Content-Disposition"] = "inline"
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    return response
