"""The lesson pages: the list, one lesson in two languages, its pictures, and having read it."""

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from PIL import Image
from pytest_django import DjangoAssertNumQueries

from tests.conftest import NOON, TODAY
from training.floor.models import Family
from training.lessons.models import LessonRevision, Reading
from training.lessons.services import publish_lesson
from training.people.models import Person
from training.specimens.models import Specimen
from training.specimens.services.bulk import (
    Decided,
    NewFrame,
    NewRegion,
    NewSpecimen,
    NewView,
    add_specimens,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]


@pytest.fixture
def lesson(plant: SimpleNamespace, quality: Person) -> LessonRevision:
    return publish_lesson(
        family=plant.specks,
        title={"en": "Black specks", "es": "Puntos negros"},
        one_liner={"en": "Wipe. Size. Count.", "es": "Limpie. Mida. Cuente."},
        sections={
            "looks": {"en": "Dark dots.", "es": "Puntos oscuros."},
            "causes": {"en": "Carbon build-up."},
        },
        day=TODAY - dt.timedelta(days=10),
        published_by=quality,
    )


@pytest.fixture
def specimens(plant: SimpleNamespace) -> list[Specimen]:
    """Two teaching specimens and one of the exam pool, each with one outlined picture."""

    def new(pool: str, ratio: str, decision: str) -> NewSpecimen:
        view = NewView(
            frames=[NewFrame(Image.new("RGB", (400, 300), "grey"))],
            px_per_mm=4.0,
            regions=[NewRegion(plant.specks, [[[100, 100], [140, 100], [140, 140]]])],
        )
        return NewSpecimen(
            job=plant.job,
            zone="A",
            family=plant.specks,
            views=[view],
            severity=float(ratio) * 0.3,
            unit="mm",
            pool=pool,
            decision=Decided(
                decision=decision,
                action="segregate" if decision == "reject" else "keep_running",
                family=plant.specks,
                severity_ratio=Decimal(ratio),
            ),
        )

    wanted = [
        new("teaching", "0.7", "accept"),
        new("teaching", "1.6", "reject"),
        new("exam", "1.2", "reject"),
    ]
    return add_specimens(wanted, day=TODAY, moment=NOON)


class TestList:
    def test_unread_comes_first(
        self, floor: Sign, new_hire: Person, lesson: LessonRevision, plant: SimpleNamespace
    ) -> None:
        client = floor(new_hire)
        self._publish(plant.burn)
        client.post("/lessons/burn/read/", {"revision": "1"})
        (group,) = client.get("/lessons/").context["groups"]
        assert [(row["slug"], row["read"]) for row in group["rows"]] == [
            ("black-specks", None),
            ("burn", TODAY),
        ]

    def _publish(self, family: Family) -> None:
        publish_lesson(
            family=family,
            title=family.name,
            one_liner=family.name,
            sections={"looks": {"en": "Marks."}},
            day=TODAY,
            published_by=None,
        )

    def test_queries_do_not_grow_with_lessons(
        self,
        floor: Sign,
        new_hire: Person,
        plant: SimpleNamespace,
        lesson: LessonRevision,
        django_assert_max_num_queries: DjangoAssertNumQueries,
    ) -> None:
        client = floor(new_hire)
        with django_assert_max_num_queries(15) as few:
            client.get("/lessons/")
        for family in (plant.burn, plant.grease):
            self._publish(family)
        with django_assert_max_num_queries(15) as more:
            client.get("/lessons/")
        assert len(few) == len(more)

    def test_the_unsigned_are_sent_to_sign_in(self, client: Client) -> None:
        assert client.get("/lessons/").status_code == 302

    def test_other_methods_are_refused(self, floor: Sign, new_hire: Person) -> None:
        assert floor(new_hire).post("/lessons/").status_code == 405


