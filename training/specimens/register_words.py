"""The register in words: what state a copy is in, and what to do about it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from training.floor.limit_rulings import SampleKind
from training.specimens.forms.fields import words
from training.specimens.models import Pool
from training.specimens.register import CopyRow, PartRow, State

# Key of the shape, and the word beside it.
SAID: Final[Mapping[State, tuple[str, str | Promise]]] = {
    State.VALID: ("in_force", pgettext_lazy("a real part", "valid")),
    State.WORN: ("due_soon", pgettext_lazy("a real part", "worn, still used")),
    State.ENDS_SOON: ("due_soon", gettext_lazy("ends soon")),
    State.LOOK_AT_IT: ("gap", gettext_lazy("look at it first")),
    State.EXPIRED: ("lapsed", pgettext_lazy("a real part", "expired")),
    State.DAMAGED: ("gap", pgettext_lazy("a real part", "damaged")),
    State.LOST: ("gap", pgettext_lazy("a real part", "lost")),
    State.WITHDRAWN: ("open", pgettext_lazy("a real part", "withdrawn")),
}
REMEDY: Final[Mapping[State, str | Promise]] = {
    State.WORN: gettext_lazy("Compare it with the other copy, and renew it in time."),
    State.ENDS_SOON: gettext_lazy("Have it signed for longer before it ends, or make a new one."),
    State.LOOK_AT_IT: gettext_lazy("Handled often: look at it and write down how it was found."),
    State.EXPIRED: gettext_lazy("Register and sign a new one."),
    State.DAMAGED: gettext_lazy("Withdraw it and register a new one."),
    State.LOST: gettext_lazy("Find it, or withdraw it and register a new one."),
}


@dataclass(frozen=True, slots=True)
class CopyWords:
    """A copy with the shape and words of its state, and what to do."""

    row: CopyRow
    shape: str
    word: str
    remedy: str


@dataclass(frozen=True, slots=True)
class PartWords:
    """A part of the register in words."""

    row: PartRow
    family: str
    kind: str
    shape: str
    word: str
    copies: tuple[CopyWords, ...]

    @property
    def no_copy_left(self) -> bool:
        """Whether a limit that rests on this sample has nothing to rest on."""
        return self.row.is_sample and not self.row.state.usable


def copy_words(row: CopyRow) -> CopyWords:
    shape, word = SAID[row.state]
    return CopyWords(row, shape, str(word), str(REMEDY.get(row.state, "")))


def row_words(row: PartRow) -> PartWords:
    shape, word = SAID[row.state]
    return PartWords(
        row=row,
        family=words(row.family),
        kind=_kind(row),
        shape=shape,
        word=str(word),
        copies=tuple(copy_words(copy) for copy in row.copies),
    )


def _kind(row: PartRow) -> str:
    if not row.is_sample:
        return f"{_('examination part')}, {Pool(row.kind).label}"
    worst = row.kind == SampleKind.WORST_ACCEPTED
    return _("limit sample, worst accepted") if worst else _("limit sample, least refused")
