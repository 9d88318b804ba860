"""The forms that bring pictures in: a part of its own, and one more view of a part."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms
from django.utils.translation import get_language, gettext
from django.utils.translation import gettext_lazy as _

from training.floor.models import Family, Job, Zone
from training.specimens.forms.fields import FamilyField, JobField, pictures_field, scale_field
from training.specimens.limit_rows import UNITS
from training.specimens.models import Pool, View


class SpecimenForm(forms.Form):
    """A part and its pictures."""

    pictures = pictures_field()
    change = forms.ChoiceField(
        label=_("The pictures show"),
        choices=[
            ("none", _("different views: the whole part first, then close-ups")),
            ("tilt", _("one view, the part tilted from picture to picture")),
            ("light", _("one view, the lamp moved from picture to picture")),
        ],
    )
    px_per_mm = scale_field()
    job = JobField(
        label=_("Job"), queryset=Job.objects.filter(ended_day=None), empty_label=_("choose")
    )
    zone = forms.ChoiceField(label=_("Zone"), choices=Zone)
    family = FamilyField(
        label=_("Defect family"),
        queryset=Family.objects.all(),
        empty_label=_("choose"),
        help_text=_("For a good part: the family it is near to, or might be taken for."),
    )
    severity = forms.DecimalField(
        label=_("Measured severity"),
        required=False,
        min_value=0,
        max_value=99999,
        decimal_places=4,
        help_text=_("The largest mark, measured on the part. 0 for a clean part."),
    )
    unit = forms.ChoiceField(label=_("Unit"), choices=[("", "–"), *UNITS.items()], required=False)
    pool = forms.ChoiceField(
        label=_("Pool"),
        choices=Pool,
        initial=Pool.NEITHER,
        help_text=_(
            "Exam: shown without its answer. Teaching: lessons and practice show its answer."
        ),
    )
    number = forms.CharField(
        label=_("Number"),
        required=False,
        max_length=20,
        help_text=_(
            "As written on the part's bag. Left empty, the next of the series S-00001 is given."
        ),
    )
    note = forms.CharField(
        label=_("Note"), required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Fieldset(
                gettext("Pictures"),
                "pictures",
                Row(
                    Column("change", css_class="col-md-8"),
                    Column("px_per_mm", css_class="col-md-4"),
                ),
            ),
            Fieldset(
                gettext("The part"),
                Row(Column("job", css_class="col-md-8"), Column("zone", css_class="col-md-4")),
                "family",
                Row(
                    Column("severity", css_class="col-md-4"),
                    Column("unit", css_class="col-md-4"),
                ),
            ),
            Fieldset(
                gettext("In the bank"),
                Row(Column("pool", css_class="col-md-6"), Column("number", css_class="col-md-6")),
                "note",
            ),
        )

    def clean_note(self) -> dict[str, str] | None:
        note = self.cleaned_data["note"].strip()
        return {(get_language() or "en").split("-")[0]: note} if note else None


class ViewForm(forms.Form):
    """One more view of a part."""

    pictures = pictures_field()
    kind = forms.ChoiceField(label=_("View"), choices=View.Kind, initial=View.Kind.CLOSE_UP)
    change = forms.ChoiceField(label=_("From picture to picture"), choices=View.Change)
    px_per_mm = scale_field()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            "pictures",
            Row(
                Column("kind", css_class="col-md-4"),
                Column("change", css_class="col-md-4"),
                Column("px_per_mm", css_class="col-md-4"),
            ),
        )
