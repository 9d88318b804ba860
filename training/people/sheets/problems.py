"""What is wrong with a file: row, column, value, the fault in words, and what to do about it."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

# Words in the reader's language, translated when they are shown.
Words: TypeAlias = "str | _StrPromise"


def worded(text: Words, **values: object) -> Words:
    """Fill {names} of a translated text when it is read, so that each reader gets their language."""
    return format_lazy(text, **values)


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing to put right. `row` is the row of the file, None where it is the whole file."""

    row: int | None
    column: str
    value: str
    message: Words
    remedy: Words
    sheet: str = ""

    def __str__(self) -> str:
        place = [part for part in (self.sheet, self.row_word, self.column) if part]
        value = f" “{self.value}”" if self.value else ""
        return f"{' · '.join(place)}{value}: {self.message} {self.remedy}".strip()

    @property
    def row_word(self) -> str:
        return "" if self.row is None else str(worded(_("row {number}"), number=self.row))


class CellError(ValueError):
    """A cell that cannot be read: the fault, and what to write instead."""

    def __init__(self, message: Words, remedy: Words) -> None:
        super().__init__(message)
        self.message, self.remedy = message, remedy


class FileError(ValueError):
    """A file that cannot be read at all, or not beyond a row."""

    def __init__(self, message: Words, remedy: Words, row: int | None = None) -> None:
        super().__init__(message)
        self.message, self.remedy, self.row = message, remedy, row
