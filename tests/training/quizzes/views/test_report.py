"""The operator report: whose it shows, what it says, what it never says, and its table."""

import csv
import io
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import translation

from tests.conftest import NOON
from tests.landmarks import landmarks, of_one_name
from tests.training.quizzes.bank import right_answer, wrong_answer
from tests.training.quizzes.views.sending import judge_up_to
from training.people.models import Person
from training.people.record.chain import append
from training.quizzes.models import Judgement, ScoreCorrection, Sitting, SittingEnd
from training.quizzes.scoring import Counts, Outcome, Part
from training.quizzes.selectors.meetings import exam_meetings, meetings_of
from training.quizzes.services.judging import record_judgements
from training.specimens.models import ReferenceDecision

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]


def address(person: Person, **query: str) -> str:
    url = reverse("quizzes:report", args=[person.pk])
    return url + "".join(f"?{name}={value}" for name, value in query.items())


def table(client: Client, person: Person) -> list[dict[str, str]]:
    response = client.get(reverse("quizzes:report_export", args=[person.pk]))
    assert response.status_code == 200
    return list(csv.DictReader(io.StringIO(response.content.decode("utf-8-sig"))))


def sit(sitting: Sitting, missed: int = 0, refused: int = 0, **changes: Any) -> None:
    """Judge a whole sitting, missing some bad parts and refusing some good ones."""
    shown = list(
        sitting.presented.select_related("decision", "specimen__family").order_by("ordinal")
    )
    wrong = [each.ordinal for each in shown if each.part == "bad"][:missed]
    wrong += [each.ordinal for each in shown if each.part == "good"][:refused]
    answers = [
        wrong_answer(each, NOON) if each.ordinal in wrong else right_answer(each, NOON, **changes)
        for each in shown
    ]
    record_judgements(sitting=sitting, answers=answers, moment=NOON)


