"""Which real parts a sitting shows, in its order, and where they are kept."""

import datetime as dt
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, QuerySet

from training.quizzes.models import Presented, Sitting
from training.specimens.models import View
from training.specimens.register import copies_to_lay_out


@dataclass(frozen=True, slots=True)
class OrderRow:
    """A numbered part in its place in the order; without a place no copy may be used today."""

    ordinal: int
    number: str
    letter: str
    place: str


def shows_real_parts(sitting: Sitting) -> bool:
    """Return whether any part of the sitting is taken from the cabinet. Costs one query."""
    return _without_pictures(sitting).exists()


def order_of(sitting: Sitting, day: dt.date) -> list[OrderRow]:
    """Return the parts without pictures in the order of the sitting. Costs two queries."""
    presented = list(
        _without_pictures(sitting)
        .order_by("ordinal")
        .values_list("ordinal", "specimen", "specimen__number")
    )
    copies = copies_to_lay_out([specimen for _ordinal, specimen, _number in presented], day)
    rows = []
    for ordinal, specimen, number in presented:
        copy = copies.get(specimen)
        rows.append(
            OrderRow(ordinal, number, copy.letter if copy else "", copy.place if copy else "")
        )
    return rows


def _without_pictures(sitting: Sitting) -> QuerySet[Presented]:
    pictured = View.objects.filter(specimen=OuterRef("specimen"))
    return Presented.objects.filter(sitting=sitting).exclude(Exists(pictured))
