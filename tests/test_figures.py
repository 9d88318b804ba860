"""Every statistic shown has a function and a test, and every page says what it shows."""

import ast
from functools import cache
from pathlib import Path

import pytest
from django.utils.module_loading import import_string

from tests.figures import FIGURES, Figure
from tests.make_figures import PAGE, ROOT, page, places


@cache
def names_in(path: Path) -> frozenset[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return frozenset(
        node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.ClassDef)
    )


def by_key(figure: Figure) -> str:
    return figure.key


def test_no_key_stands_twice() -> None:
    assert len({figure.key for figure in FIGURES}) == len(FIGURES)


@pytest.mark.parametrize("figure", FIGURES, ids=by_key)
def test_the_function_is_there(figure: Figure) -> None:
    assert callable(import_string(figure.function))


@pytest.mark.parametrize("figure", FIGURES, ids=by_key)
def test_the_test_is_there(figure: Figure) -> None:
    name, _, test = figure.test.partition("::")
    assert test.split("::")[-1] in names_in(ROOT / name)


@pytest.mark.parametrize("figure", FIGURES, ids=by_key)
def test_a_page_shows_it(figure: Figure) -> None:
    assert places()[figure.key], f"no page names {figure.key} in a comment 'figures: …'"


def test_no_page_names_a_statistic_that_is_not_in_the_register() -> None:
    assert set(places()) <= {figure.key for figure in FIGURES}


def test_the_page_is_the_one_the_register_gives_today() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "run: python -m tests.make_figures"
