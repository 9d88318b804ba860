"""A running exam says nothing of the answers: not in a page, a reply, a name, a size, a step of the code.

Two ways of asking. The same parts with their truth turned over: every response must stay the same,
byte for byte. And the same exam judged rightly and wrongly: every reply, page, size, number of
queries and executed line must be the same until the end.
"""

import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from types import FrameType, SimpleNamespace
from typing import Any

import pytest
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

import training
from tests.conftest import NOON, TODAY
from tests.training.quizzes.bank import ELSEWHERE, right_answer, wrong_answer
from tests.training.quizzes.pool import group_pool
from training.people.models import Person
from training.people.record.triggers import lifted
from training.quizzes.models import ExamPlan, Presented, Sitting
from training.quizzes.plan_rules import read_rules
from training.quizzes.scoring import Part
from training.quizzes.services.judging import Given, record_judgements
from training.quizzes.services.plans import publish_plan
from training.quizzes.working_out import work_out
from training.specimens.models import Frame, ReferenceDecision, Region
from training.specimens.pictures.padding import STEP
from training.specimens.pictures.storage import path_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]
HERE = Path(training.__file__).parent
TOKEN = re.compile(r'(name="csrfmiddlewaretoken" value="|x-csrftoken": ")[^"]+|nonce-[^\']+')


@dataclass(frozen=True)
class Seen:
    """What reaches a device of one response."""

    status: int
    headers: tuple[tuple[str, str], ...]
    cookies: tuple[str, ...]
    size: int
    body: str


def seen(response: HttpResponse, *, of: Sitting) -> Seen:
    """Return all of a response but what is random in each, and the sitting's own identifier."""
    raw = b"".join(response) if response.streaming else response.content
    body = raw.decode(errors="surrogateescape")
    body = TOKEN.sub("", body).replace(str(of.pk), "sitting").replace(of.number, "number")
    headers = tuple(
        sorted((name, TOKEN.sub("", value)) for name, value in response.headers.items())
    )
    return Seen(response.status_code, headers, tuple(sorted(response.cookies)), len(body), body)


def addresses(sitting: Sitting, upto: int) -> list[str]:
    """Return every address a device or its person may ask while the exam runs."""
    found = [
        reverse("quizzes:booth", args=[sitting.pk]),
        reverse("quizzes:result", args=[sitting.pk]),
        reverse("quizzes:practice_list"),
        "/my-work/",
    ]
    for ordinal in range(1, upto + 1):
        found += [
            reverse("quizzes:part", args=[sitting.pk, ordinal]),
            reverse("quizzes:frame", args=[sitting.pk, ordinal, 0]),
            reverse("quizzes:first_piece_frame", args=[sitting.pk, ordinal, 0]),
            reverse("quizzes:feedback", args=[sitting.pk, ordinal]),
        ]
    return found


def asked(client: Client, sitting: Sitting, upto: int) -> list[Seen]:
    return [seen(client.get(each), of=sitting) for each in addresses(sitting, upto)]


@pytest.fixture
def to_the_end(plans: dict[str, ExamPlan]) -> ExamPlan:
    """The short-bank plan shown to its end even where it is lost, as the group plan may be."""
    return publish_plan(
        code="short-bank",
        form=ExamPlan.Form.SHORT_BANK,
        name={"en": "Short-bank plan"},
        parameters={"stop_when_lost": False},
        reason="Test",
        day=TODAY,
        published_by=None,
    )


@pytest.fixture
def pictured(bank: SimpleNamespace) -> SimpleNamespace:
    """The bank with picture files of very different size behind its frames."""
    for place, frame in enumerate(Frame.objects.order_by("file")):
        path = path_of(frame.file)
        path.parent.mkdir(parents=True, exist_ok=True)
        picture = Image.effect_noise((320, 240), 40 * (place % 5))
        picture.save(path, "WEBP", quality=40)
    return bank


@pytest.fixture
def twins(
    pictured: object,
    open_exam: Callable[..., Sitting],
    make_person: Callable[..., Person],
    to_the_end: ExamPlan,
) -> tuple[Sitting, Sitting]:
    """The same exam, the same parts in the same order, of two persons of the same facts."""
    persons = [make_person(name, "operator") for name in ("Ada Twin", "Ida Twin")]
    first, second = (open_exam(each, plan=to_the_end) for each in persons)
    assert shown(first) == shown(second)
    return first, second


def shown(sitting: Sitting) -> list[object]:
    rows = Presented.objects.filter(sitting=sitting).order_by("ordinal")
    return list(rows.values_list("specimen", flat=True))


def parts_of(sitting: Sitting) -> list[Presented]:
    rows = Presented.objects.filter(sitting=sitting).order_by("ordinal")
    return list(rows.select_related("decision", "specimen__family"))


