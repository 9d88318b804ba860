"""The letters of a study's sheet: Latin, Greek and Cyrillic, carried inside the PDF."""

import unicodedata
from functools import cache
from typing import Final

import fontpkg
from reportlab.pdfbase.pdfmetrics import registerFont, registerFontFamily
from reportlab.pdfbase.ttfonts import TTFont

FAMILY: Final = "Fira Sans"
REGULAR, STRONG = "sheet", "sheet-strong"


@cache
def load_letters() -> frozenset[int]:
    """Make the two cuts known to the writer of PDF, and return the code points both have.

    Only the letters a sheet uses are written into it, so that it stays small.
    """
    cuts = {
        name: TTFont(name, str(fontpkg.path(FAMILY, weight=weight)))
        for name, weight in ((REGULAR, 400), (STRONG, 600))
    }
    for cut in cuts.values():
        registerFont(cut)
    registerFontFamily(REGULAR, normal=REGULAR, bold=STRONG, italic=REGULAR, boldItalic=STRONG)
    plain, strong = (frozenset(cut.face.charToGlyph) for cut in cuts.values())
    return plain & strong


def writable(text: str) -> str:
    """Return a text in letters the sheet has; of one it lacks the base letter, or "?" without one."""
    composed = unicodedata.normalize("NFC", text)
    return "".join(each if _is_written(each) else _without_marks(each) for each in composed)


def _without_marks(letter: str) -> str:
    if letter.isspace():
        return " "
    if unicodedata.combining(letter):
        return ""
    base = unicodedata.normalize("NFKD", letter)[0]
    return base if _is_written(base) else "?"


def _is_written(letter: str) -> bool:
    # A mark that composes with no letter would stand beside it.
    return ord(letter) in load_letters() and not unicodedata.combining(letter)
