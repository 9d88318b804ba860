"""What is wrong with a limit line, in the reader's language."""

from django.utils.translation import gettext_lazy as _

from training.floor.limits import LimitError
from training.people.sheets.problems import Words, worded

NAMES = {
    "zone": _("the zone"),
    "measure": _("the kind of limit"),
    "judged_by": _("how it is judged"),
    "level": _("the level"),
    "value": _("a value"),
    "value2": _("an upper value"),
    "unit": _("a unit"),
    "count": _("a number of marks"),
    "per_area_cm2": _("an area in cm²"),
    "spacing_mm": _("a spacing in mm"),
    "distance_mm": _("a viewing distance in mm"),
    "time_s": _("a viewing time in seconds"),
    "gauge": _("the gauge's number"),
    "sample": _("the limit sample's number"),
    "feature": _("the words of the feature"),
    "compare_to": _("what it is compared with"),
}


def limit_problem(error: LimitError) -> tuple[Words, Words]:
    """Return the fault and its remedy, told apart by the words of the pure rules."""
    name = NAMES.get(error.field, error.field)
    if "needs" in error.problem or "missing" in error.problem or "belong" in error.problem:
        return (
            worded(_("This limit lacks {what}."), what=name),
            worded(_("Give {what}, or choose another kind of limit."), what=name),
        )
    if "no use" in error.problem:
        return (
            worded(_("A limit of this kind has no use for {what}."), what=name),
            _("Leave it empty, or choose another kind of limit."),
        )
    if "lies below" in error.problem:
        return _("The upper value lies below the lower one."), _("Give the larger one second.")
    return (
        worded(_("{what}: out of range."), what=name),
        _("Give a number above 0; where nothing is accepted choose the kind “none”."),
    )
