"""The way of a specimen from photograph to use: pure steps, the list's counts, rating, near limits."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import NOON, TODAY
from training.people.models import Person
from training.specimens.models import Pool, Specimen
from training.specimens.services.deciding import decide_by_measurement, decide_reference
from training.specimens.services.panels import open_round
from training.specimens.services.pools import move_pool
from training.specimens.services.rating import rate_specimen
from training.specimens.standards import too_near
from training.specimens.steps import Facts, State, Step, Why, next_step, steps_of, waiting_at

Make = Callable[..., Specimen]
Sign = Callable[[Person], Client]
NEW = Facts(
    pictured=True,
    real=False,
    outlined=False,
    asks_place=True,
    severity=None,
    in_numbers=True,
    decided="",
    near=False,
    in_round=False,
    by_measurement=False,
    pool="neither",
)
DONE = replace(NEW, outlined=True, severity=Decimal("0.45"), decided="reject", pool="exam")


def facts() -> st.SearchStrategy[Facts]:
    flag = st.booleans()
    return st.builds(
        Facts,
        pictured=flag,
        real=flag,
        outlined=flag,
        asks_place=flag,
        severity=st.none() | st.sampled_from([Decimal(0), Decimal("0.4")]),
        in_numbers=flag,
        decided=st.sampled_from(["", "accept", "reject"]),
        near=flag,
        in_round=flag,
        by_measurement=flag,
        pool=st.sampled_from(Pool.values),
    )


class TestSteps:
    @pytest.mark.parametrize(
        ("changes", "step"),
        [
            ({"pictured": False}, Step.PHOTO),
            ({}, Step.OUTLINE),
            ({"outlined": True}, Step.RATE),
            ({"severity": Decimal(0)}, Step.SETTLE),
            ({"outlined": True, "severity": Decimal("0.4")}, Step.SETTLE),
            ({"outlined": True, "severity": Decimal("0.4"), "decided": "reject"}, Step.USE),
        ],
    )
    def test_one_after_the_other(self, changes: dict[str, Any], step: Step) -> None:
        row = next_step(replace(NEW, **changes))
        assert row is not None
        assert row.step == step

    @pytest.mark.parametrize(
        ("changes", "step", "why"),
        [
            ({"asks_place": False}, Step.OUTLINE, Why.WHOLE_PART),
            ({"decided": "accept"}, Step.OUTLINE, Why.GOOD_PART),
            ({"pictured": False, "real": True}, Step.PHOTO, Why.REAL_PART),
            ({"pictured": False, "real": True}, Step.OUTLINE, Why.NO_PICTURE),
            ({"in_numbers": False}, Step.RATE, Why.NO_NUMBER),
            ({"decided": "reject"}, Step.RATE, Why.BY_PEOPLE),
        ],
    )
    def test_what_is_left_out_and_why(self, changes: dict[str, Any], step: Step, why: Why) -> None:
        row = next(row for row in steps_of(replace(NEW, **changes)) if row.step is step)
        assert (row.state, row.why) == (State.SKIPPED, why)

    def test_near_its_limit_it_never_is_in_an_exam_for_good(self) -> None:
        row = next_step(replace(DONE, near=True))
        assert row is not None
        assert (row.step, row.why) == (Step.USE, Why.NEAR)
        assert next_step(replace(DONE, near=True, pool="teaching")) is None

    @given(facts())
    def test_one_step_at_most_is_next_and_those_before_it_are_behind(self, each: Facts) -> None:
        states = [row.state for row in steps_of(each)]
        assert states.count(State.NEXT) <= 1
        if State.NEXT in states:
            before = states[: states.index(State.NEXT)]
            assert set(before) <= {State.DONE, State.SKIPPED}


@pytest.mark.parametrize(
    ("ratio", "near"),
    [
        (None, False),
        (Decimal(0), False),
        (0.95, False),
        (0.952, True),
        (1.0, True),
        (1.05, True),
        (1.052, False),
        (3.0, False),
    ],
)
def test_within_five_percent_on_the_logarithmic_scale(ratio: Any, near: bool) -> None:
    assert too_near(ratio) is near


@pytest.mark.django_db
class TestWaiting:
    def test_counts_and_filter_of_the_list(
        self, make_bank: Callable[..., list[Specimen]], quality: Person, office: Sign
    ) -> None:
        made = make_bank(2)
        (unrated,) = make_bank(1, severity=None, unit="", decision=None)
        (unsettled,) = make_bank(1, severity=0.9, decision=None)
        waiting = waiting_at(TODAY)
        assert waiting.counts == {Step.RATE: 1, Step.SETTLE: 1}
        client = office(quality)
        page = client.get(reverse("specimens:specimen_list")).text
        assert "1 to rate" in page
        assert "1 to settle" in page
        page = client.get(reverse("specimens:specimen_list"), {"step": "rate"}).text
        assert f'value="{unrated.pk}"' in page
        assert not any(f'value="{each.pk}"' in page for each in (*made, unsettled))

    def test_trainers_choose_nothing(
        self, make_bank: Callable[..., list[Specimen]], trainer: Person, office: Sign
    ) -> None:
        make_bank(2, pool="teaching")
        page = office(trainer).get(reverse("specimens:specimen_list")).text
        assert 'name="specimen"' not in page
        assert 'name="step"' not in page

    def test_the_page_of_a_specimen_shows_one_button_for_what_is_next(
        self, make_specimen: Make, quality: Person, office: Sign, clock: None
    ) -> None:
        specimen = make_specimen(severity=None, unit="")
        page = office(quality).get(reverse("specimens:specimen_detail", args=[specimen.pk])).text
        way = page[page.index("pl-way") : page.index("</ol>")]
        assert way.count("btn-primary") == 1
        assert "Outline the mark" in way
        assert way.count("later") == 3


@pytest.mark.django_db
@pytest.mark.usefixtures("clock")
class TestRate:
    def url(self, specimen: Specimen) -> str:
        return reverse("specimens:rate", args=[specimen.pk])

    def test_works(self, make_specimen: Make, quality: Person, office: Sign) -> None:
        specimen = make_specimen(severity=None, unit="")
        client = office(quality)
        assert client.get(self.url(specimen)).status_code == 200
        given = {"severity": "0.62", "unit": "mm", "measured_how": "measuring microscope"}
        page = client.post(self.url(specimen), given, follow=True).text
        assert "S-00001 is rated: 0.62 mm." in page
        assert "measuring microscope" in page
        specimen.refresh_from_db()
        assert specimen.severity == Decimal("0.62")

    @pytest.mark.parametrize("field", ["severity", "unit", "measured_how"])
    def test_bad_input(
        self, make_specimen: Make, quality: Person, office: Sign, field: str
    ) -> None:
        specimen = make_specimen(severity=None, unit="")
        given = {"severity": "0.62", "unit": "mm", "measured_how": "gauge"} | {field: ""}
        response = office(quality).post(self.url(specimen), given)
        assert response.status_code == 400
        specimen.refresh_from_db()
        assert specimen.severity is None

    def test_only_quality(self, make_specimen: Make, trainer: Person, office: Sign) -> None:
        assert office(trainer).get(self.url(make_specimen())).status_code == 403

    def test_not_while_a_panel_looks(
        self, make_specimen: Make, quality: Person, make_person: Callable[..., Person]
    ) -> None:
        specimen = make_specimen()
        members = [make_person(f"M{n}", "quality") for n in range(3)]
        open_round(specimens=[specimen], members=members, by=quality, moment=NOON, day=TODAY)
        with pytest.raises(ValidationError, match="PR-001 is looking"):
            rate_specimen(specimen=specimen, severity=Decimal(1), unit="mm", measured_how="gauge")


@pytest.mark.django_db
class TestNear:
    def test_a_measurement_at_the_limit_decides_nothing(
        self, make_specimen: Make, quality: Person
    ) -> None:
        with pytest.raises(ValidationError, match="within 5 percent"):
            decide_by_measurement(
                specimen=make_specimen(severity="0.31"), by=quality, moment=NOON, day=TODAY
            )

    def test_it_is_refused_for_the_exam_pool_with_words(
        self, make_specimen: Make, quality: Person, plant: SimpleNamespace, office: Sign
    ) -> None:
        specimen = make_specimen(severity="0.31")
        decide_reference(
            specimen=specimen,
            work_instruction=plant.sheet,
            decision="reject",
            family=plant.specks,
            action="segregate",
            basis="quality",
            severity_ratio=Decimal("1.0333"),
            reason="seen by three",
            by=quality,
            moment=NOON,
        )
        with pytest.raises(ValidationError, match="no exam rests on it"):
            move_pool(specimen=specimen, pool=Pool.EXAM, day=TODAY)
        assert move_pool(specimen=specimen, pool=Pool.TEACHING, day=TODAY).pool == Pool.TEACHING
