"""Making sets of specimens that are there already, and taking them out of use."""

import datetime as dt
from collections.abc import Sequence
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from training.people.models import Person
from training.specimens.models import SetMember, Specimen, SpecimenSet
from training.specimens.series_rows import fit_of, with_fitness
from training.specimens.series_rules import set_problem


@transaction.atomic
def make_set(
    *,
    kind: str,
    members: Sequence[UUID],
    difference: dict[str, str],
    day: dt.date,
    moment: dt.datetime,
    by: Person | None,
) -> SpecimenSet:
    """Make a set of specimens, given in their order; `difference` says what they differ in.

    Raises
    ------
    ValidationError
        By field: `members` where they do not make such a set under the limits of the day,
        `difference` where nothing is said.
    """
    if kind not in SpecimenSet.Kind.values:
        raise ValidationError({"kind": _("Choose a ladder, a contrast or look-alikes.")})
    if not any(words.strip() for words in difference.values()):
        raise ValidationError({"difference": _("Say the one thing they differ in.")})
    found = with_fitness(Specimen.objects.filter(pk__in=members), day)
    specimens = {specimen.pk: specimen for specimen in found}
    chosen = [specimens[pk] for pk in members if pk in specimens]
    if not chosen:
        raise ValidationError({"members": _("Choose the specimens.")})
    problem = set_problem(kind, [fit_of(specimen) for specimen in chosen])
    if problem:
        raise ValidationError({"members": problem})
    first = chosen[0]
    made = SpecimenSet(
        kind=kind,
        job=first.job,
        zone=first.zone,
        family=first.family,
        difference={code: words.strip() for code, words in difference.items() if words.strip()},
        created_at=moment,
        created_by=by,
    )
    made.full_clean()
    made.save()
    SetMember.objects.bulk_create(
        SetMember(set=made, specimen=specimen, position=place)
        for place, specimen in enumerate(chosen)
    )
    return made


@transaction.atomic
def retire_set(*, made: SpecimenSet, day: dt.date) -> SpecimenSet:
    """Show a set no more from this day on; its specimens stay where they are."""
    row = SpecimenSet.objects.select_for_update().get(pk=made.pk)
    if row.retired_day is None:
        row.retired_day = day
        row.save(update_fields=["retired_day"])
    return row
