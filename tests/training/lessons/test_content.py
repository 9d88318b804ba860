"""A family's description as the texts of a lesson, and texts taken apart again."""

import json
from pathlib import Path
from typing import Any

import pytest

from training.lessons.content import SECTIONS, causes, lesson_texts, look_alikes

SEED = Path("media_demo/plant/seed/families.json")
DESCRIPTIONS: list[dict[str, Any]] = json.loads(SEED.read_text(encoding="utf-8"))
SPECKS = {
    "name": "Black specks",
    "es": "Puntos negros",
    "teach": "Wipe. Size. Count.",
    "teach_es": "Limpie. Mida. Cuente.",
    "defn": "Burnt bits in the part.",
    "looks": "Dark dots.",
    "looks_es": "Puntos oscuros.",
    "syn": "contamination",
    "causes": {"process": "long stop", "material": "dirty regrind"},
}


def test_what_is_described_becomes_a_section_and_what_is_not_is_left_out() -> None:
    texts = lesson_texts(SPECKS)
    assert texts.title == {"en": "Black specks", "es": "Puntos negros"}
    assert texts.sections["looks"] == {"en": "Dark dots.", "es": "Puntos oscuros."}
    assert texts.sections["what"] == {"en": "Burnt bits in the part."}
    assert texts.sections["causes"] == {"en": "process: long stop; material: dirty regrind"}
    assert "where" not in texts.sections


def test_only_the_languages_asked_for_are_taken() -> None:
    texts = lesson_texts(SPECKS, ["en"])
    assert texts.title == {"en": "Black specks"}
    assert texts.sections["looks"] == {"en": "Dark dots."}


@pytest.mark.parametrize("description", DESCRIPTIONS, ids=lambda each: str(each["slug"]))
def test_every_family_of_the_invented_plant_makes_a_lesson(description: dict[str, Any]) -> None:
    texts = lesson_texts(description)
    assert set(texts.title) == {"en", "es"}
    assert {"what", "looks", "where", "how", "action", "confuse"} <= set(texts.sections)
    assert set(texts.sections) <= set(SECTIONS)
    assert all(each.how for each in look_alikes(texts.sections["confuse"]["en"]))
    assert len(causes(texts.sections["causes"]["en"])) == len(description["causes"])


def test_look_alikes_are_told_apart_by_name() -> None:
    found = look_alikes("Crack: line opens, nail drops in. Flow line: wavy, not one line.")
    assert [(each.name, each.how) for each in found] == [
        ("Crack", "line opens, nail drops in."),
        ("Flow line", "wavy, not one line."),
    ]


def test_a_text_without_names_stands_as_it_is() -> None:
    assert [(each.name, each.how) for each in look_alikes("Ask your trainer.")] == [
        ("", "Ask your trainer.")
    ]
    assert look_alikes("") == []


def test_causes_are_told_apart_by_place() -> None:
    assert causes("damp; process: cold melt; low pack; tool: worn gate") == [
        ("", "damp"),
        ("process", "cold melt; low pack"),
        ("tool", "worn gate"),
    ]
    assert causes("") == []
