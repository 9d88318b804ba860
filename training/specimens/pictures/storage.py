"""Where pictures lie: random names in two levels of folders, written whole or not at all."""

import hashlib
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings

SMALL = "-small"


def folder() -> Path:
    return Path(settings.PICTURE_DIR)


def path_of(name: str) -> Path:
    """Return where a picture lies.

    Raises
    ------
    ValueError
        If the name leads out of the folder of pictures.
    """
    path = (folder() / name).resolve()
    if not path.is_relative_to(folder().resolve()):
        raise ValueError(f"{name!r} is not the name of a picture.")
    return path


def small_name(name: str) -> str:
    """Return the name of the small picture that lies beside a picture; it is always a JPEG."""
    return f"{name.rpartition('.')[0]}{SMALL}.jpg"


def sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


class Shelf:
    """Pictures written in one step, so that they can be taken away again together."""

    def __init__(self) -> None:
        self._written: list[Path] = []

    def put(self, data: bytes, small: bytes, extension: str = "jpg") -> str:
        """Write a picture and its small one and return the picture's random name."""
        random = secrets.token_hex(16)
        name = f"{random[:2]}/{random[2:4]}/{random}.{extension}"
        self._write(path_of(name), data)
        self._write(path_of(small_name(name)), small)
        return name

    def _write(self, path: Path, data: bytes) -> None:
        path.parent.mkdir(mode=0o750, parents=True, exist_ok=True)
        unfinished = path.with_name(f".{path.name}.part")
        self._written += [unfinished, path]
        with unfinished.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(path)

    def take_away(self) -> None:
        for path in self._written:
            path.unlink(missing_ok=True)

    def settle(self) -> None:
        """Make the names last through a loss of power, as the bytes do already."""
        for parent in {path.parent for path in self._written}:
            descriptor = os.open(parent, os.O_RDONLY)
            try:
                os.fsync(descriptor)
            finally:
                os.close(descriptor)


@contextmanager
def new_pictures() -> Iterator[Shelf]:
    """Keep what is put on the shelf if the block succeeds; take all of it away if it does not.

    Open it outside the transaction that writes the rows, so that a failed commit is seen here.
    """
    shelf = Shelf()
    try:
        yield shelf
        shelf.settle()
    except BaseException:
        shelf.take_away()
        raise
