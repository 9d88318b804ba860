"""The page before an exam: what is shown, what passes, what is granted, and what waits for it."""

import re
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON, PIN
from tests.training.quizzes.conftest import begin
from tests.training.quizzes.views.sending import nth, right_fields, send
from training.people.models import Person, Signature, VisionCheck
from training.people.record.verify import verify
from training.people.services import record_vision_check
from training.quizzes.models import ExamConditions, Sitting
from training.quizzes.selectors.bank import bank_for
from training.quizzes.services.conditions import ANYWAY
from training.quizzes.services.ending import end_sitting
from training.specimens.models import Pool

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]


@pytest.fixture
def waiting(open_exam: Callable[..., Sitting], operator: Person) -> Sitting:
    """An exam whose screen is still to be checked."""
    return open_exam(operator, checked=False)


def address(sitting: Sitting) -> str:
    return reverse("quizzes:screen_check", args=[sitting.pk])


def counted(page: str) -> tuple[int, int]:
    """Return the squares and the place of the line as somebody reads them off the page."""
    places = re.findall(r"<svg[^>]* data-place>(.*?)</svg>", page)
    (line,) = [place for place, inside in enumerate(places, start=1) if inside]
    return page.count("data-square"), line


def fields(client: Client, sitting: Sitting, **changes: object) -> dict[str, object]:
    """Return what a person sends who saw what was on the page, changed as asked."""
    squares, line = counted(client.get(address(sitting)).content.decode())
    values: dict[str, object] = {
        "squares": squares,
        "line": line,
        "card_width_px": 330,
        "density_percent": 150,
        "card_fits": "on",
        "glasses": "worn",
        "extra_time_percent": 25,
        "read_aloud": "on",
        "note": "Near glasses, as at the press.",
        "go": "check",
        **changes,
    }
    return {name: value for name, value in values.items() if value is not None}


def test_what_passes_is_recorded_and_the_exam_begins(
    floor: Sign, trainer: Person, operator: Person, waiting: Sitting
) -> None:
    client = floor(trainer)
    response = client.post(address(waiting), fields(client, waiting))
    assert response.url == reverse("quizzes:opened", args=[waiting.pk])  # type: ignore[attr-defined]
    row = ExamConditions.objects.get()
    assert row.grey_steps_seen == row.grey_steps_shown
    assert (row.line_seen, row.card_width_px, row.density_percent) == (True, 330, 150)
    assert (row.glasses, row.extra_time_percent, row.read_aloud) == ("worn", 25, True)
    assert (row.chain, row.recorded_by) == (waiting.own_chain, trainer)
    assert verify().breaks == ()
    page = client.get(reverse("quizzes:opened", args=[waiting.pk])).content.decode()
    assert "Sign out and hand over the tablet" in page
    assert "extra time of 25 %, limits read aloud" in page
    booth = floor(operator).get(reverse("quizzes:booth", args=[waiting.pk]))
    assert 'data-real-size="5.78' in booth.content.decode()
    assert "data-aloud=" in booth.content.decode()


def test_nothing_is_handed_out_before(floor: Sign, operator: Person, waiting: Sitting) -> None:
    client = floor(operator)
    page = client.get(reverse("quizzes:booth", args=[waiting.pk])).content.decode()
    assert "The screen is checked before the first part." in page
    assert "data-booth" not in page
    assert client.get(reverse("quizzes:part", args=[waiting.pk, 1])).status_code == 403
    assert client.get(reverse("quizzes:frame", args=[waiting.pk, 1, 0])).status_code == 403
    assert send(client, waiting, right_fields(nth(waiting, 1))).status_code == 403
    assert not waiting.judgements.exists()


def test_an_exam_broken_off_before_it_began_has_shown_nothing(waiting: Sitting) -> None:
    end_sitting(sitting=waiting, reason="abandoned", moment=NOON)
    found = bank_for(waiting.person, pool=Pool.EXAM, day=NOON.date()).candidates
    assert all(each.fresh for each in found)


@pytest.mark.parametrize(
    ("changes", "advice"),
    [
        ({"squares": 0}, "Turn the brightness up"),
        ({"line": 0}, "Set the zoom of the browser to 100 %"),
        ({"card_fits": None}, "Hold a bank card to the frame"),
    ],
)
def test_a_screen_that_fails_says_what_to_do_and_shows_another_test(
    floor: Sign,
    trainer: Person,
    waiting: Sitting,
    changes: dict[str, object],
    advice: str,
) -> None:
    client = floor(trainer)
    sent = fields(client, waiting)
    if "line" in changes:
        changes = {"line": int(str(sent["line"])) % 4 + 1}
    response = client.post(
        address(waiting),
        sent | changes
        if "card_fits" not in changes
        else {name: value for name, value in sent.items() if name != "card_fits"},
    )
    page = response.content.decode()
    assert response.status_code == 400
    assert advice in page
    assert "Go on with this screen all the same" in page
    assert not ExamConditions.objects.exists()
    client.post(address(waiting), fields(client, waiting))
    assert ExamConditions.objects.get().line_seen


