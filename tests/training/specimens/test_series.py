"""Making ladders, contrasts and look-alikes, and what keeps a set from use."""

import datetime as dt
from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON, TODAY
from tests.training.quizzes.bank import fill
from tests.training.quizzes.sets import DIFFERENCE, contrasts, ladder, look_alike, made, teaching
from training.floor.models import Zone
from training.people.models import Person
from training.specimens.models import Pool, ReferenceDecision, Region, Specimen, SpecimenSet
from training.specimens.series_rows import contrasts_of, set_rows, usable_sets
from training.specimens.services.series import make_set, retire_set

pytestmark = pytest.mark.django_db
LONG_AGO = NOON - dt.timedelta(days=100)
Sign = Callable[[Person], Client]


@pytest.fixture
def bank(plant: SimpleNamespace) -> SimpleNamespace:
    fill(plant, plant.specks, bad=8, good=8, moment=LONG_AGO, pool=Pool.TEACHING)
    fill(plant, plant.burn, bad=4, good=1, moment=LONG_AGO, pool=Pool.TEACHING)
    fill(plant, plant.specks, bad=2, good=2, moment=LONG_AGO)
    return plant


def refused(kind: str, members: list[Specimen]) -> str:
    with pytest.raises(ValidationError) as caught:
        made(kind, members)
    assert not SpecimenSet.objects.exists()
    return " ".join(caught.value.message_dict["members"])


class TestMaking:
    def test_a_ladder_keeps_its_order(self, bank: SimpleNamespace) -> None:
        rungs = teaching(bank.specks)[:8]
        found = ladder(bank)
        assert [each.specimen for each in found.members.all()] == rungs
        assert (found.job, found.zone, found.family) == (bank.job, "A", bank.specks)

    def test_contrasts_and_look_alikes(self, bank: SimpleNamespace) -> None:
        assert len(contrasts(bank)) == 3
        assert look_alike(bank).members.count() == 2

    def test_too_few_or_too_many_rungs(self, bank: SimpleNamespace) -> None:
        assert "4 to 12 rungs" in refused("ladder", teaching(bank.specks)[:3])

    def test_a_ladder_must_rise(self, bank: SimpleNamespace) -> None:
        rungs = teaching(bank.specks)[:8]
        assert "must rise" in refused("ladder", [rungs[0], rungs[2], rungs[1], *rungs[3:]])

    def test_a_ladder_lies_on_both_sides(self, bank: SimpleNamespace) -> None:
        assert "both sides" in refused("ladder", teaching(bank.specks)[:4])

    def test_a_ladder_is_of_one_family(self, bank: SimpleNamespace) -> None:
        rungs = [*teaching(bank.specks)[:5], teaching(bank.burn)[-1]]
        assert "one family" in refused("ladder", rungs)

    def test_all_are_of_one_job_and_zone(self, bank: SimpleNamespace) -> None:
        rungs = teaching(bank.specks)[:8]
        Specimen.objects.filter(pk=rungs[2].pk).update(zone=Zone.B)
        assert "one job and zone" in refused("ladder", rungs)

    def test_a_contrast_has_one_of_each(self, bank: SimpleNamespace) -> None:
        rungs = teaching(bank.specks)
        assert "one is accepted" in refused("contrast", rungs[:2])
        assert "two members" in refused("contrast", rungs[:3])

    def test_look_alikes_are_two_families_and_bad(self, bank: SimpleNamespace) -> None:
        assert "two families" in refused("look_alike", teaching(bank.specks)[-2:])
        pair = [teaching(bank.specks)[1], teaching(bank.burn)[-1]]
        assert "must be bad" in refused("look_alike", pair)

    def test_a_specimen_of_the_exam_is_never_shown_with_its_answer(
        self, bank: SimpleNamespace
    ) -> None:
        exam = Specimen.objects.filter(pool=Pool.EXAM).order_by("severity")
        problem = refused("contrast", [exam.first(), exam.last()])  # type: ignore[list-item]
        assert "not in the teaching pool" in problem

    def test_undecided_without_picture_or_outline_or_retired(self, bank: SimpleNamespace) -> None:
        rungs = teaching(bank.specks)[:8]
        Region.objects.filter(view__specimen=rungs[-1]).delete()
        assert "no outline" in refused("ladder", rungs)
        rungs[0].views.all().delete()
        assert "no picture" in refused("ladder", rungs)
        Specimen.objects.filter(pk=rungs[0].pk).update(retired_day=TODAY)
        assert "retired" in refused("ladder", rungs)
        bare = Specimen.objects.create(
            number="bare",
            job=bank.job,
            zone="A",
            family=bank.specks,
            pool=Pool.TEACHING,
            created_at=NOON,
        )
        assert "no picture" in refused("contrast", [bare, teaching(bank.specks)[-1]])

    def test_the_difference_must_be_said(self, bank: SimpleNamespace) -> None:
        with pytest.raises(ValidationError, match="one thing") as caught:
            make_set(
                kind="ladder",
                members=[row.pk for row in teaching(bank.specks)[:8]],
                difference={"en": "  ", "es": ""},
                day=TODAY,
                moment=NOON,
                by=None,
            )
        assert "difference" in caught.value.message_dict

    @pytest.mark.parametrize("kind", ["stairs", ""])
    def test_a_kind_that_is_none(self, bank: SimpleNamespace, kind: str) -> None:
        with pytest.raises(ValidationError, match="Choose"):
            make_set(kind=kind, members=[], difference=DIFFERENCE, day=TODAY, moment=NOON, by=None)


