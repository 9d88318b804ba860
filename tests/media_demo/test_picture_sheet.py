"""The command that writes contact sheets."""

from pathlib import Path
from unittest.mock import patch

import pytest
from django.core.management import CommandError, call_command
from PIL import Image


def test_writes_a_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "sheet.png"
    small = Image.new("RGB", (30, 20))
    target = "media_demo.management.commands.picture_sheet.make_sheet"
    with patch(target, return_value=small) as made:
        call_command("picture_sheet", str(out), "--family", "crack", "--seed", "3")
    made.assert_called_once_with("crack", seed=3)
    with Image.open(out) as written:
        assert written.size == (30, 20)
    assert "30 x 20" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("out", "options", "words"),
    [
        ("sheet.jpg", [], "ends in .png"),
        ("nowhere/sheet.png", [], "no such folder"),
        ("sheet.png", ["--family", "rust"], "unknown family 'rust'"),
    ],
)
def test_refuses_with_the_remedy(tmp_path: Path, out: str, options: list[str], words: str) -> None:
    with pytest.raises(CommandError, match=words):
        call_command("picture_sheet", str(tmp_path / out), *options)
    assert not (tmp_path / out).exists()