class TestLesson:
    def test_it_is_read_in_both_languages(
        self, floor: Sign, new_hire: Person, lesson: LessonRevision
    ) -> None:
        client = floor(new_hire)
        assert "Dark dots." in client.get("/lessons/black-specks/").content.decode()
        spanish = client.get("/lessons/black-specks/", headers={"accept-language": "es"})
        text = spanish.content.decode()
        assert "Puntos oscuros." in text
        assert "Limpie. Mida. Cuente." in text

    def test_words_of_another_language_are_marked(
        self, floor: Sign, new_hire: Person, lesson: LessonRevision
    ) -> None:
        response = floor(new_hire).get("/lessons/black-specks/", headers={"accept-language": "es"})
        marked = {code: response.context[code]["stale"] for code in ("causes",)}
        assert marked == {"causes": True}
        assert not any(each["stale"] for each in response.context["four"])

    def test_pictures_of_the_teaching_pool_stand_on_the_ladder(
        self, floor: Sign, new_hire: Person, lesson: LessonRevision, specimens: list[Specimen]
    ) -> None:
        response = floor(new_hire).get("/lessons/black-specks/")
        pictures = response.context["page"].pictures
        assert [picture.rejected for picture in pictures] == [False, True]
        assert sorted(rung["value"] for rung in response.context["ladder"]["rungs"]) == [0.21, 0.48]
        assert "data-outline-all" in response.content.decode()

    def test_pictures_of_the_exam_pool_are_never_shown(
        self, floor: Sign, new_hire: Person, lesson: LessonRevision, specimens: list[Specimen]
    ) -> None:
        exam = Specimen.objects.get(pool="exam")
        text = floor(new_hire).get("/lessons/black-specks/").content.decode()
        assert str(exam.pk) not in text
        assert floor(new_hire).get(f"/lessons/pictures/{exam.pk}/0").status_code == 404

    def test_a_teaching_picture_is_handed_out(
        self, floor: Sign, new_hire: Person, specimens: list[Specimen]
    ) -> None:
        part = Specimen.objects.filter(pool="teaching")[0]
        response = floor(new_hire).get(f"/lessons/pictures/{part.pk}/0")
        assert response.headers["Content-Type"] == "image/jpeg"
        assert "private" in response.headers["Cache-Control"]
        assert floor(new_hire).get(f"/lessons/pictures/{part.pk}/7").status_code == 404

    def test_a_family_without_a_lesson_says_so(
        self, floor: Sign, new_hire: Person, plant: SimpleNamespace
    ) -> None:
        response = floor(new_hire).get("/lessons/burn/")
        assert "lessons/none.html" in [template.name for template in response.templates]

    def test_an_unknown_family_is_not_found(self, floor: Sign, new_hire: Person) -> None:
        assert floor(new_hire).get("/lessons/nonsense/").status_code == 404


class TestRead:
    URL = "/lessons/black-specks/read/"

    def test_reading_is_recorded_once_a_day(
        self, floor: Sign, new_hire: Person, lesson: LessonRevision
    ) -> None:
        client = floor(new_hire)
        for _ in range(2):
            assert client.post(self.URL, {"revision": "1"}).status_code == 302
        reading = Reading.objects.get()
        assert (reading.person, reading.lesson, reading.read_at) == (new_hire, lesson, NOON)
        assert "Read on 25 Nov 2026." in client.get("/lessons/black-specks/").content.decode()

    def test_a_revision_that_does_not_exist_is_not_found(
        self, floor: Sign, new_hire: Person, lesson: LessonRevision
    ) -> None:
        assert floor(new_hire).post(self.URL, {"revision": "9"}).status_code == 404
        assert not Reading.objects.exists()

    def test_it_needs_a_post(self, floor: Sign, new_hire: Person, lesson: LessonRevision) -> None:
        assert floor(new_hire).get(self.URL).status_code == 405

    def test_auditors_may_not(self, office: Sign, auditor: Person, lesson: LessonRevision) -> None:
        assert office(auditor).post(self.URL, {"revision": "1"}).status_code == 403


class TestPublish:
    def test_a_new_revision_leaves_the_old_one(
        self, lesson: LessonRevision, plant: SimpleNamespace
    ) -> None:
        newer = publish_lesson(
            family=plant.specks,
            title=lesson.title,
            one_liner={"en": "Wipe first."},
            sections={"looks": {"en": "Dark dots."}},
            day=TODAY,
            published_by=None,
        )
        assert (lesson.revision, newer.revision) == ("1", "2")
        lesson.refresh_from_db()
        assert lesson.one_liner["en"] == "Wipe. Size. Count."

    @pytest.mark.parametrize(
        ("change", "message"),
        [
            ({"sections": {"songs": {"en": "la"}}}, "no section songs"),
            ({"sections": {"looks": {"fr": "points"}}}, "Give the words"),
            ({"day": TODAY - dt.timedelta(days=99)}, "already published"),
        ],
    )
    def test_bad_input_is_told(
        self, lesson: LessonRevision, plant: SimpleNamespace, change: dict[str, Any], message: str
    ) -> None:
        given: dict[str, Any] = {
            "family": plant.specks,
            "title": {"en": "Specks"},
            "one_liner": {"en": "Wipe."},
            "sections": {},
            "day": TODAY,
            "published_by": None,
            **change,
        }
        with pytest.raises(ValidationError, match=message):
            publish_lesson(**given)
        assert LessonRevision.objects.count() == 1
