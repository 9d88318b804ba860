"""The form that takes the files of an import."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Layout, Row
from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from training.people.sheets.days import DayOrder
from training.people.sheets.files import MAX_BYTES
from training.people.sheets.plan import MAIN, Import, SheetFile

ORDERS = [
    (DayOrder.BY_COLUMN.value, _("as each column shows")),
    (DayOrder.DAY_FIRST.value, _("day first: 25/11/2026")),
    (DayOrder.MONTH_FIRST.value, _("month first: 11/25/2026")),
]


class ImportForm(forms.Form):
    """The files of one kind of import, and how days written only in numbers are meant."""

    def __init__(self, what: Import, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.what = what
        self.fields[MAIN] = _file_field(_("File"), _("CSV or XLSX, with a header row."))
        for name, (label, words) in what.further.items():
            self.fields[name] = _file_field(label, words, required=False)
        self.fields["days"] = forms.ChoiceField(
            label=_("Days such as 03/04/2026"), choices=ORDERS, initial=DayOrder.BY_COLUMN.value
        )
        files = [MAIN, *what.further]
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Row(*(Column(name, css_class="col-md-6") for name in files)),
            Row(Column("days", css_class="col-md-6")),
        )

    def clean(self) -> dict[str, Any]:
        given = super().clean() or self.cleaned_data
        for name in (MAIN, *self.what.further):
            upload = given.get(name)
            if upload is not None and upload.size > MAX_BYTES:
                self.add_error(
                    name,
                    _(
                        "The file has more than %(most)s MB. Split it, each part with the header row."
                    )
                    % {"most": MAX_BYTES // 1024 // 1024},
                )
        return given

    def sheet_files(self) -> dict[str, SheetFile]:
        """Return the files that were sent, by field."""
        uploads: dict[str, UploadedFile[Any] | None] = {
            name: self.cleaned_data.get(name) for name in (MAIN, *self.what.further)
        }
        return {
            name: SheetFile(upload.name or name, upload.read())
            for name, upload in uploads.items()
            if upload is not None
        }

    @property
    def order(self) -> DayOrder:
        return DayOrder(self.cleaned_data["days"])


def _file_field(label: Any, words: Any, *, required: bool = True) -> forms.FileField:
    return forms.FileField(
        label=label,
        help_text=words,
        required=required,
        # An empty file is answered by the reader of sheets, which says what to send instead.
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
    )
