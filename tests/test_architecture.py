"""What the import linter cannot see: relations, links, migrations, sizes, the route table."""

import ast
import re
from pathlib import Path

import pytest
from django.apps import apps
from django.conf import settings
from django.urls import URLPattern, URLResolver, get_resolver

from certification.site.routes import ROOMS, ROUTES
from training.people.models import Role

ROOT = Path(settings.BASE_DIR)
PACKAGES = ("training", "certification", "media_demo")
LAYERS = [
    "training.people",
    "training.floor",
    "training.specimens",
    "training.quizzes",
    "training.lessons",
    "certification.certificates",
    "certification.training_plans",
    "certification.matrix",
    "certification.staffing",
    "certification.site",
    "media_demo",
]
OURS = [config for config in apps.get_app_configs() if config.name.startswith(PACKAGES)]
SOURCES = [
    path
    for package in (*PACKAGES, "tests")
    for path in (ROOT / package).rglob("*.py")
    if "migrations" not in path.parts
]


def test_the_top_level_has_its_eight_entries_and_no_ninth() -> None:
    allowed = {
        "README.md", "DEVELOPERS.md", "manage.py", "pyproject.toml", "CHANGELOG.md", "LICENSE",
        *PACKAGES, "tests",
    }  # fmt: skip
    found = {
        path.name
        for path in ROOT.iterdir()
        if not path.name.startswith(".") and not path.name.endswith((".egg-info", ".lock"))
    }
    assert found == allowed


def test_relations_point_down_the_layers() -> None:
    rank = {name: place for place, name in enumerate(LAYERS)}
    for config in OURS:
        for model in config.get_models():
            for field in model._meta.get_fields():
                target = getattr(field, "related_model", None)
                if target is None or field.auto_created or isinstance(target, str):
                    continue
                other = target._meta.app_config.name
                if other in rank:
                    assert rank[other] <= rank[config.name], f"{model} points up to {target}"


@pytest.mark.parametrize("package", ["training"])
def test_training_templates_link_to_training_only(package: str) -> None:
    allowed = {"people", "floor", "specimens", "quizzes", "lessons"}
    for path in (ROOT / package).rglob("templates/**/*.html"):
        for name in re.findall(r"{%\s*url\s+'([\w:-]+)'", path.read_text(encoding="utf-8")):
            namespace = name.partition(":")[0] if ":" in name else None
            assert namespace in allowed or name == "set_language", f"{path} links to {name}"


def test_every_app_with_models_has_migrations() -> None:
    for config in OURS:
        if list(config.get_models()):
            assert (Path(config.path) / "migrations" / "0001_initial.py").exists(), config.name


def test_package_initialisers_are_empty() -> None:
    filled = [path for path in SOURCES if path.name == "__init__.py" and path.read_text().strip()]
    assert filled == []


def test_no_file_is_two_things() -> None:
    long = {
        str(path.relative_to(ROOT)): lines
        for path in SOURCES
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert long == {}


def test_every_module_opens_with_one_sentence() -> None:
    silent = []
    for path in SOURCES:
        if path.name != "__init__.py":
            text = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
            if not text:
                silent.append(str(path.relative_to(ROOT)))
    assert silent == []


def test_no_function_is_longer_than_fifty_lines() -> None:
    long = []
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                body = node.body[1:] if ast.get_docstring(node) else node.body
                lines = (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0
                if lines > 50:
                    long.append(f"{path.relative_to(ROOT)} {node.name} {lines}")
    assert long == []


def route_names(resolver: URLResolver, namespace: str = "") -> set[str]:
    names = set()
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            inner = f"{namespace}{entry.namespace}:" if entry.namespace else namespace
            names |= route_names(entry, inner)
        elif isinstance(entry, URLPattern) and entry.name:
            names.add(namespace + entry.name)
        else:
            names.add(f"unnamed {entry.pattern}")
    return names


def test_every_route_is_in_the_table_and_every_entry_is_a_route() -> None:
    assert route_names(get_resolver()) == set(ROUTES)


def test_every_role_has_rooms_it_may_open() -> None:
    assert set(ROOMS) == set(Role.values)
    for role, names in ROOMS.items():
        for name in names:
            assert role in ROUTES[name].roles, f"{role} may not open its room {name}"


def test_templates_have_no_inline_style_or_script() -> None:
    faulty = []
    for package in PACKAGES:
        for path in (ROOT / package).rglob("templates/**/*.html"):
            text = path.read_text(encoding="utf-8")
            if re.search(
                r"\sstyle=|<style|\son[a-z]+=\"|<script(?![^>]*\b(src|type=\"application/json\"))",
                text,
            ):
                faulty.append(str(path.relative_to(ROOT)))
    assert faulty == []