class TestReport:
    def test_it_counts_misses_and_false_rejects_with_their_intervals(
        self, office: Sign, quality: Person, operator: Person, exam: Sitting
    ) -> None:
        sit(exam, missed=1, refused=1)
        response = office(quality).get(address(operator))
        tally = response.context["report"].chosen.tally
        assert (tally.missed.errors, tally.missed.of) == (1, 12)
        assert (tally.false_rejects.errors, tally.false_rejects.of) == (1, 12)
        page = response.content.decode()
        # Clopper-Pearson, two-sided 95 %, 1 of 12: 0.0021 to 0.3848.
        assert "0.2 to 38" in page
        assert "Otto Operator, Black specks" in page

    def test_its_landmarks_have_names_of_their_own(
        self, office: Sign, quality: Person, operator: Person, exam: Sitting
    ) -> None:
        sit(exam, missed=1)
        page = office(quality).get(address(operator)).text
        assert ("region", "All families asked about") in landmarks(page)
        assert of_one_name(page) == set()

    def test_the_own_limit_is_drawn_against_the_jobs(
        self, floor: Sign, operator: Person, exam: Sitting
    ) -> None:
        sit(exam)
        response = floor(operator).get(address(operator))
        eye = response.context["report"].chosen.eye
        assert (eye.judgements, eye.measured) == (24, eye.measured)
        page = response.content.decode()
        assert "From which severity on does this eye reject?" in page
        assert "job limit 1" in page

    def test_every_figure_has_its_title_its_finding_and_its_numbers(
        self, office: Sign, quality: Person, operator: Person, exam: Sitting
    ) -> None:
        sit(exam, missed=1, refused=1)
        page = office(quality).get(address(operator)).content.decode()
        figures = re.findall(r"<figure.*?</figure>", page, re.DOTALL)
        assert len(figures) == 7
        for figure in figures:
            assert "<figcaption>" in figure
            assert "?<" in figure
            assert '<details class="data">' in figure
            assert re.search(
                r"<desc id=\"[^\"]+\">[^<]+<|role=\"img\" aria-label=\"[^\"]+\"", figure
            )
        keys = re.findall(r'<title id="([^"]+)"', page)
        assert len(keys) == len(set(keys)) == 6

    def test_an_exam_in_progress_is_nowhere_in_it(
        self, floor: Sign, operator: Person, exam: Sitting
    ) -> None:
        client = floor(operator)
        judge_up_to(client, exam, 20)
        response = client.get(address(operator))
        assert response.context["rows"] == []
        assert "No sitting of this person has ended yet." in response.content.decode()
        assert exam_meetings() == []

    def test_practice_gives_a_limit_and_no_exam_counts(
        self, floor: Sign, operator: Person, practice: Sitting
    ) -> None:
        sit(practice)
        response = floor(operator).get(address(operator))
        chosen = response.context["report"].chosen
        assert chosen.tally.exams == ()
        firsts = practice.presented.values_list("specimen").distinct().count()
        assert chosen.eye.judgements == firsts
        page = response.content.decode()
        assert "practice only" in page
        assert "No exam of this person has been judged yet." in page

    def test_no_specimen_is_named_and_no_order_of_misses(
        self, floor: Sign, operator: Person, exam: Sitting
    ) -> None:
        sit(exam, missed=2)
        response = floor(operator).get(address(operator))
        page = response.content.decode()
        for presented in exam.presented.select_related("specimen"):
            assert presented.specimen.number not in page
        missed = response.context["report"].chosen.tally.exams[0].missed
        assert list(missed) == sorted(missed)

    def test_a_family_is_opened_by_its_name(
        self, floor: Sign, operator: Person, exam: Sitting
    ) -> None:
        sit(exam)
        client = floor(operator)
        assert client.get(address(operator, family="black-specks")).status_code == 200

    @pytest.mark.parametrize("family", ["burn", "none", "../x"])
    def test_a_family_never_asked_about_is_not_there(
        self, floor: Sign, operator: Person, exam: Sitting, family: str
    ) -> None:
        sit(exam)
        assert floor(operator).get(address(operator, family=family)).status_code == 404

    def test_it_speaks_spanish(
        self, office: Sign, quality: Person, operator: Person, exam: Sitting
    ) -> None:
        sit(exam)
        client = office(quality)
        client.cookies["django_language"] = "es"
        page = client.get(address(operator)).content.decode()
        assert "Puntos negros" in page
        translation.activate("en")

    def test_others_by_role_only(
        self,
        office: Sign,
        floor: Sign,
        exam: Sitting,
        operator: Person,
        new_hire: Person,
        trainer: Person,
        supervisor: Person,
        quality: Person,
        auditor: Person,
        administrator: Person,
    ) -> None:
        sit(exam)
        assert floor(operator).get(address(operator)).status_code == 200
        assert floor(new_hire).get(address(operator)).status_code == 404
        assert office(administrator).get(address(operator)).status_code == 404
        for person in (trainer, supervisor, quality, auditor):
            assert office(person).get(address(operator)).status_code == 200

    def test_practising_is_offered_for_oneself_alone(
        self, office: Sign, floor: Sign, exam: Sitting, operator: Person, trainer: Person
    ) -> None:
        sit(exam)
        start = reverse("quizzes:practice_start")
        assert start in floor(operator).get(address(operator)).content.decode()
        assert start not in office(trainer).get(address(operator)).content.decode()

    def test_wrong_method(self, floor: Sign, operator: Person) -> None:
        assert floor(operator).post(address(operator)).status_code == 405

    def test_queries_do_not_grow_with_sittings(
        self,
        office: Sign,
        quality: Person,
        operator: Person,
        new_hire: Person,
        exam: Sitting,
        practice: Sitting,
        open_exam: Callable[..., Sitting],
        count_queries: Callable[..., int],
    ) -> None:
        client = office(quality)
        sit(exam)
        few = count_queries(lambda: client.get(address(operator)))
        sit(practice)
        sit(open_exam(new_hire))
        assert count_queries(lambda: client.get(address(operator))) == few <= 30
        # Nothing has ended since: what everybody's answers say is not worked out again.
        assert count_queries(lambda: client.get(address(operator))) == few - 10


