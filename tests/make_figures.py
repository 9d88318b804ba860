"""Write figures.md: every statistic that a page shows, its function, and the test behind it.

Run ``python -m tests.make_figures`` after a change of the register or of a page's comment.
"""

import re
from collections import defaultdict
from pathlib import Path

from tests.figures import FIGURES, Figure

ROOT = Path(__file__).parent.parent
PAGE = Path(__file__).with_name("figures.md")
NAMED = re.compile(r"(?:\{#|^#) figures: ([a-z0-9, -]+?)(?: #\})?$", re.MULTILINE)

HEAD = """# Every statistic on a page, its function and its test

Written by `python -m tests.make_figures`; a test fails when a function, a test or a page named
here is not there, or when a page names a statistic that is not here.

| statistic | shown on | function | test |
|---|---|---|---|
"""


def places() -> dict[str, list[str]]:
    """Return the pages that name each key, as paths below the root."""
    found: dict[str, list[str]] = defaultdict(list)
    files = [
        path
        for package in ("training", "certification")
        for ending in ("html", "py")
        for path in (ROOT / package).rglob(f"*.{ending}")
    ]
    for path in sorted(files):
        for keys in NAMED.findall(path.read_text(encoding="utf-8")):
            for key in keys.split(","):
                found[key.strip()].append(path.relative_to(ROOT).as_posix())
    return found


def row(figure: Figure, shown: list[str]) -> str:
    pages = "<br>".join(f"`{name}`" for name in shown)
    return f"| {figure.says} | {pages} | `{figure.function}` | `{figure.test}` |\n"


def page() -> str:
    """Return the whole page."""
    found = places()
    return HEAD + "".join(row(figure, found.get(figure.key, [])) for figure in FIGURES)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    print(f"{PAGE.name}: {len(FIGURES)} statistics")
