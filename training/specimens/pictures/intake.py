"""Taking a picture in: checked by its first bytes, decoded in a limited child, encoded anew."""

import json
import subprocess
import sys
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Final

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile

from training.specimens.pictures.encode import LONGEST_SIDE, Encoded
from training.specimens.pictures.header import Header, read_header
from training.specimens.pictures.refusals import PictureError, Refusal

# 50 megapixels as makers of phones count them: 8192 × 6144.
MAX_PIXELS: Final = 8192 * 6144
# Nobody judges a defect on a picture smaller than this; it is a preview sent by mistake.
MIN_SIDE: Final = 100
MEMORY_BYTES: Final = 1024**3
CPU_SECONDS: Final = 30
WALL_SECONDS: Final = 60

PROJECT_DIR = Path(__file__).resolve().parents[3]
CHILD = (
    "import sys; sys.path.insert(0, sys.argv[1]); "
    "from training.specimens.pictures.decode_child import main; "
    "main(sys.stdin.buffer, sys.stdout.buffer)"
)
# One picture at a time in each server process: a child may need the whole of its memory limit.
_turnstile = threading.BoundedSemaphore(1)


@dataclass(frozen=True)
class TakenPicture:
    """A picture as it will be kept, and how much smaller it is than the file that came in."""

    encoded: Encoded
    scale: float


@dataclass(frozen=True)
class RefusedFile:
    """A file that was refused, by the name its owner gave it."""

    name: str
    refused: PictureError


class PicturesError(Exception):
    """One or more of several files were refused, so none was taken."""

    def __init__(self, files: Sequence[RefusedFile]) -> None:
        super().__init__("; ".join(f"{file.name}: {file.refused}" for file in files))
        self.files = list(files)


def take_in_all(uploads: "Sequence[UploadedFile[bytes]]") -> list[TakenPicture]:
    """Take in every file or none.

    Raises
    ------
    PicturesError
        Naming each file that cannot be taken, and why.
    """
    taken, refused = [], []
    for upload in uploads:
        try:
            taken.append(take_in(upload))
        except PictureError as problem:
            refused.append(RefusedFile(upload.name or "", problem))
    if refused:
        raise PicturesError(refused)
    return taken


def take_in(upload: "UploadedFile[bytes] | IO[bytes]") -> TakenPicture:
    """Take in one file that a person sent.

    Raises
    ------
    PictureError
        If the file is too large, no picture that can be used, or does not decode within the limits.
    """
    most = settings.PICTURE_UPLOAD_MEGABYTES * 1024 * 1024
    size = getattr(upload, "size", None)
    if size is not None and size > most:
        raise PictureError(Refusal.TOO_MANY_BYTES)
    data = upload.read(most + 1)
    if len(data) > most:
        raise PictureError(Refusal.TOO_MANY_BYTES)
    return decode_apart(data, checked_header(data))


def checked_header(data: bytes) -> Header:
    """Return the file's header if its picture is neither too large nor too small."""
    header = read_header(data)
    size = f"{header.width} × {header.height}"
    if header.pixels > MAX_PIXELS:
        raise PictureError(Refusal.TOO_MANY_PIXELS, size)
    if min(header.width, header.height) < MIN_SIDE:
        raise PictureError(Refusal.TOO_FEW_PIXELS, size)
    return header


def decode_apart(
    data: bytes,
    header: Header,
    *,
    max_pixels: int = MAX_PIXELS,
    memory_bytes: int = MEMORY_BYTES,
    cpu_seconds: int = CPU_SECONDS,
    wall_seconds: float = WALL_SECONDS,
) -> TakenPicture:
    """Decode and encode in a child process that has no secrets and limited memory and time."""
    order = {
        "kind": header.kind,
        "max_pixels": max_pixels,
        "longest": LONGEST_SIDE,
        "memory_bytes": memory_bytes,
        "cpu_seconds": cpu_seconds,
    }
    sent = json.dumps(order).encode() + b"\n" + data
    with _turnstile:
        try:
            # Isolated (-I): neither the environment nor the working folder can change what it runs.
            done = subprocess.run(  # noqa: S603 - a fixed command, the file goes in by pipe
                [sys.executable, "-I", "-c", CHILD, str(PROJECT_DIR)],
                input=sent,
                capture_output=True,
                timeout=wall_seconds,
                env={},
                check=False,
            )
        except subprocess.TimeoutExpired as error:
            raise PictureError(Refusal.TOO_MUCH_WORK, "time") from error
    return _taken(done.stdout, done.returncode)


def _taken(written: bytes, exit_code: int) -> TakenPicture:
    """Return what the child wrote; a child that died wrote nothing that can be trusted."""
    line, _, rest = written.partition(b"\n")
    if exit_code != 0 or not line:
        raise PictureError(Refusal.TOO_MUCH_WORK, f"exit {exit_code}")
    said: dict[str, Any] = json.loads(line)
    if "refused" in said:
        raise PictureError(Refusal(said["refused"]), said["detail"])
    large, small = rest[: said["large"]], rest[said["large"] :]
    if not large.startswith(b"\xff\xd8\xff") or not small.startswith(b"\xff\xd8\xff"):
        raise PictureError(Refusal.DAMAGED)
    encoded = Encoded(large, small, said["width"], said["height"])
    return TakenPicture(encoded, said["scale"])
