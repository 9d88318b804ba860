"""Files kept between the check of an import and its confirmation: private, for an hour, once."""

import datetime as dt
import json
import re
import secrets
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings

from training.people.models import Person
from training.people.sheets.days import DayOrder
from training.people.sheets.plan import SheetFile

KEEP_FOR = dt.timedelta(hours=1)
_TOKEN = re.compile(r"[A-Za-z0-9_-]{32}")


@dataclass(frozen=True)
class Kept:
    """The files of one check and how their days are meant."""

    files: dict[str, SheetFile]
    order: DayOrder


def keep(
    files: Mapping[str, SheetFile],
    *,
    kind: str,
    order: DayOrder,
    by: Person,
    moment: dt.datetime,
) -> str:
    """Keep the files under a random name that only this person can use; return the name."""
    _sweep(moment)
    token = secrets.token_urlsafe(24)
    folder = _folder() / token
    folder.mkdir(mode=0o700, parents=True)
    about = {
        "kind": kind,
        "order": order.value,
        "by": str(by.pk),
        "until": (moment + KEEP_FOR).isoformat(),
        "files": {field: file.name for field, file in files.items()},
    }
    for field, file in files.items():
        (folder / field).write_bytes(file.data)
    (folder / "about.json").write_text(json.dumps(about), encoding="utf-8")
    return token


def take(token: str, *, kind: str, by: Person, moment: dt.datetime) -> Kept | None:
    """Return what was kept under a name, or None if it is over, of another kind or another's."""
    if not _TOKEN.fullmatch(token):
        return None
    folder = _folder() / token
    about = _about(folder)
    if about is None or about["kind"] != kind or about["by"] != str(by.pk):
        return None
    if dt.datetime.fromisoformat(about["until"]) < moment:
        discard(token)
        return None
    files = {
        field: SheetFile(name, (folder / field).read_bytes())
        for field, name in about["files"].items()
    }
    return Kept(files, DayOrder(about["order"]))


def discard(token: str) -> None:
    if _TOKEN.fullmatch(token):
        shutil.rmtree(_folder() / token, ignore_errors=True)


def _folder() -> Path:
    folder = Path(settings.DATA_DIR) / "imports"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def _about(folder: Path) -> dict[str, Any] | None:
    try:
        about: dict[str, Any] = json.loads((folder / "about.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return about


def _sweep(moment: dt.datetime) -> None:
    """Delete what nobody came back for."""
    for folder in _folder().iterdir():
        about = _about(folder)
        # Without its note a folder is either just being written or was left half written.
        written = dt.datetime.fromtimestamp(folder.stat().st_mtime, dt.UTC)
        until = dt.datetime.fromisoformat(about["until"]) if about else written + KEEP_FOR
        if until < moment:
            shutil.rmtree(folder, ignore_errors=True)