class TestMeetings:
    def test_they_come_to_what_the_end_of_the_sitting_counts(
        self, operator: Person, exam: Sitting
    ) -> None:
        sit(exam, missed=1, refused=1)
        counts = Counts.from_json(SittingEnd.objects.get(sitting=exam).counts)
        found = meetings_of(operator)
        assert len(found) == counts.judged
        bad = [each for each in found if each.part is Part.BAD]
        assert sum(each.missed for each in bad) == counts.missed == 1
        refused = sum(each.outcome is Outcome.FALSE_REJECT for each in found)
        assert refused == counts.false_rejects == 1

    def test_a_reject_at_the_wrong_place_is_a_miss(self, operator: Person, exam: Sitting) -> None:
        presented = list(exam.presented.select_related("decision", "specimen__family"))
        answers = [
            right_answer(each, NOON, place=(100, 100))
            if each.part == "bad" and place == first_bad(presented)
            else right_answer(each, NOON)
            for place, each in enumerate(presented)
        ]
        answers.sort(key=lambda given: given.ordinal)
        record_judgements(sitting=exam, answers=answers, moment=NOON)
        wrong = [each for each in meetings_of(operator) if each.outcome is Outcome.WRONG_PLACE]
        assert len(wrong) == 1
        assert (wrong[0].reject, wrong[0].seen, wrong[0].missed) == (True, False, True)

    def test_the_second_meeting_with_a_part_is_no_first(
        self, operator: Person, exam: Sitting, open_exam: Callable[..., Sitting]
    ) -> None:
        sit(exam)
        found = meetings_of(operator)
        assert all(each.first for each in found)
        assert {each.round.person for each in found} == {operator.pk}

    def test_a_correction_counts_instead_of_what_was_decided(
        self, operator: Person, quality: Person, exam: Sitting
    ) -> None:
        sit(exam)
        judgement = Judgement.objects.filter(presented__part="bad").first()
        assert judgement is not None
        specimen = judgement.presented.specimen
        changed = ReferenceDecision(
            specimen=specimen,
            work_instruction=judgement.presented.work_instruction,
            decision="accept",
            action="keep_running",
            basis="quality",
            severity_ratio="0.9500",
        )
        append(changed, moment=NOON)
        correction = ScoreCorrection(
            sitting=exam, because=changed, counts={}, result="not_passed", families_passed=[]
        )
        append(correction, moment=NOON)
        found = next(each for each in meetings_of(operator) if each.specimen == specimen.pk)
        assert (found.bad, found.outcome, found.ratio) == (False, Outcome.FALSE_REJECT, 0.95)
        assert found.round.result == "not_passed"


def first_bad(presented: list[Any]) -> int:
    return next(place for place, each in enumerate(presented) if each.part == "bad")


class TestExport:
    def test_a_line_for_each_sitting_and_family(
        self, office: Sign, quality: Person, operator: Person, exam: Sitting
    ) -> None:
        sit(exam, missed=1, refused=1)
        (row,) = table(office(quality), operator)
        assert (row["Sitting"], row["Family code"]) == (exam.number, "black-specks")
        assert (row["Bad parts"], row["Missed"], row["Accepted"]) == ("12", "1", "1")
        assert (row["Good parts"], row["False rejects"]) == ("12", "1")
        assert row["Median seconds"] == "6.0"

    def test_a_name_that_looks_like_a_formula_is_disarmed(
        self, office: Sign, quality: Person, operator: Person, exam: Sitting
    ) -> None:
        sit(exam)
        Person.objects.filter(pk=operator.pk).update(name="=1+1")
        (row,) = table(office(quality), operator)
        assert row["Name"] == "'=1+1"

    def test_nothing_ended_leaves_the_head_alone(
        self, office: Sign, quality: Person, operator: Person, exam: Sitting
    ) -> None:
        assert table(office(quality), operator) == []

    def test_others_by_role_only_and_not_on_the_floor(
        self,
        office: Sign,
        floor: Sign,
        operator: Person,
        new_hire: Person,
        trainer: Person,
        administrator: Person,
    ) -> None:
        url = reverse("quizzes:report_export", args=[operator.pk])
        assert office(trainer).get(url).status_code == 200
        assert office(operator).get(url).status_code == 200
        assert office(new_hire).get(url).status_code == 404
        assert office(administrator).get(url).status_code == 404
        assert floor(operator).get(url).status_code == 403

    def test_wrong_method(self, office: Sign, quality: Person, operator: Person) -> None:
        url = reverse("quizzes:report_export", args=[operator.pk])
        assert office(quality).post(url).status_code == 405


class TestWays:
    def test_the_result_the_list_and_the_persons_page_lead_there(
        self, office: Sign, trainer: Person, operator: Person, exam: Sitting
    ) -> None:
        sit(exam)
        client = office(trainer)
        for url in (
            reverse("quizzes:result", args=[exam.pk]),
            reverse("quizzes:sitting_list"),
            reverse("people:person_detail", args=[operator.personnel_no]),
        ):
            assert address(operator) in client.get(url).content.decode()

    def test_whoever_may_not_see_it_is_not_led_there(
        self, office: Sign, administrator: Person, operator: Person
    ) -> None:
        url = reverse("people:person_detail", args=[operator.personnel_no])
        assert address(operator) not in office(administrator).get(url).content.decode()
