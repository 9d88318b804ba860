"""The list of specimens of the invented plant, its answers read anew and as they are kept.

Run: python -m tests.benchmarks.bench_specimen_statistics
in an environment whose database holds the demo (`manage.py demo --no-serve --pictures none`).
"""

import datetime as dt
import os
from collections.abc import Callable
from statistics import median
from time import perf_counter

import django
from django.utils import timezone

RUNS = 7


def seconds(work: Callable[[], object]) -> float:
    began = perf_counter()
    work()
    return perf_counter() - began


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "certification.site.settings")
    django.setup()
    from training.quizzes.selectors import presented_rows
    from training.quizzes.selectors.specimen_answers import answer_book

    day: dt.date = timezone.localdate()

    def anew() -> object:
        presented_rows._kept.clear()
        return answer_book(day)

    # In turn, so that a busy moment of the machine hits both.
    pairs = [(seconds(anew), seconds(lambda: answer_book(day))) for _ in range(RUNS)]
    first, kept = (median(column) for column in zip(*pairs, strict=True))
    print(
        f"{len(answer_book(day).answers)} first answers: kept rows {first / kept:.1f} times faster"
    )


if __name__ == "__main__":
    main()
