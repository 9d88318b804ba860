"""Sentences the instruments give as reasons: English text that a page can translate."""

from typing import Self


def gettext_noop(text: str) -> str:
    """Return text unchanged; the name lets Django's message extraction find it.

    Pure modules import no Django, yet their sentences must reach the catalogue.
    """
    return text


class Wording(str):
    """A sentence in English that remembers its pattern and the values filled in.

    It is a ``str`` and can be printed, compared and logged as one; a page translates
    it by ``gettext(wording.pattern) % wording.values``.

    Parameters
    ----------
    pattern : str
        Sentence with named places such as ``%(needed)d``; a per cent sign is written
        ``%%`` when there are values.
    **values : object
        What goes into the places.

    Examples
    --------
    >>> reason = Wording("%(n)d of %(needed)d answers.", n=5, needed=8)
    >>> reason
    '5 of 8 answers.'
    >>> reason.pattern
    '%(n)d of %(needed)d answers.'
    """

    pattern: str
    values: dict[str, object]

    def __new__(cls, pattern: str, **values: object) -> Self:
        wording = super().__new__(cls, pattern % values if values else pattern)
        wording.pattern = pattern
        wording.values = values
        return wording
