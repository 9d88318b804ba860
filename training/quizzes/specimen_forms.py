"""What the specimen statistics are narrowed to."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.floor.models import Family
from training.quizzes.selectors.specimen_statistics import ANY_DOUBT, NO_DOUBT, RETIRED, Wanted
from training.quizzes.specimen_words import DOUBT_WORDS
from training.quizzes.words import here
from training.specimens.models import Pool


class StatisticsFilter(forms.Form):
    """Filters and order of the list; anything that makes no sense narrows nothing."""

    number = forms.CharField(label=_("Number"), required=False, max_length=20)
    family = forms.ChoiceField(label=_("Defect family"), required=False)
    doubt = forms.ChoiceField(
        label=_("Doubt"),
        required=False,
        choices=[
            ("", _("all")),
            (ANY_DOUBT, _("any doubt")),
            *((doubt.value, word) for doubt, word in DOUBT_WORDS.items()),
            (NO_DOUBT, _("no doubt")),
        ],
    )
    pool = forms.ChoiceField(
        label=_("Pool"),
        required=False,
        choices=[("", _("all")), *Pool.choices, (RETIRED, _("retired"))],
    )
    order = forms.ChoiceField(
        label=_("Order"),
        required=False,
        choices=[
            ("", _("to do first")),
            ("hard", _("hardest first")),
            ("easy", _("easiest first")),
            ("met", _("met by most first")),
            ("long_ago", _("met longest ago first")),
            ("few", _("nearest to enough answers")),
            ("number", _("by number")),
        ],
    )

    def __init__(self, *args: Any, families: Iterable[Family], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        names = sorted((here(family.name), family.slug) for family in families)
        self.fields["family"].choices = [  # type: ignore[attr-defined]
            ("", gettext("all")),
            *((slug, name) for name, slug in names),
        ]
        for field in self.fields.values():
            select = isinstance(field, forms.ChoiceField)
            field.widget.attrs["class"] = "form-select" if select else "form-control"

    def wanted(self) -> Wanted:
        self.is_valid()
        return Wanted(**{name: self.cleaned_data.get(name, "") for name in self.fields})
