"""What a file is and how large its picture is, read from its first bytes without decoding it.

Formats are told by content (magic numbers), never by a file's name. Layouts read here: JPEG
(ITU-T T.81, annex B: markers and frame headers), PNG (W3C PNG third edition: chunks, IHDR, acTL),
WebP (RFC 9649: RIFF, VP8X, VP8, VP8L) and HEIF (ISO/IEC 23008-12: the ispe property).
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from training.specimens.pictures.refusals import PictureError, Refusal

PNG_START = b"\x89PNG\r\n\x1a\n"
HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"mif1"}
FILM_BRANDS = {b"qt  ", b"isom", b"iso2", b"mp41", b"mp42", b"3gp4", b"3gp5", b"M4V ", b"avc1"}
OTHERS = (
    (b"GIF8", "GIF"),
    (b"BM", "BMP"),
    (b"II*\0", "TIFF"),
    (b"MM\0*", "TIFF"),
    (b"%PDF", "PDF"),
    (b"PK\x03\x04", "ZIP"),
    (b"8BPS", "PSD"),
    (b"\0\0\0\x0cJXL ", "JPEG XL"),
    (b"\xff\x0a", "JPEG XL"),
    (b"\0\0\0\x0cjP  ", "JPEG 2000"),
)
# SOF0 to SOF15 without DHT (C4), JPG (C8) and DAC (CC), which share their range.
FRAME_MARKERS = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
ALONE_MARKERS = frozenset({0x01, *range(0xD0, 0xD9)})


class Kind(StrEnum):
    JPEG = "jpeg"
    PNG = "png"
    WEBP = "webp"
    HEIC = "heic"


@dataclass(frozen=True)
class Header:
    """Kind and size in pixels as the file claims them; nothing has been decoded."""

    kind: Kind
    width: int
    height: int

    @property
    def pixels(self) -> int:
        return self.width * self.height


def read_header(data: bytes) -> Header:
    """Return what the first bytes say.

    Raises
    ------
    PictureError
        If the file is no JPEG, PNG, WebP or HEIC, holds several pictures, or has a broken header.
    """
    kind = kind_of(data)
    readers = {Kind.JPEG: _jpeg, Kind.PNG: _png, Kind.WEBP: _webp, Kind.HEIC: _heic}
    try:
        width, height = readers[kind](data)
    except (struct.error, IndexError) as error:
        raise PictureError(Refusal.DAMAGED) from error
    if width == 0 or height == 0:
        raise PictureError(Refusal.DAMAGED)
    return Header(kind, width, height)


def kind_of(data: bytes) -> Kind:
    """Return the kind of picture by its magic number, or refuse with what it is instead."""
    if not data:
        raise PictureError(Refusal.EMPTY)
    if data.startswith(b"\xff\xd8\xff"):
        return Kind.JPEG
    if data.startswith(PNG_START):
        return Kind.PNG
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return Kind.WEBP
    if data[4:8] == b"ftyp":
        return _kind_by_brand(data)
    for start, name in OTHERS:
        if data.startswith(start):
            raise PictureError(Refusal.OTHER_FORMAT, name)
    raise PictureError(_text_kind(data))


def _kind_by_brand(data: bytes) -> Kind:
    (length,) = struct.unpack_from(">I", data)
    box = data[8 : min(length, 256)]
    brands = {box[:4], *(box[i : i + 4] for i in range(8, len(box), 4))}
    if b"avif" in brands or b"avis" in brands:
        raise PictureError(Refusal.OTHER_FORMAT, "AVIF")
    if brands & HEIC_BRANDS:
        return Kind.HEIC
    if brands & FILM_BRANDS:
        raise PictureError(Refusal.FILM)
    raise PictureError(Refusal.UNKNOWN)


def _text_kind(data: bytes) -> Refusal:
    head = data[:1024].removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    if head.startswith((b"<svg", b"<?xml")) and b"<svg" in data[:8192].lower():
        return Refusal.DRAWING
    if b"\0" not in head and sum(byte < 9 for byte in head) == 0:
        try:
            data[:1000].decode("utf-8", "strict")
        except UnicodeDecodeError as error:
            # A character cut by the thousandth byte is no sign of a binary file.
            return Refusal.TEXT if error.start > 990 else Refusal.UNKNOWN
        return Refusal.TEXT
    return Refusal.UNKNOWN


def _jpeg(data: bytes) -> tuple[int, int]:
    sizes = []
    for marker, start in _jpeg_segments(data):
        if marker in FRAME_MARKERS:
            height, width = struct.unpack_from(">HH", data, start + 3)
            sizes.append((width, height))
    # A second frame header could claim another size than the first.
    if len(sizes) != 1:
        raise PictureError(Refusal.DAMAGED)
    return sizes[0]


def _jpeg_segments(data: bytes) -> Iterator[tuple[int, int]]:
    """Yield each marker before the first scan with where its length stands."""
    at = 2
    while at < len(data):
        if data[at] != 0xFF:
            raise PictureError(Refusal.DAMAGED)
        while data[at] == 0xFF:
            at += 1
        marker, at = data[at], at + 1
        if marker == 0xDA:
            return
        if marker in ALONE_MARKERS:
            continue
        yield marker, at
        at += struct.unpack_from(">H", data, at)[0]
    raise PictureError(Refusal.DAMAGED)


def _png(data: bytes) -> tuple[int, int]:
    size: tuple[int, int] | None = None
    at = len(PNG_START)
    while True:
        length, name = struct.unpack_from(">I4s", data, at)
        if name == b"IDAT":
            break
        if name == b"acTL":
            raise PictureError(Refusal.SEVERAL_PICTURES)
        if (name == b"IHDR") is not (size is None):
            raise PictureError(Refusal.DAMAGED)
        if name == b"IHDR":
            size = struct.unpack_from(">II", data, at + 8)
        at += 12 + length
    if size is None:
        raise PictureError(Refusal.DAMAGED)
    return size


def _webp(data: bytes) -> tuple[int, int]:
    name = data[12:16]
    if name == b"VP8X":
        if data[20] & 0x02:
            raise PictureError(Refusal.SEVERAL_PICTURES)
        width = int.from_bytes(data[24:27], "little") + 1
        height = int.from_bytes(data[27:30], "little") + 1
        return width, height
    if name == b"VP8 " and data[23:26] == b"\x9d\x01\x2a":
        width, height = struct.unpack_from("<HH", data, 26)
        return width & 0x3FFF, height & 0x3FFF
    if name == b"VP8L" and data[20] == 0x2F:
        (bits,) = struct.unpack_from("<I", data, 21)
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    raise PictureError(Refusal.DAMAGED)


def _heic(data: bytes) -> tuple[int, int]:
    """Return the largest size among the items; tiles and small previews have sizes of their own."""
    sizes = []
    at = data.find(b"ispe")
    while at >= 0 and len(data) >= at + 16:
        sizes.append(struct.unpack_from(">II", data, at + 8))
        at = data.find(b"ispe", at + 4)
    if not sizes:
        raise PictureError(Refusal.DAMAGED)
    return max(sizes, key=lambda size: size[0] * size[1])