def test_going_on_all_the_same_takes_a_reason_and_a_signature(
    floor: Sign, trainer: Person, waiting: Sitting
) -> None:
    client = floor(trainer)
    anyway = {"glasses": "not_needed", "extra_time_percent": 0, "go": "anyway"}
    refused = client.post(address(waiting), anyway | {"note": "No other tablet.", "secret": PIN})
    assert "Check the screen first." in refused.content.decode()
    sent = fields(client, waiting)
    client.post(address(waiting), sent | {"squares": (int(str(sent["squares"])) + 1) % 9})
    for missing, message in (
        ({"note": "", "secret": PIN}, "Say why the exam is sat on this screen"),
        ({"note": "No other tablet.", "secret": ""}, "Sign with your password or PIN."),
        ({"note": "No other tablet.", "secret": "000000"}, "Nothing was signed."),
    ):
        page = client.post(address(waiting), anyway | missing)
        assert page.status_code == 400
        assert message in page.content.decode()
    assert not ExamConditions.objects.exists()
    client.post(address(waiting), anyway | {"note": "No other tablet.", "secret": PIN})
    row = ExamConditions.objects.get()
    assert row.grey_steps_seen != row.grey_steps_shown
    signature = Signature.objects.get(subject_id=row.pk)
    assert (signature.person, signature.meaning) == (trainer, ANYWAY)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"squares": None}, "This field is required."),
        ({"squares": 9}, "Select a valid choice."),
        ({"line": 5}, "Select a valid choice."),
        ({"card_width_px": 50}, "greater than or equal to 100"),
        ({"glasses": "monocle"}, "Select a valid choice."),
        ({"extra_time_percent": 33}, "Select a valid choice."),
        ({"glasses": "not_worn", "note": ""}, "say why the exam is sat all the same"),
    ],
)
def test_bad_input_records_nothing(
    floor: Sign, trainer: Person, waiting: Sitting, changes: dict[str, object], message: str
) -> None:
    client = floor(trainer)
    response = client.post(address(waiting), fields(client, waiting, **changes))
    assert response.status_code == 400
    assert message in response.content.decode()
    assert not ExamConditions.objects.exists()


def test_an_eye_check_says_whether_glasses_are_to_be_worn_and_what_is_due(
    floor: Sign, trainer: Person, waiting: Sitting
) -> None:
    page = floor(trainer).get(address(waiting)).content.decode()
    assert "no eye check is recorded" in page
    record_vision_check(
        person=waiting.person,
        kind=VisionCheck.Kind.NEAR,
        day=NOON.date().replace(year=2025),
        result=VisionCheck.Result.MEETS_WITH_GLASSES,
        due_day=NOON.date().replace(day=1),
        recorded_by=trainer,
        moment=NOON,
    )
    page = floor(trainer).get(address(waiting)).content.decode()
    assert "due since 1 Nov 2026" in page
    assert 'value="worn" checked' in page


def test_it_is_done_once_and_on_the_exams_own_tablet(
    floor: Sign, office: Sign, trainer: Person, exam: Sitting, waiting_other: Sitting
) -> None:
    assert floor(trainer).get(address(exam)).status_code == 302
    response = office(trainer).get(address(waiting_other))
    assert response.status_code == 403
    assert "is checked on Tablet 1" in response.content.decode()


@pytest.fixture
def waiting_other(open_exam: Callable[..., Sitting], new_hire: Person) -> Sitting:
    return open_exam(new_hire, checked=False)


def test_who_may_not(
    floor: Sign,
    operator: Person,
    new_hire: Person,
    waiting: Sitting,
    practice: Sitting,
    trainer: Person,
) -> None:
    assert floor(operator).get(address(waiting)).status_code == 403
    assert floor(new_hire).get(address(waiting)).status_code == 403
    assert floor(trainer).get(address(practice)).status_code == 404


def test_wrong_method(floor: Sign, trainer: Person, waiting: Sitting) -> None:
    assert floor(trainer).delete(address(waiting)).status_code == 405


def test_query_count(
    floor: Sign, trainer: Person, waiting: Sitting, count_queries: Callable[..., int]
) -> None:
    client = floor(trainer)
    assert count_queries(lambda: client.get(address(waiting))) <= 20


def test_conditions_stand_on_the_result(office: Sign, trainer: Person, waiting: Sitting) -> None:
    begin(waiting, NOON, extra_time_percent=50, note="Asked for by the person.")
    end_sitting(sitting=waiting, reason="abandoned", moment=NOON)
    page = office(trainer).get(reverse("quizzes:result", args=[waiting.pk])).content.decode()
    for words in ("extra time of 50 %", "hairline found", "7.6 pixels per mm", "Asked for by"):
        assert words in page


def test_open_exams_are_found_on_their_tablet(
    floor: Sign, office: Sign, trainer: Person, waiting: Sitting
) -> None:
    page = floor(trainer).get("/sittings/open/").content.decode()
    assert reverse("quizzes:opened", args=[waiting.pk]) in page
    assert reverse("quizzes:opened", args=[waiting.pk]) not in (
        office(trainer).get("/sittings/open/").content.decode()
    )
