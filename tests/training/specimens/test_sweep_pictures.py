"""The command that finds files without a row, and rows without a file."""

import os
from collections.abc import Callable
from io import StringIO
from pathlib import Path

from django.conf import settings
from django.core.management import call_command

from training.specimens.models import Frame, Specimen

Bank = Callable[..., list[Specimen]]


def swept(*options: str) -> tuple[str, str]:
    out, err = StringIO(), StringIO()
    call_command("sweep_pictures", *options, stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


def left_behind(name: str, *, age: int) -> Path:
    path = Path(settings.PICTURE_DIR) / "ab" / "cd" / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(b"x")
    os.utime(path, (path.stat().st_mtime - age,) * 2)
    return path


def test_files_without_a_row_are_listed_and_removed_when_asked(make_bank: Bank) -> None:
    make_bank(2)
    kept = {path for path in Path(settings.PICTURE_DIR).rglob("*") if path.is_file()}
    for path in kept:
        os.utime(path, (0, 0))
    old = [left_behind(f"abcd{n}", age=7200) for n in (".jpg", "-small.jpg", ".jpg.part")]
    young = left_behind("young.jpg", age=60)
    out, err = swept()
    assert all(str(path) in out for path in old)
    assert "3 files without a row found" in out
    assert err == ""
    assert all(path.exists() for path in old)
    swept("--delete")
    assert not any(path.exists() for path in old)
    assert young.exists()
    assert all(path.exists() for path in kept)


def test_a_row_whose_file_is_lost_is_named(make_bank: Bank) -> None:
    make_bank(1)
    name = Frame.objects.get().file
    (Path(settings.PICTURE_DIR) / name).unlink()
    assert f"lost: {name}" in swept()[1]


def test_an_empty_site_has_nothing_to_sweep(db: None) -> None:
    assert "0 files" in swept()[0]
