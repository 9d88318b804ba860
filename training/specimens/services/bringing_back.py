"""Using again what was retired: a specimen, or a set of them."""

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from training.specimens.keeping_out import what_keeps_out
from training.specimens.models import Specimen, SpecimenSet
from training.specimens.series_rows import set_rows


@transaction.atomic
def bring_back_specimen(*, specimen: Specimen, moment: dt.datetime) -> Specimen:
    """Use a retired specimen again, in the pool it was in.

    Raises
    ------
    ValidationError
        If it is not retired, or something keeps it out, as that its picture is known.
    """
    row = Specimen.objects.select_for_update().get(pk=specimen.pk)
    if row.retired_day is None:
        raise ValidationError(_("It is in use already."))
    kept_out = what_keeps_out(row.pk, moment)
    if kept_out:
        raise ValidationError(kept_out)
    row.retired_day = None
    row.save(update_fields=["retired_day"])
    return row


@transaction.atomic
def bring_back_set(*, made: SpecimenSet, moment: dt.datetime) -> SpecimenSet:
    """Show a retired set again.

    Raises
    ------
    ValidationError
        If it is not retired, or its members are no such set under the limits of the day.
    """
    row = SpecimenSet.objects.select_for_update().get(pk=made.pk)
    if row.retired_day is None:
        raise ValidationError(_("It is in use already."))
    (standing,) = set_rows([row], timezone.localdate(moment))
    if standing.problem:
        raise ValidationError(standing.problem)
    row.retired_day = None
    row.save(update_fields=["retired_day"])
    return row
