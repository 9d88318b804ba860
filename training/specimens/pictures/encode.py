"""How a picture is kept: one format, one largest size, and a small one for lists.

JPEG with full colour resolution (4:4:4) at quality 90. Lossy WebP always halves the colour
resolution: on a rendered part with 120 specks of 1 to 5 px the error of colour in the specks was
4.1 levels (root mean square, of 255) with this setting and 7.5 with WebP at quality 90, and colour
tells a burn from a black speck. Brightness error was alike (3.6 and 3.8).
"""

import io
from dataclasses import dataclass
from typing import Final

from PIL import Image

LONGEST_SIDE: Final = 3000
SMALL_SIDE: Final = 360
QUALITY: Final = 90
SMALL_QUALITY: Final = 80
NOTES: Final = frozenset({"exif", "xmp", "comment", "icc_profile", "photoshop"})
# Averages without negative lobes, so that no edge gets a halo that the part does not have.
RESAMPLING: Final = Image.Resampling.HAMMING


@dataclass(frozen=True)
class Encoded:
    """A picture as it is kept: both sizes as JPEG bytes, and pixels of the large one."""

    data: bytes
    small: bytes
    width: int
    height: int


def fitted(size: tuple[int, int], longest: int) -> tuple[int, int]:
    """Return the size scaled down so that its longer side is at most `longest` pixels."""
    width, height = size
    factor = min(1.0, longest / max(width, height))
    return max(1, round(width * factor)), max(1, round(height * factor))


def scaled_down(image: Image.Image, longest: int) -> Image.Image:
    """Return the picture with its longer side at most `longest` pixels."""
    size = fitted(image.size, longest)
    return image if size == image.size else image.resize(size, RESAMPLING)


def encode(image: Image.Image, *, longest: int = LONGEST_SIDE) -> Encoded:
    """Encode an 8-bit picture in sRGB; nothing but its pixels is kept."""
    large = scaled_down(image.convert("RGB"), longest)
    small = scaled_down(large, SMALL_SIDE)
    return Encoded(
        data=_jpeg(large, QUALITY),
        small=_jpeg(small, SMALL_QUALITY),
        width=large.width,
        height=large.height,
    )


def small_of(data: bytes) -> bytes:
    """Return the small picture of one of the site's own encoded pictures.

    Raises
    ------
    ValueError
        If the picture carries notes beside its pixels, which could tell what it shows.
    OSError
        If it does not decode.
    """
    with Image.open(io.BytesIO(data), formats=["JPEG", "WEBP"]) as image:
        if NOTES & image.info.keys():
            raise ValueError("the picture carries notes: encode it without any")
        image.draft("RGB", (SMALL_SIDE, SMALL_SIDE))
        return _jpeg(scaled_down(image.convert("RGB"), SMALL_SIDE), SMALL_QUALITY)


def _jpeg(image: Image.Image, quality: int) -> bytes:
    # Pillow would write a colour profile or a comment that it finds beside the pixels.
    bare = image.copy()
    bare.info = {}
    out = io.BytesIO()
    # Not `optimize`: it fails on pictures that need more than a byte a pixel, and saves 8 %.
    bare.save(out, "JPEG", quality=quality, subsampling=0)
    return out.getvalue()