class TestUse:
    def test_a_set_falls_out_of_use_when_a_member_does(self, bank: SimpleNamespace) -> None:
        found = ladder(bank)
        assert [row.set for row in usable_sets("ladder", TODAY)] == [found]
        member = found.members.all()[2].specimen
        Specimen.objects.filter(pk=member.pk).update(pool=Pool.NEITHER)
        assert usable_sets("ladder", TODAY) == []
        (row,) = set_rows([found], TODAY)
        assert member.number in row.problem

    def test_a_retired_set_is_shown_no_more(self, bank: SimpleNamespace) -> None:
        retire_set(made=ladder(bank), day=TODAY)
        assert usable_sets("ladder", TODAY) == []

    def test_sets_are_found_by_the_family_of_any_member(self, bank: SimpleNamespace) -> None:
        found = look_alike(bank)
        for family in ("black-specks", "burn"):
            rows = usable_sets("look_alike", TODAY, families=[family])
            assert [row.set for row in rows] == [found]
        assert usable_sets("look_alike", TODAY, families=["grease-oil"]) == []

    def test_contrasts_of_a_specimen(self, bank: SimpleNamespace) -> None:
        found = contrasts(bank, 1)[0]
        specimen = found.members.all()[0].specimen
        assert [row.set for row in contrasts_of(specimen.pk, TODAY)] == [found]

    def test_the_answer_of_a_teaching_specimen_bars_it_from_the_exam(
        self, bank: SimpleNamespace
    ) -> None:
        """Nothing of a set can come from the exam, and what was decided stays decided."""
        ladder(bank)
        assert not SpecimenSet.objects.filter(members__specimen__pool=Pool.EXAM).exists()
        assert ReferenceDecision.objects.count() == Specimen.objects.count()


@pytest.mark.usefixtures("clock")
class TestPages:
    def test_the_list_shows_members_and_problems(
        self, office: Sign, quality: Person, bank: SimpleNamespace
    ) -> None:
        found = ladder(bank)
        page = office(quality).get(reverse("specimens:series_list")).content.decode()
        assert "In use" in page
        assert "mean size" in page
        Specimen.objects.filter(pk=found.members.all()[0].specimen.pk).update(pool=Pool.NEITHER)
        page = office(quality).get(reverse("specimens:series_list")).content.decode()
        assert "Not shown" in page

    def test_queries_do_not_grow_with_sets(
        self,
        office: Sign,
        quality: Person,
        bank: SimpleNamespace,
        django_assert_max_num_queries: Callable[..., object],
    ) -> None:
        ladder(bank)
        contrasts(bank)
        look_alike(bank)
        client = office(quality)
        with django_assert_max_num_queries(20):  # type: ignore[attr-defined]
            client.get(reverse("specimens:series_list"))

    def test_it_is_made_in_two_steps(
        self, office: Sign, quality: Person, bank: SimpleNamespace
    ) -> None:
        client, address = office(quality), reverse("specimens:series_add")
        assert "Show the teaching specimens" in client.get(address).content.decode()
        of = {"kind": "ladder", "job": "901", "zone": "A", "family": "black-specks", "second": ""}
        page = client.get(address, of).content.decode()
        rungs = teaching(bank.specks)[:8]
        assert all(row.number in page for row in rungs)
        fields = of | {"member": [str(row.pk) for row in rungs], "en": "size", "es": "tamaño"}
        response = client.post(address, fields)
        assert response.status_code == 302
        found = SpecimenSet.objects.get()
        assert found.difference == {"en": "size", "es": "tamaño"}
        assert found.created_by == quality

    def test_bad_input_is_named_and_the_choice_kept(
        self, office: Sign, quality: Person, bank: SimpleNamespace
    ) -> None:
        of = {"kind": "ladder", "job": "901", "zone": "A", "family": "black-specks", "second": ""}
        rungs = teaching(bank.specks)[:2]
        fields = of | {"member": [str(row.pk) for row in rungs] + ["nonsense"], "en": "size"}
        response = office(quality).post(reverse("specimens:series_add"), fields)
        page = response.content.decode()
        assert response.status_code == 400
        assert "4 to 12 rungs" in page
        assert page.count(" checked") == 2
        assert not SpecimenSet.objects.exists()

    def test_look_alikes_ask_for_a_second_family(
        self, office: Sign, quality: Person, bank: SimpleNamespace
    ) -> None:
        of = {"kind": "look_alike", "job": "901", "zone": "A", "family": "burn", "second": ""}
        page = office(quality).get(reverse("specimens:series_add"), of).content.decode()
        assert "choose the second" in page

    def test_an_empty_pool_says_what_to_do(
        self, office: Sign, quality: Person, bank: SimpleNamespace
    ) -> None:
        of = {"kind": "ladder", "job": "901", "zone": "B", "family": "burn", "second": ""}
        page = office(quality).get(reverse("specimens:series_add"), of).content.decode()
        assert "holds nothing of this job" in page

    def test_retiring(self, office: Sign, quality: Person, bank: SimpleNamespace) -> None:
        found = ladder(bank)
        address = reverse("specimens:series_retire", args=[found.pk])
        assert office(quality).get(address).status_code == 405
        assert office(quality).post(address).status_code == 302
        found.refresh_from_db()
        assert found.retired_day == TODAY

    def test_trainers_look_and_do_not_change(
        self, office: Sign, trainer: Person, bank: SimpleNamespace
    ) -> None:
        ladder(bank)
        page = office(trainer).get(reverse("specimens:series_list")).content.decode()
        assert "Retire" not in page
        assert office(trainer).get(reverse("specimens:series_add")).status_code == 403
