"""Rows of the list of lessons, in the reader's language."""

from collections.abc import Iterable
from typing import Any

from django.utils.translation import get_language

from training.lessons.selectors import LessonGroup
from training.quizzes.words import here


def lesson_rows(groups: Iterable[LessonGroup]) -> list[dict[str, Any]]:
    language = (get_language() or "en")[:2]
    return [
        {
            "name": here(each.group.name),
            "code": each.group.code,
            "rows": [
                {
                    "slug": row.family.slug,
                    "name": here(row.lesson.title),
                    "one_liner": here(row.lesson.one_liner),
                    "revision": row.lesson.revision,
                    "need": row.need,
                    "read": row.read,
                    "older": row.older,
                    "stale": language in row.missing,
                }
                for row in each.rows
            ],
        }
        for each in groups
    ]
