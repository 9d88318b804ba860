"""Numbered real parts: registering, handling, and when a copy may be judged."""

import datetime as dt
from collections.abc import Callable
from contextlib import AbstractContextManager
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from tests.conftest import NOON, TODAY
from training.floor.limit_rulings import limits_for
from training.floor.models import JobGroup, LimitLine, LimitSample
from training.floor.selectors import papers_of
from training.people.models import Person
from training.specimens.models import Handling, PartCopy, Specimen
from training.specimens.register import State, copies_by_part, register_rows, usable_parts
from training.specimens.services.real_parts import (
    NewCopy,
    count_judged,
    record_handling,
    register_limit_sample,
    register_real_part,
    withdraw_copy,
)

DAY = dt.timedelta(days=1)
TWO = (NewCopy("A", "cabinet 1, drawer 2"), NewCopy("B", "archive"))


@pytest.fixture
def part(plant: SimpleNamespace, quality: Person) -> Specimen:
    return register(plant, quality)


def register(plant: SimpleNamespace, by: Person, **changes: Any) -> Specimen:
    values: dict[str, Any] = {
        "number": "N-0001",
        "job": plant.job,
        "zone": "A",
        "family": plant.specks,
        "severity": Decimal("0.4"),
        "unit": "mm",
        "pool": "exam",
        "copies": TWO,
        "by": by,
        "moment": NOON,
    }
    return register_real_part(**(values | changes))


@pytest.fixture
def sample(plant: SimpleNamespace, quality: Person) -> LimitSample:
    return register_limit_sample(
        code="9-WL",
        job_group=JobGroup.objects.get(),
        family=plant.specks,
        zone="A",
        text={"en": "the worst that passes"},
        kind="worst accepted",
        expires_day=TODAY + 100 * DAY,
        second_signature="the customer",
        copies=[NewCopy("A", "press drawer"), NewCopy("B", "cabinet")],
        signed_by=quality,
        moment=NOON,
    )


def write(copy: PartCopy, by: Person, what: str = "checked", **more: Any) -> Handling:
    values = {"condition": "sound", "moment": NOON} | more
    return record_handling(copy=copy, what=what, by=by, **values)


def state_of(copy: PartCopy, day: dt.date = TODAY) -> State:
    rows = copies_by_part(PartCopy.objects.filter(pk=copy.pk), day)
    return next(iter(rows.values()))[0].state


def test_it_is_registered_with_both_copies(part: Specimen) -> None:
    kept = [(copy.letter, copy.place, copy.registered_day) for copy in part.copies.all()]
    assert kept == [("A", "cabinet 1, drawer 2", TODAY), ("B", "archive", TODAY)]
    assert usable_parts(TODAY) == {part.pk}


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("place_a", {"copies": ()}),
        ("place_a", {"copies": [NewCopy("A", " ")]}),
        ("expires_day", {"copies": [NewCopy("A", "here", TODAY)]}),
        ("unit", {"unit": ""}),
        ("pool", {"pool": "attic"}),
        ("zone", {"zone": "Q"}),
    ],
)
def test_what_is_missing_is_named_and_nothing_is_kept(
    plant: SimpleNamespace, quality: Person, field: str, changes: dict[str, Any]
) -> None:
    with pytest.raises(ValidationError) as raised:
        register(plant, quality, **changes)
    assert field in raised.value.message_dict
    assert not Specimen.objects.exists()
    assert not PartCopy.objects.exists()


def test_a_number_is_used_once(plant: SimpleNamespace, quality: Person, part: Specimen) -> None:
    with pytest.raises(ValidationError) as raised:
        register(plant, quality)
    assert "number" in raised.value.message_dict


@pytest.mark.parametrize("condition", ["damaged", "lost"])
def test_an_unfit_copy_is_not_judged_and_the_other_stands_in(
    part: Specimen, quality: Person, condition: str
) -> None:
    first, second = part.copies.all()
    write(first, quality, condition=condition)
    assert state_of(first) == condition
    assert usable_parts(TODAY) == {part.pk}
    write(second, quality, condition=condition)
    assert usable_parts(TODAY) == set()


def test_a_found_copy_is_used_again(part: Specimen, quality: Person) -> None:
    for copy in part.copies.all():
        write(copy, quality, condition="lost")
        write(copy, quality, condition="worn")
        assert state_of(copy) is State.WORN
    assert usable_parts(TODAY) == {part.pk}


def test_after_its_handlings_a_copy_is_looked_at_first(
    plant: SimpleNamespace, quality: Person
) -> None:
    part = register(plant, quality, copies=[NewCopy("A", "here", None, 3)])
    copy = part.copies.get()
    write(copy, quality, "out")
    write(copy, quality, "back")
    count_judged(specimens=[part.pk], by=quality, moment=NOON)
    assert state_of(copy) is State.VALID
    count_judged(specimens=[part.pk], by=quality, moment=NOON)
    assert state_of(copy) is State.LOOK_AT_IT
    assert usable_parts(TODAY) == set()
    write(copy, quality, "checked")
    assert state_of(copy) is State.VALID
    assert usable_parts(TODAY) == {part.pk}


