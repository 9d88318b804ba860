"""What the guides name exists: variables, commands, files."""

import re
from pathlib import Path

from django.conf import settings
from django.core.management import get_commands

ROOT = Path(settings.BASE_DIR)
README = (ROOT / "README.md").read_text(encoding="utf-8")
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SETTINGS = (ROOT / "certification/site/settings.py").read_text(encoding="utf-8")


def test_every_variable_of_the_settings_is_in_the_table_and_the_other_way_round() -> None:
    read = set(re.findall(r'env\.\w+\(\s*"([A-Z_]+)"', SETTINGS))
    told = set(re.findall(r"^\| `([A-Z_]+)` \|", GUIDE, flags=re.MULTILINE))
    assert told == read


def test_every_command_named_exists() -> None:
    ours = {name for name, app in get_commands().items() if not app.startswith("django.")}
    named = set(re.findall(r"manage\.py (\w+)", README + GUIDE))
    listed = GUIDE.partition("## Commands")[2].partition("##")[0]
    named |= set(re.findall(r"`(\w+)`", listed))
    assert named <= ours | {"migrate", "makemessages"}


def test_every_file_named_in_the_guide_exists() -> None:
    for name in re.findall(r"`((?:training|certification|media_demo|tests|\.ci)/[\w./-]*)`", GUIDE):
        assert (ROOT / name).exists(), name


def test_the_first_page_starts_with_the_job_and_the_two_commands() -> None:
    lines = README.splitlines()
    assert lines[0] == "# Witness Line"
    commands = [line.strip() for line in lines if line.startswith("    python3 -m venv")]
    assert len(commands) == 2
    assert commands[0].endswith("manage.py demo")
    assert "pytest" in commands[1]
    assert len(lines) <= 150


def test_the_guides_name_no_path_of_a_machine() -> None:
    for text in (README, GUIDE):
        assert not re.search(r"(^|[\s`(])/(work|tmp|root|home)/", text)
