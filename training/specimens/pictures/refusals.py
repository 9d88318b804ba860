"""Why a picture is refused: codes without words, so that the decoding child needs no Django."""

from enum import StrEnum


class Refusal(StrEnum):
    EMPTY = "empty"
    TOO_MANY_BYTES = "too_many_bytes"
    TEXT = "text"
    DRAWING = "drawing"
    FILM = "film"
    OTHER_FORMAT = "other_format"
    UNKNOWN = "unknown"
    HEIC_NOT_HERE = "heic_not_here"
    TOO_MANY_PIXELS = "too_many_pixels"
    TOO_FEW_PIXELS = "too_few_pixels"
    SEVERAL_PICTURES = "several_pictures"
    DAMAGED = "damaged"
    FOR_PRINT = "for_print"
    TOO_MUCH_WORK = "too_much_work"


class PictureError(Exception):
    """A picture that cannot be taken in; `detail` is a format's name or a size, never a text."""

    def __init__(self, code: Refusal, detail: str = "") -> None:
        super().__init__(f"{code}: {detail}" if detail else str(code))
        self.code = code
        self.detail = detail
