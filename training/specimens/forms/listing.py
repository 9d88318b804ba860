"""The filters of the list of specimens, and the pool one is moved to."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.floor.models import Family, Job
from training.specimens.forms.fields import words
from training.specimens.models import Pool, ReferenceDecision
from training.specimens.selectors import RETIRED, UNDECIDED, Wanted
from training.specimens.steps import Step


class PoolForm(forms.Form):
    pool = forms.ChoiceField(label=_("Pool"), choices=Pool)


class FilterForm(forms.Form):
    """What the list is narrowed to; anything that makes no sense narrows nothing."""

    number = forms.CharField(label=_("Number"), required=False, max_length=20)
    family = forms.ChoiceField(label=_("Defect family"), required=False)
    job = forms.ChoiceField(label=_("Job"), required=False)
    pool = forms.ChoiceField(
        label=_("Pool"), required=False, choices=[("", _("all")), *Pool.choices]
    )
    decision = forms.ChoiceField(
        label=_("Decision"),
        required=False,
        choices=[
            ("", _("all")),
            (UNDECIDED, _("undecided")),
            *ReferenceDecision.Decision.choices,
            (RETIRED, _("retired")),
        ],
    )

    step = forms.ChoiceField(
        label=_("Next step"),
        required=False,
        choices=[
            ("", _("all")),
            (Step.PHOTO, _("to photograph")),
            (Step.OUTLINE, _("to outline")),
            (Step.RATE, _("to rate")),
            (Step.SETTLE, _("to settle")),
            (Step.USE, _("to put into use")),
        ],
    )

    def __init__(
        self, *args: Any, families: Iterable[Family], jobs: Iterable[Job], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        every = ("", gettext("all"))
        self._choose("family", [every, *((each.slug, words(each.name)) for each in families)])
        self._choose(
            "job", [every, *((each.number, f"{each.number} {words(each.part)}") for each in jobs)]
        )
        for field in self.fields.values():
            select = isinstance(field, forms.ChoiceField)
            field.widget.attrs["class"] = "form-select" if select else "form-control"

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    def wanted(self) -> Wanted:
        self.is_valid()
        return Wanted(**{name: self.cleaned_data.get(name, "") for name in self.fields})
