"""The child process that decodes one foreign picture under limits of memory and time.

It reads one line of JSON and then the picture from its standard input, and writes one line of JSON
and then the two encoded pictures to its standard output. It imports no Django and knows no secret.
"""

import io
import json
import sys
import warnings
from typing import Any, BinaryIO

from PIL import Image, ImageCms, ImageFile

from training.specimens.pictures.encode import LONGEST_SIDE, Encoded, encode, scaled_down
from training.specimens.pictures.header import Kind
from training.specimens.pictures.refusals import PictureError, Refusal

FORMATS = {
    Kind.JPEG: ("JPEG", "MPO"),
    Kind.PNG: ("PNG",),
    Kind.WEBP: ("WEBP",),
    Kind.HEIC: ("HEIF",),
}
# The booth's surround: a part cut out of its background stands in it without an edge.
SURROUND = (0xAE, 0xAE, 0xAE)
ORIENTATION_TAG = 0x0112
# Exif orientation 2 to 8 -> what puts the picture upright; 1 is upright already.
UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


def limit_self(*, memory_bytes: int, cpu_seconds: int) -> None:
    """Give up memory beyond a limit, processor time beyond another, and writing files at all."""
    import resource  # noqa: PLC0415 - a part of Unix that this module can be read without

    def lower(what: int, to: int) -> None:
        _, hard = resource.getrlimit(what)
        bound = to if hard == resource.RLIM_INFINITY else min(to, hard)
        resource.setrlimit(what, (bound, bound))

    if sys.platform == "linux":
        lower(resource.RLIMIT_AS, memory_bytes)
    lower(resource.RLIMIT_CPU, cpu_seconds)
    lower(resource.RLIMIT_FSIZE, 0)
    lower(resource.RLIMIT_CORE, 0)


def decode(
    data: bytes, kind: Kind, *, max_pixels: int, longest: int = LONGEST_SIDE
) -> tuple[Encoded, float]:
    """Decode, put upright, bring to sRGB and encode again; return that and how much smaller it is.

    Raises
    ------
    PictureError
        If the picture is larger than its header may say, damaged, animated or made for print.
    """
    if kind is Kind.HEIC:
        _register_heic()
    with (
        warnings.catch_warnings(),
        Image.open(io.BytesIO(data), formats=[FORMATS[kind][0]]) as image,
    ):
        warnings.simplefilter("ignore")
        if image.format not in FORMATS[kind]:
            raise PictureError(Refusal.DAMAGED)
        if image.width * image.height > max_pixels:
            raise PictureError(Refusal.TOO_MANY_PIXELS, f"{image.width} × {image.height}")
        if image.mode == "CMYK":
            raise PictureError(Refusal.FOR_PRINT)
        if kind in (Kind.PNG, Kind.WEBP) and getattr(image, "n_frames", 1) > 1:
            raise PictureError(Refusal.SEVERAL_PICTURES)
        orientation = _orientation(image)
        profile = image.info.get("icc_profile")
        longer_before = max(image.size)
        image.draft(None, (longest, longest))
        image.load()
        small_enough = scaled_down(_eight_bits(image), longest)
    if orientation in UPRIGHT:
        small_enough = small_enough.transpose(UPRIGHT[orientation])
    made = encode(_on_surround(_in_srgb(small_enough, profile)), longest=longest)
    return made, max(made.width, made.height) / longer_before


def _register_heic() -> None:
    try:
        import pillow_heif  # noqa: PLC0415 - an extra that a site may leave out
    except ImportError as error:
        raise PictureError(Refusal.HEIC_NOT_HERE) from error
    pillow_heif.register_heif_opener(thumbnails=False)


def _orientation(image: Image.Image) -> int:
    try:
        return int(image.getexif().get(ORIENTATION_TAG, 1))
    except (ValueError, TypeError, KeyError, IndexError, SyntaxError, OSError, OverflowError):
        # A camera's broken notes do not make its picture worse; it stays as it was taken.
        return 1


def _eight_bits(image: Image.Image) -> Image.Image:
    """Return the picture as L, RGB or RGBA with eight bits a channel."""
    if image.mode in ("I;16", "I;16B", "I;16L", "I"):
        return image.point(lambda level: level / 256).convert("L")
    if image.mode in ("P", "PA", "LA") or (image.mode in ("1", "L", "RGB") and _has_key(image)):
        return image.convert("RGBA" if "A" in image.mode or _has_key(image) else "RGB")
    if image.mode in ("L", "RGB", "RGBA"):
        return image
    return image.convert("RGB")


def _has_key(image: Image.Image) -> bool:
    return "transparency" in image.info


def _in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """Return the picture in sRGB by its colour profile; without one it is sRGB already."""
    if not profile:
        return image
    alpha = image.getchannel("A") if image.mode == "RGBA" else None
    plain = image.convert("RGB") if alpha else image
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        managed = ImageCms.profileToProfile(
            plain,
            source,
            ImageCms.createProfile("sRGB"),
            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
            outputMode="RGB",
            flags=ImageCms.Flags.BLACKPOINTCOMPENSATION,
        )
    except (ImageCms.PyCMSError, OSError, ValueError):
        # A profile that nobody can read: the pixels are shown as a browser would show them.
        return image
    if managed is None:
        return image
    if alpha:
        managed.putalpha(alpha)
    return managed


def _on_surround(image: Image.Image) -> Image.Image:
    if image.mode != "RGBA":
        return image
    ground = Image.new("RGB", image.size, SURROUND)
    ground.paste(image, mask=image.getchannel("A"))
    return ground


def answer(order: dict[str, Any], data: bytes) -> tuple[dict[str, Any], bytes, bytes]:
    """Return what to write: a line of JSON and both pictures, or why there are none."""
    try:
        made, scale = decode(
            data, Kind(order["kind"]), max_pixels=order["max_pixels"], longest=order["longest"]
        )
    except PictureError as refused:
        return {"refused": refused.code, "detail": refused.detail}, b"", b""
    except Image.DecompressionBombError:
        return {"refused": Refusal.TOO_MANY_PIXELS, "detail": ""}, b"", b""
    except MemoryError:
        return {"refused": Refusal.TOO_MUCH_WORK, "detail": ""}, b"", b""
    except Exception as error:  # noqa: BLE001 - whatever a decoder throws, the file is at fault
        return {"refused": Refusal.DAMAGED, "detail": type(error).__name__}, b"", b""
    sizes = {"width": made.width, "height": made.height, "large": len(made.data)}
    return {**sizes, "scale": scale}, made.data, made.small


def main(stdin: BinaryIO, stdout: BinaryIO) -> None:
    order = json.loads(stdin.readline())
    Image.MAX_IMAGE_PIXELS = order["max_pixels"]
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    limit_self(memory_bytes=order["memory_bytes"], cpu_seconds=order["cpu_seconds"])
    line, large, small = answer(order, stdin.read())
    stdout.write(json.dumps(line).encode() + b"\n" + large + small)
    stdout.flush()
