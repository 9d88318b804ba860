"""Write checks.md: what the instruments give beside what was published elsewhere.

Run ``python -m tests.training.statistics.make_checks`` after a change of the checks.
"""

from collections.abc import Iterable
from pathlib import Path

from tests.training.statistics import published_checks_items, published_checks_plans
from tests.training.statistics.published_check import Check

PAGE = Path(__file__).with_name("checks.md")
REGISTRIES = (published_checks_plans, published_checks_items)

HEAD = """# The measuring instruments beside published values

Written by `python -m tests.training.statistics.make_checks` from a run of the functions;
a test fails when this page and the run differ.

Status: **published** means the value was seen in the source named; **from memory**, a
known source quoted from memory; **recomputed**, computed by the independent tool named;
**own study**, an exact figure of this project's study of methods, computed apart from
the code here.

"""


def heading(text: str) -> str:
    """Return the first paragraphs of a registry as its section's opening."""
    title, _, rest = text.strip().partition("\n")
    return (
        f"## {title.rstrip('.')}\n\n{rest.strip()}\n\n" if rest else f"## {title.rstrip('.')}\n\n"
    )


def digits(value: float, tolerance: float) -> str:
    """Return the value with as many decimals as the tolerance can tell apart."""
    places = next((k for k in range(10) if tolerance >= 0.49 * 10.0**-k), 10) if tolerance else 0
    return f"{value + 0.0:.{places}f}"


def row(check: Check) -> str:
    """Return one line of the table."""
    cells = (
        check.what,
        check.source,
        check.status,
        f"{check.published:.10g}",
        digits(check.ours(), check.tolerance),
    )
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |\n"


def table(checks: Iterable[Check]) -> str:
    """Return the table of one registry."""
    lines = "| check | source | status | published | ours |\n|---|---|---|---|---|\n"
    return lines + "".join(row(check) for check in checks)


def page() -> str:
    """Return the whole page."""
    sections = (heading(part.__doc__ or "") + table(part.CHECKS) for part in REGISTRIES)
    return HEAD + "\n".join(sections)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    print(f"{PAGE.name}: {sum(len(part.CHECKS) for part in REGISTRIES)} checks")