def test_a_copy_counts_to_the_end_of_its_last_day(plant: SimpleNamespace, quality: Person) -> None:
    last = TODAY + 40 * DAY
    part = register(plant, quality, copies=[NewCopy("A", "here", last)])
    copy = part.copies.get()
    assert state_of(copy) is State.VALID
    assert state_of(copy, last - 29 * DAY) is State.ENDS_SOON
    assert usable_parts(last) == {part.pk}
    assert state_of(copy, last + DAY) is State.EXPIRED
    assert usable_parts(last + DAY) == set()


def test_it_is_renewed_while_it_counts_and_not_afterwards(
    plant: SimpleNamespace, quality: Person
) -> None:
    last = TODAY + 10 * DAY
    copy = register(plant, quality, copies=[NewCopy("A", "here", last)]).copies.get()
    with pytest.raises(ValidationError, match="after today"):
        write(copy, quality, "renewed", expires_day=TODAY)
    write(copy, quality, "renewed", expires_day=last + 100 * DAY)
    copy.refresh_from_db()
    assert copy.expires_day == last + 100 * DAY
    with pytest.raises(ValidationError, match="expired on"):
        write(copy, quality, "renewed", expires_day=last + 400 * DAY, moment=NOON + 200 * DAY)


def test_a_move_says_where_to_and_is_in_the_log(part: Specimen, quality: Person) -> None:
    copy = part.copies.first()
    assert copy is not None
    with pytest.raises(ValidationError) as raised:
        write(copy, quality, "moved")
    assert "place" in raised.value.message_dict
    write(copy, quality, "moved", place="cabinet 9")
    copy.refresh_from_db()
    assert copy.place == "cabinet 9"
    assert copy.handlings.get().place == "cabinet 9"


def test_a_withdrawn_copy_takes_no_entry(part: Specimen, quality: Person) -> None:
    copy = part.copies.get(letter="A")
    withdraw_copy(copy=copy, day=TODAY)
    assert state_of(copy) is State.WITHDRAWN
    with pytest.raises(ValidationError, match="withdrawn"):
        write(copy, quality)


def test_without_a_fit_copy_the_limit_asks_for_quality(
    plant: SimpleNamespace, quality: Person, sample: LimitSample
) -> None:
    def asks(day: dt.date) -> list[bool]:
        rulings = limits_for(papers_of(plant.job, day), family=plant.specks.slug, zone="A", day=day)
        return [ruling.no_valid_sample for ruling in rulings if ruling.line.sample]

    rest_on(plant, sample)
    assert asks(TODAY) == [False]
    first, second = sample.part_copies.all()
    write(first, quality, condition="lost")
    assert asks(TODAY) == [False]
    withdraw_copy(copy=second, day=TODAY)
    sample.refresh_from_db()
    assert sample.expires_day == TODAY - DAY
    assert asks(TODAY) == [True]


def rest_on(plant: SimpleNamespace, sample: LimitSample) -> None:
    """Make the limit of the job nothing but the sample."""
    LimitLine.objects.filter(work_instruction=plant.sheet, family=plant.specks).delete()
    LimitLine.objects.create(
        work_instruction=plant.sheet,
        family=plant.specks,
        zone="A",
        measure={
            "measure": "sample",
            "sample": sample.code,
            "judged_by": "eye",
            "level": "ordinary",
        },
    )


def test_a_renewed_copy_carries_its_sample(sample: LimitSample, quality: Person) -> None:
    later = TODAY + 300 * DAY
    copy = sample.part_copies.get(letter="A")
    copy.expires_day = sample.expires_day
    copy.save()
    write(copy, quality, "renewed", expires_day=later)
    sample.refresh_from_db()
    assert sample.expires_day == later


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("kind", {"kind": "prettiest"}),
        ("expires_day", {"expires_day": TODAY}),
        ("place_a", {"copies": []}),
        ("code", {"code": "9-WL"}),
    ],
)
def test_a_sample_that_cannot_be_is_refused_by_field(
    plant: SimpleNamespace,
    quality: Person,
    sample: LimitSample,
    field: str,
    changes: dict[str, Any],
) -> None:
    values: dict[str, Any] = {
        "code": "9-XX",
        "job_group": JobGroup.objects.get(),
        "family": plant.specks,
        "zone": "A",
        "text": {"en": "words"},
        "kind": "least refused",
        "expires_day": TODAY + DAY,
        "second_signature": "somebody",
        "copies": [NewCopy("A", "here")],
        "signed_by": quality,
        "moment": NOON,
    }
    with pytest.raises(ValidationError) as raised:
        register_limit_sample(**(values | changes))
    assert field in raised.value.message_dict
    assert LimitSample.objects.count() == 1


def test_the_register_puts_what_wants_care_first(
    plant: SimpleNamespace,
    quality: Person,
    part: Specimen,
    sample: LimitSample,
    django_assert_num_queries: Callable[[int], AbstractContextManager[object]],
) -> None:
    worse = register(plant, quality, number="N-0009", copies=[NewCopy("A", "here")])
    write(worse.copies.get(), quality, condition="damaged")
    rows = register_rows(TODAY, Specimen.objects.all())
    assert [row.number for row in rows] == ["N-0009", "9-WL", "N-0001"]
    assert [row.wants_care for row in rows] == [True, False, False]
    with django_assert_num_queries(3):
        register_rows(TODAY, Specimen.objects.all())
