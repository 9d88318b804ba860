"""Why a retired specimen stays out: those who answer it late know its picture."""

import datetime as dt
from uuid import UUID

from django.utils import timezone
from django.utils.translation import gettext as _

from training.people.models import Role
from training.quizzes.selectors.specimen_statistics import specimen_statistics
from training.quizzes.specimen_figures import Doubt


def picture_is_known(specimen: UUID, moment: dt.datetime) -> str:
    """Say that a specimen is answered better than it was, as a picture is that goes round, or nothing."""
    found = specimen_statistics(roles={Role.QUALITY}, now=moment, day=timezone.localdate(moment))
    line = next((each for each in found.lines if each.id == specimen), None)
    if line is None or Doubt.PERHAPS_KNOWN not in line.figures.doubts:
        return ""
    return _(
        "Its picture is perhaps known: late answers are better than early ones. "
        "Photograph another part."
    )
