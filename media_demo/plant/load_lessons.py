"""Publishes the invented plant's lessons: one for each defect family, in English and Spanish."""

from typing import Any

from media_demo.plant.calendar import Calendar
from media_demo.plant.load_floor import Floor
from media_demo.plant.read import documents
from training.lessons.services import publish_lesson
from training.people.models import Person

PUBLISHED = -50
FIELDS = {
    "what": "defn",
    "looks": "looks",
    "where": "where",
    "how": "exam",
    "action": "action",
    "confuse": "confuse",
}


def load_lessons(calendar: Calendar, people: dict[str, Person], floor: Floor) -> int:
    items = documents("families")
    for item in items:
        sections = {code: _both(item, name) for code, name in FIELDS.items()}
        # Causes have no Spanish yet: the page says so.
        sections["causes"] = {
            "en": "; ".join(f"{kind}: {words}" for kind, words in item["causes"].items())
        }
        publish_lesson(
            family=floor.families[item["slug"]],
            title=_named(item),
            one_liner=_both(item, "teach"),
            sections=sections,
            revision="1",
            day=calendar.day(PUBLISHED),
            moment=calendar.moment(PUBLISHED, "10:00"),
            published_by=people.get("1042"),
        )
    return len(items)


def _named(item: dict[str, Any]) -> dict[str, str]:
    return {"en": item["name"], "es": item["es"]}


def _both(item: dict[str, Any], name: str) -> dict[str, str]:
    english, spanish = item[name], item.get(f"{name}_es", "")
    return {"en": english, "es": spanish} if spanish else {"en": english}
