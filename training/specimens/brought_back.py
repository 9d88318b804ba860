"""What was retired and brought back: when, by whom and why, as its signatures say."""

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from training.people.models import Signature
from training.specimens.models import Specimen, SpecimenSet

# The meaning of the signature, by reason: both are one fact of the record.
MEANINGS: Final[Mapping[str, Promise]] = {
    "brings back: retired by mistake": _("retired by mistake"),
    "brings back: its doubt is cleared up": _("what was doubted is cleared up"),
    "brings back: needed again": _("needed again"),
}


@dataclass(frozen=True, slots=True)
class BroughtBack:
    """One time a specimen or a set was used again."""

    moment: dt.datetime
    by: str
    why: Promise


def brought_back(
    of: type[Specimen] | type[SpecimenSet], keys: Collection[UUID]
) -> dict[UUID, list[BroughtBack]]:
    """Return when specimens or sets were brought back, the newest first. Costs one query."""
    signed = Signature.objects.filter(
        subject_kind=of._meta.label_lower, subject_id__in=keys, meaning__in=MEANINGS
    )
    found: dict[UUID, list[BroughtBack]] = defaultdict(list)
    for each in signed.select_related("person").order_by("-recorded_at", "-position"):
        why = MEANINGS[each.meaning]
        found[each.subject_id].append(BroughtBack(each.recorded_at, each.person.name, why))
    return dict(found)
