"""An ended exam scored again where a decision was turned; its own record stands."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from tests.conftest import PASSWORD
from tests.training.quizzes.turning import LATER, first, shown, sit, turn
from training.people.models import Person, Signature
from training.quizzes.models import ScoreCorrection, Sitting
from training.quizzes.recounting import recount, without
from training.quizzes.scoring import Counts
from training.quizzes.selectors.progress import progress_of
from training.quizzes.selectors.turned import (
    Bearing,
    counted_now,
    pending_of,
    resting_on,
    to_score_again,
)
from training.quizzes.services.rescoring import rescore
from training.quizzes.worked_plan import WorkedPlan
from training.specimens.models import Specimen
from training.specimens.services.deciding import decide_reference

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]


class TestService:
    def test_a_bad_part_that_was_good_is_no_miss(
        self, exam: Sitting, bank: SimpleNamespace, quality: Person
    ) -> None:
        """Two missed fail the short-bank plan of 12 with one allowed; one of them was good."""
        end = sit(exam, missed=2)
        assert end.result == "not_passed"
        before = end.counts
        turn(first(exam, "reject"), quality, bank)
        (fact,) = rescore(sitting=exam, by=quality, moment=LATER, words="A fibre.")
        was, now = Counts.from_json(before), Counts.from_json(fact.counts)
        assert (now.missed, now.bad) == (was.missed - 1, was.bad - 1)
        assert (now.false_rejects, now.good) == (was.false_rejects, was.good + 1)
        # It had been stopped as lost: what was never shown can decide nothing.
        assert (end.reason, fact.result, fact.families_passed) == ("lost", "undecided", [])
        end.refresh_from_db()
        assert (end.result, end.counts) == ("not_passed", before)
        assert counted_now(exam) == fact
        assert fact.words is not None

    def test_a_good_part_that_was_bad_becomes_a_miss(
        self, exam: Sitting, bank: SimpleNamespace, quality: Person
    ) -> None:
        end = sit(exam, missed=1)
        assert end.result == "passed"
        turn(first(exam, "accept"), quality, bank)
        (fact,) = rescore(sitting=exam, by=quality, moment=LATER)
        assert (fact.result, fact.families_passed) == ("not_passed", [])
        now = Counts.from_json(fact.counts)
        assert (now.missed, now.bad, now.good) == (
            2,
            13,
            WorkedPlan.from_json(exam.worked_plan).good - 1,
        )

    def test_nothing_turned_nothing_written(
        self, exam: Sitting, bank: SimpleNamespace, quality: Person
    ) -> None:
        sit(exam)
        with pytest.raises(ValidationError, match="was turned"):
            rescore(sitting=exam, by=quality, moment=LATER)
        specimen = first(exam, "reject")
        turn(specimen, quality, bank)
        turn(specimen, quality, bank, LATER + dt.timedelta(minutes=1))
        assert pending_of(exam) == []

    def test_turned_back_it_is_scored_once_more_to_what_it_was(
        self, exam: Sitting, bank: SimpleNamespace, quality: Person
    ) -> None:
        end = sit(exam, missed=1)
        specimen = first(exam, "reject")
        turn(specimen, quality, bank)
        rescore(sitting=exam, by=quality, moment=LATER)
        assert pending_of(exam) == []
        turn(specimen, quality, bank, LATER + dt.timedelta(hours=1))
        (fact,) = rescore(sitting=exam, by=quality, moment=LATER + dt.timedelta(hours=2))
        assert (fact.counts, fact.result) == (end.counts, end.result)

    def test_two_turned_give_two_corrections_the_last_one_counts(
        self, exam: Sitting, bank: SimpleNamespace, quality: Person
    ) -> None:
        sit(exam, missed=1)
        bad = [row.specimen for row in shown(exam) if row.decision.decision == "reject"]
        for specimen in bad[:2]:
            turn(specimen, quality, bank)
        facts = rescore(sitting=exam, by=quality, moment=LATER)
        assert [Counts.from_json(fact.counts).bad for fact in facts] == [11, 10]
        assert counted_now(exam) == facts[-1]

    def test_a_moved_limit_is_no_turn(
        self, exam: Sitting, bank: SimpleNamespace, quality: Person
    ) -> None:
        sit(exam)
        decide_reference(
            specimen=first(exam, "reject"),
            work_instruction=None,
            decision="accept",
            action="keep_running",
            basis="quality",
            by=quality,
            moment=LATER,
        )
        assert pending_of(exam) == []
        assert to_score_again() == []

    def test_who_may_not(
        self,
        exam: Sitting,
        practice: Sitting,
        bank: SimpleNamespace,
        quality: Person,
        trainer: Person,
    ) -> None:
        with pytest.raises(ValidationError, match="was ended"):
            rescore(sitting=exam, by=quality, moment=LATER)
        sit(exam)
        turn(first(exam, "reject"), quality, bank)
        with pytest.raises(ValidationError, match="person of quality"):
            rescore(sitting=exam, by=trainer, moment=LATER)
        exam.person.groups.add(quality.groups.get())
        with pytest.raises(ValidationError, match="themselves"):
            rescore(sitting=exam, by=Person.objects.get(pk=exam.person_id), moment=LATER)
        with pytest.raises(ValidationError, match="was ended"):
            rescore(sitting=practice, by=quality, moment=LATER)
        assert not ScoreCorrection.objects.exists()


def test_without_a_turn_a_recount_says_what_the_end_said(exam: Sitting) -> None:
    end = sit(exam, missed=1, refused=1)
    again = recount(progress_of(exam), end, {})
    assert (again.counts, again.result) == (end.counts, end.result)
    assert again.families_passed == end.families_passed
    assert again.critical_block_passed == end.critical_block_passed


def test_bad_after_all_of_a_family_not_examined_counts_on_neither_side(
    exam: Sitting, bank: SimpleNamespace, quality: Person
) -> None:
    end = sit(exam)
    specimen = first(exam, "accept")
    Specimen.objects.filter(pk=specimen.pk).update(family=bank.burn)
    fact = turn(specimen, quality, bank)
    again = recount(progress_of(exam), end, {specimen.pk: fact})
    was, now = Counts.from_json(end.counts), Counts.from_json(again.counts)
    assert (now.bad, now.missed, now.good) == (was.bad, was.missed, was.good - 1)
    assert again.result == end.result


def test_a_part_of_the_critical_block_that_was_good_is_wanted_no_more(exam: Sitting) -> None:
    plan = WorkedPlan.from_json({**exam.worked_plan, "critical": {"burn": 29}})
    assert without(plan, "critical", "burn").critical == {"burn": 28}
    assert without(plan, "bad", "black-specks") == plan
    whole = WorkedPlan.from_json({**exam.worked_plan, "bad_is_critical": True})
    assert without(whole, "bad", "black-specks").total_bad == whole.total_bad - 1


class TestResting:
    def test_the_exams_to_be_scored_again_stand_first(
        self, exam: Sitting, bank: SimpleNamespace, quality: Person, office: Sign
    ) -> None:
        sit(exam)
        specimen = first(exam, "reject")
        url = reverse("quizzes:resting_on", args=[specimen.pk])
        client = office(quality)
        page = client.get(url).text
        assert exam.number in page
        assert "rests on a decision that holds" in page
        assert "Score again" not in page
        turn(specimen, quality, bank)
        assert [each.bearing for each in resting_on(specimen.pk)] == [Bearing.TURNED]
        assert to_score_again() == [exam]
        page = client.get(url).text
        assert "1 exam is to be scored again" in page
        assert reverse("quizzes:rescore", args=[exam.pk]) in page

    def test_the_page_that_turns_it_shows_them_before(
        self, exam: Sitting, quality: Person, office: Sign
    ) -> None:
        sit(exam)
        specimen = first(exam, "reject")
        page = office(quality).get(reverse("specimens:decide", args=[specimen.pk])).text
        assert "Ended exams: 1" in page
        assert 'name="turned"' in page

    def test_nothing_rests(
        self, exam: Sitting, quality: Person, trainer: Person, office: Sign
    ) -> None:
        specimen = first(exam, "reject")
        url = reverse("quizzes:resting_on", args=[specimen.pk])
        assert "No exam that has ended" in office(quality).get(url).text
        assert office(trainer).get(url).status_code == 403
        assert office(quality).post(url).status_code == 405


class TestPage:
    def url(self, sitting: Sitting) -> str:
        return reverse("quizzes:rescore", args=[sitting.pk])

    def test_both_stand_side_by_side_and_it_is_signed(
        self, exam: Sitting, bank: SimpleNamespace, quality: Person, operator: Person, office: Sign
    ) -> None:
        sit(exam, missed=1)
        turn(first(exam, "accept"), quality, bank)
        client = office(quality)
        page = client.get(self.url(exam)).text
        assert "1 of 12" in page
        assert "2 of 13" in page
        response = client.post(self.url(exam), {"words": "Sorry.", "secret": PASSWORD}, follow=True)
        assert "is scored again. Its own record stands" in response.text
        for words in ("Corrected", "At its end", "“reject” after all", "Sorry."):
            assert words in response.text
        assert Signature.objects.filter(meaning="scored an exam again").count() == 1
        again = client.get(self.url(exam), follow=True)
        assert "Nothing this exam rests on was turned" in again.text

    def test_bad_input_and_others(
        self,
        exam: Sitting,
        practice: Sitting,
        bank: SimpleNamespace,
        quality: Person,
        trainer: Person,
        office: Sign,
    ) -> None:
        client = office(quality)
        assert client.get(self.url(exam)).status_code == 404
        assert client.get(self.url(practice)).status_code == 404
        sit(exam)
        turn(first(exam, "accept"), quality, bank)
        assert client.post(self.url(exam), {"secret": "wrong"}).status_code == 400
        assert not ScoreCorrection.objects.exists()
        assert office(trainer).get(self.url(exam)).status_code == 403

    def test_queries(
        self,
        exam: Sitting,
        bank: SimpleNamespace,
        quality: Person,
        office: Sign,
        count_queries: Callable[..., int],
    ) -> None:
        sit(exam)
        bad = [row.specimen for row in shown(exam) if row.decision.decision == "reject"]
        turn(bad[0], quality, bank)
        client = office(quality)
        few = count_queries(lambda: client.get(self.url(exam)))
        turn(bad[1], quality, bank)
        assert count_queries(lambda: client.get(self.url(exam))) == few <= 24
