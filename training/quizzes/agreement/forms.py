"""The form that plans an agreement study."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Div, Fieldset, Layout, Row
from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.floor.models import Family
from training.people.models import Person
from training.quizzes.agreement.precision import USUAL_PARTS, USUAL_REPEATS
from training.quizzes.models import AgreementStudy
from training.quizzes.words import here
from training.specimens.models import Pool

PICTURES, PHYSICAL = AgreementStudy.Basis.PICTURES, AgreementStudy.Basis.PHYSICAL


class StudyForm(forms.Form):
    """Who judges which parts how often; shares in per cent."""

    name = forms.CharField(label=_("Name of the study"), max_length=120)
    note = forms.CharField(
        label=_("What it asks"),
        max_length=400,
        required=False,
        help_text=_("For instance: can the night crew judge flash after the new lamps?"),
    )
    basis = forms.ChoiceField(
        label=_("What is judged"),
        choices=[(PICTURES, PICTURES.label), (PHYSICAL, PHYSICAL.label)],
        widget=forms.RadioSelect,
        initial=PICTURES,
        help_text=_("A study of real parts takes those of the register that have no picture."),
    )
    pool = forms.ChoiceField(
        label=_("From which pool"),
        choices=[(Pool.EXAM, Pool.EXAM.label), (Pool.TEACHING, Pool.TEACHING.label)],
        widget=forms.RadioSelect,
        initial=Pool.EXAM,
        help_text=_(
            "Answers are never shown, so parts of the exam pool stay secret, but each counts as met in "
            "the next exam. Of teaching parts people may know the answer."
        ),
    )
    families = forms.ModelMultipleChoiceField(
        label=_("Families"),
        queryset=Family.objects.none(),
        widget=forms.CheckboxSelectMultiple,
    )
    parts = forms.IntegerField(label=_("Parts"), min_value=4, max_value=300, initial=USUAL_PARTS)
    bad_share = forms.IntegerField(
        label=_("Bad parts, %"),
        min_value=10,
        max_value=90,
        initial=50,
        help_text=_("About half tells most of misses and false alarms alike."),
    )
    near_share = forms.IntegerField(
        label=_("Near the limit, %"),
        min_value=0,
        max_value=100,
        initial=40,
        help_text=_("Severity from 0.8 to 1.25 of the limit: there people differ."),
    )
    people = forms.ModelMultipleChoiceField(
        label=_("People"),
        queryset=Person.objects.none(),
        widget=forms.CheckboxSelectMultiple,
    )
    repeats = forms.IntegerField(
        label=_("Rounds"),
        min_value=2,
        max_value=5,
        initial=USUAL_REPEATS,
        help_text=_("How often each person judges each part."),
    )
    gap_hours = forms.IntegerField(
        label=_("Hours between rounds"),
        min_value=1,
        max_value=720,
        initial=24,
        help_text=_("Long enough to forget single parts."),
    )
    seed = forms.CharField(widget=forms.HiddenInput, max_length=40)

    def __init__(self, *args: Any, families: Any, people: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chosen: Any = self.fields["families"]
        chosen.queryset, chosen.label_from_instance = families, lambda each: here(each.name)
        who: Any = self.fields["people"]
        who.queryset, who.label_from_instance = people, _person_name
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            "seed",
            Fieldset(gettext("What it is about"), "name", "note"),
            Fieldset(
                gettext("Parts"),
                Row(Column("basis", css_class="col-md-6"), Column("pool", css_class="col-md-6")),
                Div("families", css_class="ag-many"),
                Row(
                    Column("parts", css_class="col-md-4"),
                    Column("bad_share", css_class="col-md-4"),
                    Column("near_share", css_class="col-md-4"),
                ),
            ),
            Fieldset(
                gettext("People and rounds"),
                Div("people", css_class="ag-many", data_filter=gettext("Find a person")),
                Row(
                    Column("repeats", css_class="col-md-6"),
                    Column("gap_hours", css_class="col-md-6"),
                ),
            ),
        )


def _person_name(person: Person) -> str:
    return f"{person.name} · {person.crew.code}" if person.crew else person.name
