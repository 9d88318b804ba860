"""Who may decide about whom: quality, and for the critical level nobody who taught or watched."""

from enum import StrEnum

from django.utils.translation import gettext as _

from certification.certificates.models import Arrangement, ObservedCheck
from training.floor.models import Turn
from training.people.models import Person, Role
from training.quizzes.models import Sitting


class Tie(StrEnum):
    """What keeps somebody from deciding about a person's sitting."""

    SELF = "self"
    NOT_QUALITY = "not_quality"
    INVIGILATED = "invigilated"
    TRAINED = "trained"


# These hold at every level; the others only at critical level.
AT_EVERY_LEVEL = (Tie.SELF, Tie.NOT_QUALITY)


def ties_to(decider: Person, sitting: Sitting) -> tuple[Tie, ...]:
    """Return what keeps the decider from granting this sitting at critical level. Four queries.

    Somebody trained a person who observed them at the press, was their named buddy on a turn, or
    is or was their buddy by standing arrangement.
    """
    person_id = sitting.person_id
    found = {
        Tie.SELF: decider.pk == person_id,
        Tie.NOT_QUALITY: Role.QUALITY not in decider.roles(),
        Tie.INVIGILATED: decider.pk == sitting.invigilator_id,
        Tie.TRAINED: (
            ObservedCheck.objects.filter(person_id=person_id, observer=decider).exists()
            or Arrangement.objects.filter(person_id=person_id, buddy=decider).exists()
            or Turn.objects.filter(person_id=person_id, buddy=decider).exists()
        ),
    }
    return tuple(tie for tie, holds in found.items() if holds)


def tie_text(tie: Tie, *, decider: str, person: str) -> str:
    """Say what keeps the decider away, and what to do about it."""
    return {
        Tie.SELF: _("Nobody decides about themselves: ask another person of quality."),
        Tie.NOT_QUALITY: _("%(decider)s is not of quality: a person of quality decides."),
        Tie.INVIGILATED: _(
            "%(decider)s invigilated this sitting: another person of quality decides at critical "
            "level."
        ),
        Tie.TRAINED: _(
            "%(decider)s trained %(person)s: another person of quality decides at critical level."
        ),
    }[tie] % {"decider": decider, "person": person}
