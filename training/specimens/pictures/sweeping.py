"""Files that no row names: what a loss of power between writing and committing leaves behind."""

import time
from collections.abc import Collection, Iterator
from pathlib import Path

from training.specimens.pictures.storage import SMALL, folder

# A file younger than this may belong to a row that is being written now.
YOUNG_SECONDS = 3600


def unnamed_files(names: Collection[str], *, now: float | None = None) -> Iterator[Path]:
    """Yield the files of the folder of pictures that none of the names stands for.

    A small picture stands for the picture beside it. Files of the last hour are left alone.
    """
    kept = {name.rpartition(".")[0] for name in names}
    before = (time.time() if now is None else now) - YOUNG_SECONDS
    root = folder()
    for path in sorted(root.glob("*/*/*")):
        stem = path.relative_to(root).with_suffix("").as_posix().removesuffix(SMALL)
        if path.is_file() and stem not in kept and path.stat().st_mtime < before:
            yield path
