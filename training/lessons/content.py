"""The texts of a lesson: which sections it has, and how a family's description becomes one."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

Text = dict[str, str]

# Section code -> what it says.
SECTIONS: Final = (
    "what",
    "looks",
    "where",
    "how",
    "action",
    "confuse",
    "also_called",
    "causes",
)
# Section code -> key of a family's description; Spanish stands under the key with "_es".
FROM_DESCRIPTION: Final = {
    "what": "defn",
    "looks": "looks",
    "where": "where",
    "how": "exam",
    "action": "action",
    "confuse": "confuse",
}


@dataclass(frozen=True)
class LessonTexts:
    """Title, the one line to remember, and the sections, in the languages there are."""

    title: Text
    one_liner: Text
    sections: dict[str, Text] = field(default_factory=dict)


def lesson_texts(
    description: Mapping[str, Any], languages: Sequence[str] = ("en", "es")
) -> LessonTexts:
    """Return the texts of a lesson from a family's description, in the languages asked for.

    The description has English under its keys and Spanish under the same key with "_es" (the name
    under "es"), as the plant's families file has them. What is missing is left out.
    """

    def text(key: str, spanish: str) -> Text:
        found = {"en": description.get(key), "es": description.get(spanish)}
        return {code: str(words) for code, words in found.items() if words and code in languages}

    sections = {code: text(key, f"{key}_es") for code, key in FROM_DESCRIPTION.items()}
    sections["also_called"] = text("syn", "syn_es")
    causes = {"en": description.get("causes"), "es": description.get("causes_es")}
    sections["causes"] = {
        code: "; ".join(f"{place}: {said}" for place, said in words.items())
        for code, words in causes.items()
        if words and code in languages
    }
    return LessonTexts(
        title=text("name", "es"),
        one_liner=text("teach", "teach_es"),
        sections={code: words for code, words in sections.items() if words},
    )


@dataclass(frozen=True, slots=True)
class LookAlike:
    """Another family that gets mixed up with this one, and how to tell them apart."""

    name: str
    how: str


NAMED: Final = re.compile(r"(?:^|(?<=[.;] ))([^\W\d_][^.:;]{1,40}):\s+")


def look_alikes(text: str) -> list[LookAlike]:
    """Split "Crack: it opens. Scratch: it crosses features." into one entry for each name.

    A text that names nothing gives one entry without a name.
    """
    parts = NAMED.split(text.strip())
    found = [LookAlike("", parts[0].strip())] if parts[0].strip() else []
    for name, how in zip(parts[1::2], parts[2::2], strict=True):
        found.append(LookAlike(name.strip(), how.strip().rstrip(";")))
    return found


PLACES: Final = re.compile(r"(?:^|;\s*)(process|tool|material|operator):\s+")


def causes(text: str) -> list[tuple[str, str]]:
    """Split "process: cold melt; tool: worn gate" into where a cause lies and what it is.

    What stands before the first place stands under an empty one.
    """
    parts = PLACES.split(text.strip())
    found = [("", parts[0].strip())] if parts[0].strip() else []
    found += [(place, said.strip()) for place, said in zip(parts[1::2], parts[2::2], strict=True)]
    return found
