"""Pictures from phones: put upright, stripped, in sRGB, or refused with the reason."""

import io
import os
import struct
import subprocess
import zlib

import numpy as np
import pytest
from PIL import Image, ImageOps, ImageSequence

from tests.training.specimens import photographs as photo
from training.specimens.pictures import intake, words
from training.specimens.pictures.encode import LONGEST_SIDE
from training.specimens.pictures.header import read_header
from training.specimens.pictures.intake import PicturesError, take_in, take_in_all
from training.specimens.pictures.refusals import PictureError, Refusal

UPRIGHT = photo.corners(photo.quarters())


def taken(data: bytes) -> Image.Image:
    return photo.opened(take_in(io.BytesIO(data)).encoded.data)


def refusal(data: bytes) -> Refusal:
    with pytest.raises(PictureError) as caught:
        take_in(io.BytesIO(data))
    return caught.value.code


def alike(image: Image.Image, colours: list[photo.Colour] = UPRIGHT) -> bool:
    difference = np.subtract(photo.corners(image), colours)
    return bool(np.abs(difference).max() <= 4)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_exif_orientation_comes_out_upright(orientation: int) -> None:
    data = photo.oriented_jpeg(orientation)
    # Pillow's own reading of the tag is the reference for what is upright.
    reference = ImageOps.exif_transpose(photo.opened(data))
    image = taken(data)
    assert image.size == reference.size == (400, 300)
    assert alike(image)
    assert alike(reference)


@pytest.mark.parametrize("form", ["PNG", "WEBP"])
def test_orientation_counts_in_other_formats_too(form: str) -> None:
    assert alike(taken(photo.oriented_jpeg(6, form)))


def test_a_heic_picture_is_taken() -> None:
    heif = pytest.importorskip("pillow_heif", reason="the extra `phone` is not installed")
    heif.register_heif_opener()
    assert alike(taken(photo.encoded(photo.quarters(), "HEIF", quality=95)))


