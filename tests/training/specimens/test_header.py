"""What a file is, told from its first bytes and never from its name."""

import contextlib
import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.training.specimens import photographs as photo
from training.specimens.pictures.header import Header, Kind, kind_of, read_header
from training.specimens.pictures.refusals import PictureError, Refusal


def refusal(data: bytes) -> Refusal:
    with pytest.raises(PictureError) as caught:
        read_header(data)
    return caught.value.code


@pytest.mark.parametrize(
    ("form", "options", "kind"),
    [
        ("JPEG", {}, Kind.JPEG),
        ("JPEG", {"progressive": True}, Kind.JPEG),
        ("PNG", {}, Kind.PNG),
        ("WEBP", {"quality": 80}, Kind.WEBP),
        ("WEBP", {"lossless": True}, Kind.WEBP),
        ("WEBP", {"quality": 80, "exif": b"Exif\0\0II*\0\x08\0\0\0\0\0"}, Kind.WEBP),
    ],
)
def test_reads_kind_and_size_without_decoding(
    form: str, options: dict[str, object], kind: Kind
) -> None:
    data = photo.encoded(photo.quarters(431, 287), form, **options)
    assert read_header(data) == Header(kind, 431, 287)


def test_reads_the_size_of_a_webp_with_alpha() -> None:
    data = photo.encoded(photo.quarters(431, 287).convert("RGBA"), "WEBP")
    assert read_header(data) == Header(Kind.WEBP, 431, 287)


def test_reads_the_size_of_a_heic_picture() -> None:
    heif = pytest.importorskip("pillow_heif", reason="the extra `phone` is not installed")
    heif.register_heif_opener()
    header = read_header(photo.encoded(photo.quarters(640, 480), "HEIF"))
    assert header == Header(Kind.HEIC, 640, 480)


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", Refusal.EMPTY),
        (b"number;job;zone\n1;901;A\n", Refusal.TEXT),
        ("pieza número uno\n".encode(), Refusal.TEXT),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", Refusal.DRAWING),
        (b"\xef\xbb\xbf<?xml version='1.0'?>\n<!-- -->\n<svg/>", Refusal.DRAWING),
        (b"<?xml version='1.0'?><table/>", Refusal.TEXT),
        (b"<!doctype html><html>", Refusal.TEXT),
        (b"\0\x01\x02\x03" * 50, Refusal.UNKNOWN),
        (b"\0\0\0\x20ftypisom\0\0\x02\0isomiso2mp41", Refusal.FILM),
        (b"\0\0\0\x14ftypqt  \0\0\x02\0qt  ", Refusal.FILM),
        (b"\0\0\0\x14ftypXXXX\0\0\x02\0XXXX", Refusal.UNKNOWN),
    ],
)
def test_refuses_what_is_no_photograph(data: bytes, code: Refusal) -> None:
    assert refusal(data) is code


@pytest.mark.parametrize(
    ("form", "name"), [("GIF", "GIF"), ("BMP", "BMP"), ("TIFF", "TIFF"), ("AVIF", "AVIF")]
)
def test_names_a_format_that_is_not_taken(form: str, name: str) -> None:
    with pytest.raises(PictureError) as caught:
        read_header(photo.encoded(photo.quarters(), form))
    assert (caught.value.code, caught.value.detail) == (Refusal.OTHER_FORMAT, name)


@pytest.mark.parametrize("form", ["PNG", "WEBP"])
def test_refuses_animations(form: str) -> None:
    frames = [photo.quarters(), photo.quarters().rotate(90)]
    moving = photo.encoded(frames[0], form, save_all=True, append_images=frames[1:])
    assert refusal(moving) is Refusal.SEVERAL_PICTURES


def test_refuses_two_heads_that_claim_two_sizes() -> None:
    assert refusal(photo.png_bomb(3000, 30, claimed=(120, 120))) is Refusal.DAMAGED
    jpeg = photo.encoded(photo.quarters())
    at = jpeg.index(b"\xff\xc0")
    (length,) = struct.unpack_from(">H", jpeg, at + 2)
    twice = jpeg[:at] + jpeg[at : at + 2 + length] + jpeg[at:]
    assert refusal(twice) is Refusal.DAMAGED


def test_refuses_a_png_of_no_size() -> None:
    head = photo.png_chunk(b"IHDR", struct.pack(">IIBBBBB", 0, 5, 8, 2, 0, 0, 0))
    assert refusal(b"\x89PNG\r\n\x1a\n" + head + photo.png_chunk(b"IDAT", b"")) is Refusal.DAMAGED


@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused_and_nothing_else(data: bytes) -> None:
    try:
        header = read_header(data)
    except PictureError:
        return
    assert header.pixels > 0


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
@given(cut=st.integers(0, 400), flips=st.lists(st.integers(0, 399), max_size=4))
def test_a_broken_head_is_read_or_refused_and_nothing_else(
    form: str, cut: int, flips: list[int]
) -> None:
    data = bytearray(photo.encoded(photo.quarters(40, 30), form)[:cut])
    for place in flips:
        if place < len(data):
            data[place] ^= 0xFF
    with contextlib.suppress(PictureError):
        read_header(bytes(data))


def test_the_name_of_a_file_says_nothing() -> None:
    assert kind_of(photo.encoded(photo.quarters(), "PNG")) is Kind.PNG