def turn_over(sitting: Sitting) -> None:
    """Make every bad part of an exam good and every good one bad, behind the record's guards."""
    decisions, presented = ReferenceDecision._meta.db_table, Presented._meta.db_table
    with lifted(connection), connection.cursor() as cursor:
        cursor.execute(
            f"UPDATE {decisions} SET decision ="
            " CASE decision WHEN 'accept' THEN 'reject' ELSE 'accept' END,"
            " action = CASE action WHEN 'segregate' THEN 'keep_running' ELSE 'segregate' END,"
            " clear = NOT clear, severity_ratio = 7"
            f" WHERE id IN (SELECT decision_id FROM {presented})"
        )
        cursor.execute(
            f"UPDATE {presented} SET part = CASE part WHEN 'good' THEN 'bad' ELSE 'good' END"
        )
    Region.objects.filter(view__specimen__presented__sitting=sitting).delete()


def test_with_their_truth_turned_over_the_same_parts_answer_the_same(
    floor: Sign,
    operator: Person,
    pictured: object,
    exam: Sitting,
    count_queries: Callable[..., int],
) -> None:
    client = floor(operator)
    before = asked(client, exam, 6)
    queries = [count_queries(lambda each=each: client.get(each)) for each in addresses(exam, 6)]
    turn_over(exam)
    assert asked(client, exam, 6) == before
    assert [
        count_queries(lambda each=each: client.get(each)) for each in addresses(exam, 6)
    ] == queries
    assert {each.status for each in before} <= {200, 403, 404}
    assert sum(each.status == 200 for each in before) >= 3 + 6 + 6


def test_pictures_of_every_size_are_sent_in_steps(
    floor: Sign, operator: Person, pictured: object, exam: Sitting
) -> None:
    client = floor(operator)
    replies = [
        client.get(reverse("quizzes:frame", args=[exam.pk, ordinal, 0])) for ordinal in range(1, 7)
    ]
    assert all(len(reply.content) % STEP == 0 for reply in replies)
    names = {tuple(sorted(reply.headers)) for reply in replies}
    assert len(names) == 1
    assert not {"ETag", "Last-Modified"} & set(names.pop())


def test_addresses_and_pages_name_no_specimen(
    floor: Sign, operator: Person, pictured: object, exam: Sitting
) -> None:
    client = floor(operator)
    said = " ".join(each.body for each in asked(client, exam, 6) if "�" not in each.body)
    for presented in exam.presented.select_related("specimen"):
        assert presented.specimen.number not in said
        for frame in Frame.objects.filter(view__specimen=presented.specimen_id):
            assert frame.file not in said
        for secret in (presented.specimen_id, presented.decision_id, presented.pk):
            assert str(secret) not in said


def fields_of(given: Given) -> dict[str, Any]:
    """Return an answer as the booth sends it."""
    sent: dict[str, Any] = {
        "answer_id": str(given.judgement_id),
        "ordinal": given.ordinal,
        "verdict": given.answer,
        "seconds": given.judging_ms / 1000,
        "made": "2026-11-25T12:00:00.000+00:00",
    }
    if given.answer == "reject" and given.place:
        x, y = given.place
        sent |= {"view": 0, "x": x, "y": y, "family": given.family, "action": "tag"}
    return sent


def test_judged_rightly_and_wrongly_every_reply_is_the_same_to_the_last(
    floor: Sign, twins: tuple[Sitting, Sitting]
) -> None:
    rightly, wrongly = twins
    clients = floor(rightly.person), floor(wrongly.person)
    parts = parts_of(rightly), parts_of(wrongly)
    for place in range(len(parts[0]) - 1):
        told = []
        for sitting, client, answer, rows in zip(
            twins, clients, (right_answer, wrong_answer), parts, strict=True
        ):
            address = reverse("quizzes:judge", args=[sitting.pk])
            with CaptureQueriesContext(connection) as queries:
                reply = client.post(
                    address, fields_of(answer(rows[place], NOON)), content_type="application/json"
                )
            assert reply.status_code == 200
            told.append((seen(reply, of=sitting), len(queries)))
        assert told[0] == told[1], f"answer {place + 1}"
    last = [
        asked_of_person(client, sitting) for sitting, client in zip(twins, clients, strict=True)
    ]
    for one, other in zip(*last, strict=True):
        assert one.splitlines() == other.splitlines()
    for sitting, client, rows in zip(twins, clients, parts, strict=True):
        address = reverse("quizzes:judge", args=[sitting.pk])
        answer = right_answer if sitting is rightly else wrong_answer
        client.post(address, fields_of(answer(rows[-1], NOON)), content_type="application/json")
    assert (rightly.end.result, wrongly.end.result) == ("passed", "not_passed")


def asked_of_person(client: Client, sitting: Sitting) -> list[str]:
    """Return what the pages of the person say, without who the person is."""
    found = []
    for each in asked(client, sitting, 2):
        first, _space, _last = sitting.person.name.partition(" ")
        body = each.body.replace(sitting.person.name, "name").replace(first, "first")
        found.append(body.replace(str(sitting.person_id), "person"))
    return [re.sub(r"\b9\d{3}\b|\b7\d{4}\b", "", body) for body in found]