def test_without_the_extra_a_heic_picture_is_refused_with_the_remedy(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from training.specimens.pictures import decode_child
    from training.specimens.pictures.header import Kind

    monkeypatch.setitem(__import__("sys").modules, "pillow_heif", None)
    with pytest.raises(PictureError) as caught:
        decode_child.decode(b"", Kind.HEIC, max_pixels=100)
    assert caught.value.code is Refusal.HEIC_NOT_HERE
    assert "most compatible" in words.reason(caught.value)


def test_nothing_of_the_owner_stays_in_the_picture() -> None:
    sent = photo.phone_jpeg()
    before = photo.opened(sent)
    assert before.getexif().get_ifd(0x8825), "the picture sent says where it was taken"
    made = take_in(io.BytesIO(sent)).encoded
    for data in (made.data, made.small):
        image = photo.opened(data)
        assert not image.getexif()
        assert not {"exif", "xmp", "comment", "icc_profile", "photoshop"} & image.info.keys()
        for trace in (b"Exif", b"adobe", b"Maker", b"owner", b"aloud", b"ICC"):
            assert trace not in data


def test_the_longer_side_is_capped_and_the_scale_says_how_much() -> None:
    made = take_in(io.BytesIO(photo.encoded(photo.quarters(4000, 2000))))
    assert (made.encoded.width, made.encoded.height) == (LONGEST_SIDE, LONGEST_SIDE // 2)
    assert made.scale == pytest.approx(LONGEST_SIDE / 4000)
    small = photo.opened(made.encoded.small)
    assert max(small.size) == 360
    assert take_in(io.BytesIO(photo.phone_jpeg())).scale == 1


def test_a_much_larger_jpeg_has_the_same_scale_though_it_is_decoded_reduced() -> None:
    made = take_in(io.BytesIO(photo.encoded(photo.quarters(8000, 6000))))
    assert (made.encoded.width, made.encoded.height) == (3000, 2250)
    assert made.scale == pytest.approx(3000 / 8000)
    assert alike(photo.opened(made.encoded.data))


def test_a_colour_profile_is_applied() -> None:
    data = photo.encoded(photo.quarters(), icc_profile=photo.wide_gamut_profile())
    swapped = [(g, r, b) for r, g, b in UPRIGHT]
    assert alike(taken(data), swapped)


def test_a_broken_colour_profile_leaves_the_pixels_as_a_browser_shows_them() -> None:
    assert alike(taken(photo.encoded(photo.quarters(), icc_profile=b"no profile" * 30)))


def test_sixteen_bits_become_eight() -> None:
    image = taken(photo.sixteen_bit_png()).convert("L")
    ramp = np.asarray(image)[150]
    assert ramp[0] <= 2
    assert ramp[-1] >= 253
    assert abs(int(ramp[200]) - 128) <= 3


def test_a_cut_out_part_stands_on_the_grey_of_the_booth() -> None:
    image = photo.quarters().convert("RGBA")
    image.paste((0, 0, 0, 0), (200, 0, 400, 150))
    result = taken(photo.encoded(image, "PNG"))
    assert alike(result, [UPRIGHT[0], (0xAE, 0xAE, 0xAE), *UPRIGHT[2:]])


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA"])
def test_every_kind_of_png_becomes_rgb(mode: str) -> None:
    image = taken(photo.encoded(photo.quarters().convert(mode), "PNG"))
    assert image.mode == "RGB"
    assert image.size == (400, 300)


def test_a_palette_with_a_see_through_colour() -> None:
    image = photo.quarters().quantize(4)
    seen_through = image.getpixel((300, 75))
    result = taken(photo.encoded(image, "PNG", transparency=seen_through))
    assert photo.corners(result)[1] == (0xAE, 0xAE, 0xAE)


def test_pure_noise_is_taken() -> None:
    """The worst picture to encode: it needs more than a byte for each pixel."""
    noise = np.random.default_rng(1).integers(0, 255, (900, 1200, 3), dtype=np.uint8)
    assert taken(photo.encoded(Image.fromarray(noise), "PNG")).size == (1200, 900)


def test_a_phone_s_second_picture_in_a_jpeg_is_left_out() -> None:
    """Phones put a brightness map or a preview behind the first picture (CIPA DC-007)."""
    out = io.BytesIO()
    photo.quarters().save(
        out, "MPO", save_all=True, append_images=[Image.new("RGB", (400, 300))], quality=95
    )
    assert sum(1 for _ in ImageSequence.Iterator(photo.opened(out.getvalue()))) == 2
    assert alike(taken(out.getvalue()))


@pytest.mark.parametrize(
    ("data", "code", "remedy"),
    [
        (b"", Refusal.EMPTY, "again"),
        (b"just words\n" * 20, Refusal.TEXT, "JPEG"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", Refusal.DRAWING, "PNG"),
        (photo.phone_jpeg()[:900], Refusal.DAMAGED, "again"),
        (photo.phone_jpeg()[:-400], Refusal.DAMAGED, "again"),
        (photo.encoded(photo.quarters(), "PNG")[:-60], Refusal.DAMAGED, "again"),
        (photo.encoded(photo.quarters(), "WEBP")[:-60], Refusal.DAMAGED, "again"),
        (photo.encoded(photo.quarters(99, 120)), Refusal.TOO_FEW_PIXELS, "original"),
        (photo.encoded(photo.quarters().convert("CMYK")), Refusal.FOR_PRINT, "RGB"),
        (photo.encoded(photo.quarters(), "GIF"), Refusal.OTHER_FORMAT, "JPEG"),
        (photo.png_bomb(3000, 300, claimed=(120, 120)), Refusal.DAMAGED, "again"),
    ],
)
def test_refuses_and_names_the_remedy(data: bytes, code: Refusal, remedy: str) -> None:
    with pytest.raises(PictureError) as caught:
        take_in(io.BytesIO(data))
    assert caught.value.code is code
    assert remedy in words.reason(caught.value)


def test_every_refusal_has_words() -> None:
    assert all(len(words.reason(PictureError(code, "x"))) > 20 for code in Refusal)


def test_a_picture_of_200_megapixels_is_refused_before_anything_is_decoded(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def started(*_: object, **__: object) -> None:
        raise AssertionError("a child was started")

    monkeypatch.setattr(subprocess, "run", started)
    bomb = photo.png_bomb(20_000, 10_000)
    assert len(bomb) < 1_000_000
    with pytest.raises(PictureError) as caught:
        take_in(io.BytesIO(bomb))
    assert caught.value.code is Refusal.TOO_MANY_PIXELS
    assert "20000 × 10000" in words.reason(caught.value)


def test_fifty_megapixels_as_phones_count_them_are_taken() -> None:
    made = take_in(io.BytesIO(photo.encoded(Image.new("RGB", (8192, 6144), photo.GREY))))
    assert (made.encoded.width, made.encoded.height) == (3000, 2250)


def test_the_header_alone_cannot_smuggle_a_larger_picture_in() -> None:
    """The child asks the decoder itself before it decodes, whatever the header reader believed."""
    data = photo.png_bomb(3000, 3000)
    with pytest.raises(PictureError) as caught:
        intake.decode_apart(data, read_header(photo.phone_jpeg()), max_pixels=10_000)
    assert caught.value.code is Refusal.DAMAGED
    with pytest.raises(PictureError) as caught:
        intake.decode_apart(data, read_header(data), max_pixels=10_000)
    assert caught.value.code is Refusal.TOO_MANY_PIXELS


def test_rows_packed_beyond_the_claimed_size_are_not_unpacked() -> None:
    """A PNG that claims 120 × 120 and packs 200 MB of rows: only the claimed rows are read."""
    head = b"\x89PNG\r\n\x1a\n"
    head += photo.png_chunk(b"IHDR", struct.pack(">IIBBBBB", 120, 120, 8, 2, 0, 0, 0))
    packed = zlib.compress(bytes(200_000_000), 9)
    data = head + photo.png_chunk(b"IDAT", packed) + photo.png_chunk(b"IEND", b"")
    limit = 256 * 1024 * 1024
    made = intake.decode_apart(data, read_header(data), memory_bytes=limit)
    assert (made.encoded.width, made.encoded.height) == (120, 120)


@pytest.mark.parametrize("name", [b"iCCP", b"zTXt"])
def test_a_bomb_in_the_notes_of_a_small_png_does_no_harm(name: bytes) -> None:
    """Four kilobytes that unpack to 400 MB, in a chunk that is not the picture."""
    packed = zlib.compress(bytes(100_000_000), 9)
    head = b"\x89PNG\r\n\x1a\n"
    head += photo.png_chunk(b"IHDR", struct.pack(">IIBBBBB", 120, 120, 8, 2, 0, 0, 0))
    head += photo.png_chunk(name, b"note\0\0" + packed)
    rows = zlib.compress(bytes((1 + 360) * 120))
    data = head + photo.png_chunk(b"IDAT", rows) + photo.png_chunk(b"IEND", b"")
    with pytest.raises(PictureError) as caught:
        intake.decode_apart(data, read_header(data), memory_bytes=256 * 1024 * 1024)
    assert caught.value.code is Refusal.DAMAGED


def test_the_memory_limit_of_the_child_bites() -> None:
    """A WebP of 50 megapixels needs more than 700 MiB to decode; its file has some kilobytes."""
    data = photo.encoded(Image.new("RGB", (8192, 6144)), "WEBP", lossless=True, method=0)
    assert len(data) < 50_000
    header = read_header(data)
    with pytest.raises(PictureError) as caught:
        intake.decode_apart(data, header, memory_bytes=512 * 1024 * 1024)
    assert caught.value.code is Refusal.TOO_MUCH_WORK
    assert intake.decode_apart(data, header).encoded.width == LONGEST_SIDE


def test_the_time_limits_of_the_child_bite() -> None:
    data = photo.encoded(photo.quarters(3000, 2500), "PNG")
    header = read_header(data)
    with pytest.raises(PictureError) as caught:
        intake.decode_apart(data, header, wall_seconds=0.001)
    assert caught.value.code is Refusal.TOO_MUCH_WORK
    with pytest.raises(PictureError) as caught:
        intake.decode_apart(data, header, cpu_seconds=0)
    assert caught.value.code is Refusal.TOO_MUCH_WORK


def test_the_child_sees_no_secret_and_no_folder_of_ours(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: dict[str, object] = {}
    run = subprocess.run

    def watched(command: list[str], **options: object) -> object:
        seen.update(options, command=command)
        return run(command, **options)  # type: ignore[call-overload]

    monkeypatch.setattr(subprocess, "run", watched)
    monkeypatch.setitem(os.environ, "SECRET_KEY", "do not tell")
    take_in(io.BytesIO(photo.phone_jpeg()))
    assert seen["env"] == {}
    assert "-I" in seen["command"]  # type: ignore[operator]


@pytest.mark.parametrize("written", [b"", b"{}\n", b'{"refused": "damaged", "detail": ""}\n'])
def test_a_child_that_dies_is_not_believed(written: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    dead = subprocess.CompletedProcess([], -11, stdout=written, stderr=b"")
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: dead)
    assert refusal(photo.phone_jpeg()) is Refusal.TOO_MUCH_WORK


def test_a_jpeg_cut_anywhere_is_whole_or_refused() -> None:
    """Cutting the last bytes away never leaves a picture that is partly grey."""
    data = photo.encoded(photo.quarters(120, 120))
    whole = np.asarray(taken(data)).astype(int)
    refused = 0
    for cut in range(1, len(data), len(data) // 12):
        try:
            image = np.asarray(taken(data[:-cut])).astype(int)
        except PictureError:
            refused += 1
        else:
            assert np.abs(image - whole).max() <= 2
    assert refused >= 10


def test_a_file_over_the_limit_is_refused_unread(settings: object) -> None:
    settings.PICTURE_UPLOAD_MEGABYTES = 1  # type: ignore[attr-defined]

    class Unreadable(io.BytesIO):
        size = 2_000_000

        def read(self, *_: object) -> bytes:
            raise AssertionError("the file was read")

    with pytest.raises(PictureError) as caught:
        take_in(Unreadable())
    assert caught.value.code is Refusal.TOO_MANY_BYTES
    assert "1 MB" in words.reason(caught.value)
    assert refusal(b"\xff\xd8\xff" + bytes(1_100_000)) is Refusal.TOO_MANY_BYTES


def test_several_files_are_taken_together_or_not_at_all() -> None:
    good = [photo.upload(photo.phone_jpeg(), f"IMG_{n}.jpg") for n in range(2)]
    assert len(take_in_all(good)) == 2
    mixed = [
        photo.upload(photo.phone_jpeg(), "IMG_1.jpg"),
        photo.upload(b"words", "IMG_2.jpg"),
        photo.upload(photo.phone_jpeg()[:500], "IMG_3.jpg"),
    ]
    with pytest.raises(PicturesError) as caught:
        take_in_all(mixed)
    lines = words.reasons(caught.value)
    assert [line.split(":")[0] for line in lines] == ["IMG_2.jpg", "IMG_3.jpg"]
