"""The record, the floor and the day's services run on PostgreSQL as they do on SQLite."""

import os
import subprocess
import sys

import pytest
from django.conf import settings

URL = os.environ.get("TEST_POSTGRES_URL", "")
# What depends on the database: guards and chains, locks, immediate constraints, JSON, the day.
FILES = [
    "tests/training/people/record",
    "tests/training/people/test_floor_sign_in.py",
    "tests/certification/staffing",
    "tests/certification/matrix",
    "tests/training/specimens/test_panels.py",
    "tests/training/specimens/test_real_parts.py",
    "tests/training/specimens/test_register_pages.py",
    "tests/training/specimens/test_decide_again.py",
    "tests/training/specimens/test_series.py",
    "tests/training/quizzes/test_open_qualification.py",
    "tests/training/quizzes/test_record_judgement.py",
    "tests/training/quizzes/test_rescoring.py",
    "tests/training/quizzes/test_exercises.py",
    "tests/training/quizzes/test_trying_again.py",
    "tests/training/quizzes/agreement/test_studies.py",
    "tests/training/quizzes/views/test_judge.py",
    "tests/training/quizzes/views/test_specimen_statistics.py",
    "tests/training/quizzes/views/test_report.py",
    "tests/training/quizzes/views/test_wanted.py",
    "tests/training/quizzes/views/test_plan_review.py",
    "tests/training/quizzes/views/test_draw.py",
    "tests/media_demo/plant/test_build.py",
]


@pytest.mark.postgres
def test_the_day_runs_on_postgres() -> None:
    if not URL:
        if os.environ.get("REQUIRE_POSTGRES"):
            pytest.fail("REQUIRE_POSTGRES is set and TEST_POSTGRES_URL is not")
        pytest.skip("no PostgreSQL server: set TEST_POSTGRES_URL to run this")
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *FILES]
    done = subprocess.run(
        command,
        cwd=settings.BASE_DIR,
        env={**os.environ, "DATABASE_URL": URL},
        capture_output=True,
        text=True,
        timeout=1500,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-6000:] + done.stderr[-2000:]
