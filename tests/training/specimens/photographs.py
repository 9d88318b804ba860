"""Files as they come from phones, and files that no one should take in."""

import io
import struct
import zlib

import numpy as np
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageCms

Colour = tuple[int, int, int]
RED, GREEN, BLUE, GREY = (200, 30, 30), (30, 170, 40), (40, 60, 200), (150, 150, 150)


def quarters(width: int = 400, height: int = 300) -> Image.Image:
    """Upright: red top left, green top right, blue bottom left, grey bottom right."""
    image = Image.new("RGB", (width, height), GREY)
    half_w, half_h = width // 2, height // 2
    image.paste(RED, (0, 0, half_w, half_h))
    image.paste(GREEN, (half_w, 0, width, half_h))
    image.paste(BLUE, (0, half_h, half_w, height))
    return image


def corners(image: Image.Image) -> list[Colour]:
    """The colours in the middle of the four quarters: top left, top right, bottom left, right."""
    width, height = image.size
    near, far_x, far_y = 4, width * 3 // 4, height * 3 // 4
    places = [(width // near, height // near), (far_x, height // near)]
    places += [(width // near, far_y), (far_x, far_y)]
    pixels = np.asarray(image.convert("RGB")).tolist()
    return [(pixels[y][x][0], pixels[y][x][1], pixels[y][x][2]) for x, y in places]


def encoded(image: Image.Image, form: str = "JPEG", **options: object) -> bytes:
    out = io.BytesIO()
    if form == "JPEG":
        options = {"quality": 95, "subsampling": 0} | options
    image.save(out, form, **options)
    return out.getvalue()


def opened(data: bytes) -> Image.Image:
    image = Image.open(io.BytesIO(data))
    image.load()
    return image


def phone_jpeg(width: int = 400, height: int = 300) -> bytes:
    """A JPEG as a phone writes it: orientation, maker, and the place it was taken."""
    exif = Image.Exif()
    exif[0x0112] = 1
    exif[0x010F] = "Maker"
    exif[0x9286] = "a comment by its owner"
    exif.get_ifd(0x8825).update({1: "N", 2: (25.0, 40.0, 12.0), 3: "W", 4: (100.0, 18.0, 30.0)})
    xmp = b"<x:xmpmeta xmlns:x='adobe:ns:meta/'>owner</x:xmpmeta>"
    return encoded(quarters(width, height), exif=exif.tobytes(), xmp=xmp, comment=b"said aloud")


def oriented_jpeg(orientation: int, form: str = "JPEG") -> bytes:
    """The same upright picture as `quarters`, stored turned, with the tag that says how."""
    # What puts a picture upright, undone: the inverse of each of the eight Exif orientations.
    inverse = {
        1: None,
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }[orientation]
    image = quarters()
    stored = image if inverse is None else image.transpose(inverse)
    exif = Image.Exif()
    exif[0x0112] = orientation
    return encoded(stored, form, exif=exif.tobytes())


def png_chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def png_bomb(width: int, height: int, *, claimed: tuple[int, int] | None = None) -> bytes:
    """A small PNG that unpacks to width × height; `claimed` puts another head before the true one."""
    head = b"\x89PNG\r\n\x1a\n"
    if claimed:
        head += png_chunk(b"IHDR", struct.pack(">IIBBBBB", *claimed, 8, 2, 0, 0, 0))
    head += png_chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    packer = zlib.compressobj(9)
    row = bytes(1 + 3 * width)
    rows = b"".join(packer.compress(row) for _ in range(height)) + packer.flush()
    return head + png_chunk(b"IDAT", rows) + png_chunk(b"IEND", b"")


def sixteen_bit_png() -> bytes:
    """A grey ramp of 16 bits from black to white, left to right."""
    ramp = np.linspace(0, 65535, 400).astype("<u2")
    return encoded(Image.fromarray(np.tile(ramp, (300, 1))), "PNG")


def wide_gamut_profile() -> bytes:
    """A profile in which red and green have changed places, so that it cannot be overlooked."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    red, green = profile.index(b"rXYZ"), profile.index(b"gXYZ")
    profile[red : red + 4], profile[green : green + 4] = b"gXYZ", b"rXYZ"
    return bytes(profile)


def upload(data: bytes, name: str = "IMG_0001.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, content_type="image/jpeg")
