"""Fields and small helps that several forms of specimens share."""

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.functional import lazy
from django.utils.translation import get_language, gettext
from django.utils.translation import gettext_lazy as _

from training.floor.models import Family, Job
from training.people.texts import in_language

if TYPE_CHECKING:
    JobChoice = forms.ModelChoiceField[Job]
    FamilyChoice = forms.ModelChoiceField[Family]
else:
    JobChoice = FamilyChoice = forms.ModelChoiceField


def words(text: Mapping[str, str] | None) -> str:
    """Return a text in the language of the page."""
    return in_language(text, get_language() or "en")


def spread(form: forms.Form, error: ValidationError) -> None:
    """Put a service's problems beside the fields they speak of, the others above the form."""
    if not hasattr(error, "error_dict"):
        form.add_error(None, error)
        return
    for field, problems in error.error_dict.items():
        form.add_error(field if field in form.fields else None, problems)


class JobField(JobChoice):
    def label_from_instance(self, job: Any) -> str:
        return f"{job.number} {words(job.part)}"


class FamilyField(FamilyChoice):
    def label_from_instance(self, family: Any) -> str:
        return words(family.name)


class SeveralFiles(forms.ClearableFileInput):
    allow_multiple_selected = True


class PicturesField(forms.FileField):
    """Several files at once; what they hold is looked at by the service, not by their names."""

    widget = SeveralFiles

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        # Empty files are refused later, by name, together with everything else that is wrong.
        sent = data if isinstance(data, list | tuple) else [data]
        return [file for file in sent if file] or [super().clean(None, initial)]


def _pictures_help() -> str:
    return gettext(
        "JPEG, PNG, WebP or HEIC, straight from a phone; up to %(most)s MB and 50 MP each."
    ) % {"most": settings.PICTURE_UPLOAD_MEGABYTES}


def pictures_field() -> PicturesField:
    return PicturesField(
        label=_("Pictures"),
        # Said when the page is made, in its language.
        help_text=lazy(_pictures_help, str)(),
        widget=SeveralFiles(attrs={"accept": "image/*", "multiple": True}),
        allow_empty_file=True,
    )


def scale_field() -> forms.DecimalField:
    return forms.DecimalField(
        label=_("Picture pixels per mm"),
        required=False,
        min_value=Decimal("0.05"),
        max_value=1000,
        decimal_places=4,
        help_text=_("If you know it. It can be set on the picture later, by a known length."),
    )
