"""Rating a specimen: how severe its defect is, in which unit, and with what that was measured."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from training.specimens.models import PanelItem, Specimen
from training.specimens.services.adding import check_severity


@transaction.atomic
def rate_specimen(
    *, specimen: Specimen, severity: Decimal, unit: str, measured_how: str
) -> Specimen:
    """Keep the measured severity; decisions made before keep the ratio they were made with.

    Raises
    ------
    ValidationError
        By field: no unit, a negative severity, or nothing said of how it was measured; while an
        open panel round has the specimen nothing about it changes.
    """
    check_severity(severity, unit)
    if not measured_how.strip():
        raise ValidationError({"measured_how": _("Say with what it was measured or graded.")})
    row = Specimen.objects.select_for_update().get(pk=specimen.pk)
    taken = PanelItem.objects.filter(specimen=row, round__closed_at=None).select_related("round")
    item = taken.first()
    if item is not None:
        raise ValidationError(
            _("Panel round %(number)s is looking at it. Close the round first.")
            % {"number": item.round.number}
        )
    row.severity, row.unit, row.measured_how = severity, unit, measured_how.strip()
    row.full_clean(validate_unique=False)
    row.save(update_fields=["severity", "unit", "measured_how"])
    return row
