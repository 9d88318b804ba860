"""Padding: the same picture, in steps of 16 KiB."""

import io

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from tests.training.specimens import photographs as photo
from training.specimens.pictures.padding import STEP, padded

FORMS = [
    ("JPEG", "RGB", {}),
    ("JPEG", "RGB", {"progressive": True, "quality": 50}),
    ("WEBP", "RGB", {"quality": 80}),
    ("WEBP", "RGB", {"lossless": True}),
    ("WEBP", "RGBA", {"quality": 80}),
    ("WEBP", "RGBA", {"lossless": True}),
]


@pytest.mark.parametrize(("form", "mode", "options"), FORMS)
@pytest.mark.parametrize("side", [120, 121, 700])
def test_a_padded_picture_decodes_to_the_same_pixels(
    form: str, mode: str, options: dict[str, object], side: int
) -> None:
    noise = np.random.default_rng(side).integers(0, 255, (side, side, len(mode)), dtype=np.uint8)
    data = photo.encoded(Image.fromarray(noise), form, **options)
    longer = padded(data)
    assert len(longer) % STEP == 0
    assert len(data) <= len(longer) < len(data) + 2 * STEP
    before, after = photo.opened(data), photo.opened(longer)
    assert after.mode == before.mode
    assert np.array_equal(np.asarray(before), np.asarray(after))


@given(st.integers(0, 3 * STEP))
def test_every_length_of_jpeg_is_brought_to_a_step(length: int) -> None:
    data = b"\xff\xd8\xff" + bytes(length)
    assert len(padded(data)) % STEP == 0
    assert padded(data).startswith(data)


@pytest.mark.parametrize("extra", [*range(0, 40, 2), STEP - 40, STEP - 8, STEP - 2])
def test_every_length_of_webp_is_brought_to_a_step(extra: int) -> None:
    data = photo.encoded(Image.new("RGB", (120, 120), photo.RED), "WEBP", lossless=True)
    # An unknown chunk makes the file longer by any even number of bytes, as a chunk may.
    grown = _with_length(data, STEP - extra)
    longer = padded(grown)
    assert len(longer) % STEP == 0
    assert int.from_bytes(longer[4:8], "little") == len(longer) - 8
    assert photo.opened(longer).convert("RGB").getpixel((60, 60)) == photo.RED


def _with_length(data: bytes, length: int) -> bytes:
    whole = padded(data)
    cut = whole[: whole.index(b"JUNK")]
    free = max(0, length - len(cut) - 8)
    body = cut + b"JUNK" + free.to_bytes(4, "little") + bytes(free)
    return body[:4] + (len(body) - 8).to_bytes(4, "little") + body[8:]


def test_padding_twice_changes_nothing() -> None:
    for form in ("JPEG", "WEBP"):
        once = padded(photo.encoded(photo.quarters(), form))
        assert padded(once) == once


def test_what_pads_a_picture_is_the_same_for_all() -> None:
    """No bytes that could tell one picture from another but its own."""
    data = photo.encoded(photo.quarters())
    assert set(padded(data)[len(data) :]) == {0}
    assert Image.open(io.BytesIO(padded(data))).size == (400, 300)