@contextmanager
def lines_run() -> Iterator[set[tuple[str, int]]]:
    """Collect the lines of the application that are executed, as (file, line)."""
    run: set[tuple[str, int]] = set()

    def trace(frame: FrameType, event: str, _arg: object) -> Any:
        file = frame.f_code.co_filename
        if not file.startswith(str(HERE)):
            return None
        if event == "line":
            run.add((file.removeprefix(str(HERE)), frame.f_lineno))
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        yield run
    finally:
        sys.settrace(before)


def run_of(sitting: Sitting, given: Given) -> set[tuple[str, int]]:
    with lines_run() as run:
        record_judgements(sitting=sitting, answers=[given], moment=NOON)
    return run


def two_kinds(sitting: Sitting) -> tuple[Presented, Presented]:
    """Return a bad and a good part that may be judged at once, neither of them the first."""
    rows = parts_of(sitting)[1:6]
    bad = next(row for row in rows if row.decision.decision == "reject")
    good = next(row for row in rows if row.decision.decision == "accept")
    return bad, good


def test_accepting_a_good_and_a_bad_part_runs_the_same_lines(
    twins: tuple[Sitting, Sitting],
) -> None:
    bad, good = two_kinds(twins[0])
    missed = wrong_answer(bad, NOON)
    found = right_answer(parts_of(twins[1])[good.ordinal - 1], NOON)
    assert (missed.answer, found.answer) == ("accept", "accept")
    wrong, right = run_of(twins[0], missed), run_of(twins[1], found)
    assert any(file == "/quizzes/services/judging.py" for file, _line in right)
    assert any(file == "/quizzes/scoring.py" for file, _line in right)
    assert wrong - right == right - wrong == set()


def test_rejecting_in_the_right_and_in_another_place_runs_the_same_lines(
    twins: tuple[Sitting, Sitting],
) -> None:
    bad, _good = two_kinds(twins[0])
    right = run_of(twins[0], right_answer(bad, NOON))
    other = right_answer(parts_of(twins[1])[bad.ordinal - 1], NOON)
    wrong = run_of(twins[1], replace(other, place=ELSEWHERE))
    assert wrong - right == right - wrong == set()


def test_rejecting_a_bad_and_a_good_part_runs_the_same_lines(
    twins: tuple[Sitting, Sitting],
) -> None:
    bad, good = two_kinds(twins[0])
    right = run_of(twins[0], right_answer(bad, NOON))
    wrong = run_of(twins[1], wrong_answer(parts_of(twins[1])[good.ordinal - 1], NOON))
    assert wrong - right == right - wrong == set()


def test_the_trace_would_find_a_line_that_runs_for_wrong_answers_only(
    twins: tuple[Sitting, Sitting], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The check of lines can fail: an answer that is refused does run other lines."""
    bad, _good = two_kinds(twins[0])
    right = run_of(twins[0], right_answer(bad, NOON))
    given = right_answer(parts_of(twins[1])[bad.ordinal - 1], NOON)
    refused = run_of(twins[1], replace(given, judging_ms=1))
    assert right ^ refused


def test_the_order_says_nothing_of_what_comes_next() -> None:
    """Over many seeds bad parts stand anywhere: first as often as last, and after either kind alike.

    Of 400 draws of 40 bad and 30 good parts the share of bad ones in first place has a standard
    deviation of .025; three of them are allowed.
    """
    families = ["burn", "flash", "sink", "gloss"]
    pool, rules = group_pool(families), read_rules("group", {})
    first = last = after_bad = after_good = bads = goods = 0
    draws = 400
    for seed in range(draws):
        _plan, draw = work_out(rules, pool, families, seed=str(seed))
        kinds = [pick.part is Part.BAD for pick in draw.picks]
        first, last = first + kinds[0], last + kinds[-1]
        for before, now in pairwise(kinds):
            after_bad += before and now
            after_good += now and not before
        bads, goods = bads + sum(kinds[:-1]), goods + len(kinds) - 1 - sum(kinds[:-1])
    share = 40 / 70
    assert first / draws == pytest.approx(share, abs=0.075)
    assert last / draws == pytest.approx(share, abs=0.075)
    # Drawn without laying back: after a bad part 39 of 69 are bad, after a good one 40 of 69.
    assert after_bad / bads == pytest.approx(39 / 69, abs=0.015)
    assert after_good / goods == pytest.approx(40 / 69, abs=0.015)


def test_refused_answers_say_nothing_either(floor: Sign, twins: tuple[Sitting, Sitting]) -> None:
    """The same faulty answer for a good and for a bad part is refused in the same words."""
    bad, good = two_kinds(twins[0])
    client, sitting = floor(twins[0].person), twins[0]
    address = reverse("quizzes:judge", args=[sitting.pk])
    told = []
    for row in (bad, good):
        sent = fields_of(right_answer(row, NOON)) | {
            "answer_id": "0190aaaa-0000-7000-8000-000000000000",
            "verdict": "reject",
            "view": 0,
            "x": 99999,
            "y": 1,
            "family": "black-specks",
            "action": "tag",
        }
        reply = client.post(address, sent, content_type="application/json")
        told.append(seen(reply, of=sitting))
    assert told[0] == told[1]
    assert told[0].status == 400
