"""The page of checks is the one the functions give today."""

from tests.training.statistics.make_checks import PAGE, REGISTRIES, page


def test_page_equals_the_run() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), (
        "run: python -m tests.training.statistics.make_checks"
    )


def test_no_check_stands_in_both_registries() -> None:
    ids = [check.id for part in REGISTRIES for check in part.CHECKS]

    assert len(ids) == len(set(ids))


def test_page_names_every_source_and_status() -> None:
    text = PAGE.read_text(encoding="utf-8")
    for part in REGISTRIES:
        for check in part.CHECKS:
            assert f"| {check.source.replace('|', chr(92) + '|')} | {check.status} |" in text
