"""The pages of agreement studies: list, planning, rounds, result, files, closing."""

import datetime as dt
import io
from collections.abc import Callable
from types import SimpleNamespace

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from tests.conftest import NOON, PASSWORD, TODAY
from tests.training.people.sheet_files import csv_bytes
from training.people.models import Device, Person, Signature
from training.people.sheets.days import DayOrder
from training.people.sheets.plan import MAIN, SheetFile
from training.quizzes.agreement.importing import check_study, write_study
from training.quizzes.models import AgreementStudy, Sitting
from training.quizzes.services.studies import open_round

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
SignIn = Callable[[Person], Client]
SHEET = """Part,Reference,A-1,A-2,B-1,B-2
P1,accept,accept,accept,accept,accept
P2,reject,reject,reject,accept,reject
P3,reject,accept,accept,accept,accept
P4,accept,accept,accept,accept,accept"""


def page(name: str, study: AgreementStudy) -> str:
    return reverse(f"quizzes:{name}", args=[study.pk])


def form_of(bank: SimpleNamespace, *people: Person, **changes: object) -> dict[str, object]:
    return {
        "name": "Specks at the bench",
        "basis": "pictures",
        "pool": "exam",
        "families": [str(bank.specks.pk)],
        "parts": "12",
        "bad_share": "50",
        "near_share": "30",
        "people": [str(person.pk) for person in people],
        "repeats": "3",
        "gap_hours": "24",
        "seed": "witness",
        **changes,
    }


@pytest.fixture
def loaded(quality: Person, settings: SimpleNamespace) -> AgreementStudy:
    """A study that came from a file, with one part most answers contradict."""
    files = {MAIN: SheetFile("bench.csv", csv_bytes(SHEET))}
    plan = check_study(files, order=DayOrder.BY_COLUMN, by=quality, today=TODAY)
    write_study(plan, by=quality, moment=NOON, today=TODAY)
    return AgreementStudy.objects.get()


def test_an_empty_list_says_what_a_study_is_for(office: SignIn, quality: Person) -> None:
    text = office(quality).get("/studies/").content.decode()
    assert "No study yet." in text
    assert reverse("quizzes:study_add") in text


def test_the_list_costs_the_same_for_many(
    office: SignIn,
    quality: Person,
    loaded: AgreementStudy,
    django_assert_max_num_queries: Callable[..., object],
) -> None:
    client = office(quality)
    with django_assert_max_num_queries(12):  # type: ignore[attr-defined]
        text = client.get("/studies/").content.decode()
    assert "AG-0001 bench" in text


def test_the_design_is_shown_before_it_is_opened(
    office: SignIn, quality: Person, operator: Person, trainer: Person, bank: SimpleNamespace
) -> None:
    client = office(quality)
    shown = client.post("/studies/add/", form_of(bank, operator, trainer) | {"show": "1"})
    text = shown.content.decode()
    assert shown.status_code == 200
    assert "Smaller than the usual 50 parts, 3 people and 3 rounds" in text
    assert "None in 18 decisions on bad parts still allows up to" in text
    assert "takes 183 decisions without a miss" in text
    assert not AgreementStudy.objects.exists()
    opened = client.post("/studies/add/", form_of(bank, operator, trainer) | {"open": "1"})
    study = AgreementStudy.objects.get()
    assert opened["Location"] == page("study", study)
    assert (study.parts.count(), study.judges.count(), study.repeats) == (12, 2, 3)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"parts": "60"}, "The pool lacks 16 bad and 16 good decided parts"),
        ({"people": []}, "This field is required"),
        ({"repeats": "1"}, "greater than or equal to 2"),
        ({"families": []}, "This field is required"),
        ({"basis": "physical"}, "The pool lacks 6 bad and 6 good"),
    ],
)
def test_a_design_that_cannot_be_is_refused_with_its_remedy(
    changes: dict[str, object],
    said: str,
    office: SignIn,
    quality: Person,
    operator: Person,
    bank: SimpleNamespace,
) -> None:
    sent = form_of(bank, operator, **changes) | {"open": "1"}
    answer = office(quality).post("/studies/add/", sent)
    assert answer.status_code == 400
    assert said in answer.content.decode()
    assert not AgreementStudy.objects.exists()


def test_somebody_starts_their_own_round_and_judges_in_the_booth(
    study: AgreementStudy, floor: SignIn, operator: Person, device: Device
) -> None:
    client = floor(operator)
    assert page("study_round", study) in client.get("/practice/").content.decode()
    assert "Start the round" in client.get(page("study_round", study)).content.decode()
    answer = client.post(page("study_round", study))
    sitting = Sitting.objects.get()
    assert answer["Location"] == reverse("quizzes:booth", args=[sitting.pk])
    assert (sitting.person, sitting.device, sitting.kind) == (operator, device, "study")
    booth = client.get(answer["Location"]).content.decode()
    assert "Agreement study AG-0001-1-1" in booth
    assert "reject" not in Sitting.objects.get().worked_plan


def test_a_finished_round_leads_back_to_the_study_and_says_nothing_of_right_or_wrong(
    study: AgreementStudy,
    sit_round: Callable[..., Sitting],
    office: SignIn,
    operator: Person,
    quality: Person,
) -> None:
    sitting = sit_round(study.judges.get(position=1), NOON)
    result = reverse("quizzes:result", args=[sitting.pk])
    answer = office(operator).get(result, follow=True)
    text = answer.content.decode()
    assert answer.redirect_chain == [(page("study_round", study), 302)]
    assert "Round 2 of 2 opens later" in text
    assert "missed" not in text
    assert office(quality).get(result)["Location"] == page("study", study)


def test_a_round_too_early_says_when(
    plan_study: Callable[..., AgreementStudy],
    sit_round: Callable[..., Sitting],
    office: SignIn,
    operator: Person,
) -> None:
    study = plan_study(moment=NOON - dt.timedelta(days=5))
    sit_round(study.judges.get(position=1), NOON - dt.timedelta(hours=1))
    client = office(operator)
    answer = client.post(page("study_round", study), follow=True)
    assert "so that nobody remembers their answers" in answer.content.decode()
    assert Sitting.objects.count() == 1


def test_quality_opens_a_round_for_somebody_on_a_tablet(
    study: AgreementStudy, office: SignIn, quality: Person, operator: Person, device: Device
) -> None:
    judge = study.judges.get(position=1)
    sent = {"judge": str(judge.pk), "device": str(device.pk)}
    answer = office(quality).post(page("study_round", study), sent)
    assert answer["Location"] == page("study", study)
    sitting = Sitting.objects.get()
    assert (sitting.person, sitting.device, sitting.recorded_by) == (operator, device, quality)


def test_nobody_else_opens_a_round_for_others(
    study: AgreementStudy, office: SignIn, operator: Person, trainer: Person
) -> None:
    judge = study.judges.get(position=1)
    answer = office(trainer).post(page("study_round", study), {"judge": str(judge.pk)})
    assert answer.status_code == 403
    assert not Sitting.objects.exists()


def test_a_study_does_not_exist_for_those_who_do_not_judge_in_it(
    study: AgreementStudy, office: SignIn, new_hire: Person, auditor: Person
) -> None:
    assert office(new_hire).get(page("study_round", study)).status_code == 404
    assert office(auditor).get(page("study_round", study))["Location"] == page("study", study)


def test_a_running_study_shows_its_rounds_and_keeps_its_answers(
    study: AgreementStudy, sit_round: Callable[..., Sitting], office: SignIn, quality: Person
) -> None:
    sit_round(study.judges.get(position=1), NOON)
    client = office(quality)
    text = client.get(page("study", study)).content.decode()
    assert "Answers and figures are shown when all rounds are done" in text
    assert "Each person" not in text
    assert client.get(page("study_export", study)).status_code == 404
    assert client.get(page("study_pdf", study)).status_code == 404


def test_a_finished_study_links_its_disputed_parts(
    plan_study: Callable[..., AgreementStudy],
    sit_round: Callable[..., Sitting],
    office: SignIn,
    quality: Person,
) -> None:
    study = plan_study(moment=NOON - dt.timedelta(days=5))
    odd = study.parts.filter(reference="reject")[0]
    for judge in study.judges.all():
        for day in (2, 1):
            sit_round(judge, NOON - dt.timedelta(days=day), wrong=(odd.label,))
    text = office(quality).get(page("study", study)).content.decode()
    assert f"specimen={odd.specimen_id}" in text
    assert reverse("specimens:specimen_detail", args=[odd.specimen_id]) in text
    assert "On 1 part most answers contradict the reference" in text


def test_the_page_of_a_loaded_study(
    loaded: AgreementStudy,
    office: SignIn,
    auditor: Person,
    django_assert_max_num_queries: Callable[..., object],
) -> None:
    client = office(auditor)
    with django_assert_max_num_queries(16):  # type: ignore[attr-defined]
        answer = client.get(page("study", loaded))
    text = answer.content.decode()
    read = answer.context["result"]
    assert [part.label for part in read.parts] == ["P3", "P2", "P1", "P4"]
    assert "Unacceptable by the worst figure: A (misses, effectiveness)" in text
    assert text.count('class="ag-other"') == 5
    assert text.count('class="ag-same"') == 11
    assert "Most disputed is part P3: 4 of 4 answers differ." in text
    assert "Close the study" not in text


def test_the_page_in_spanish(loaded: AgreementStudy, office: SignIn, quality: Person) -> None:
    client = office(quality)
    client.cookies["django_language"] = "es"
    assert client.get(page("study", loaded)).status_code == 200


def test_answers_come_out_as_they_can_be_loaded_again(
    loaded: AgreementStudy, office: SignIn, quality: Person
) -> None:
    client = office(quality)
    sent = client.get(page("study_export", loaded))
    files = {MAIN: SheetFile("again.csv", sent.content)}
    plan = check_study(files, order=DayOrder.BY_COLUMN, by=quality, today=TODAY)
    assert plan.problems == []
    assert plan.summary() == "0 new, 0 changed, 4 the same"
    book = openpyxl.load_workbook(
        io.BytesIO(client.get(page("study_export", loaded), {"as": "xlsx"}).content)
    )
    assert book.worksheets[0].cell(2, 2).value == "P1"


def test_the_sheet_is_a_pdf(loaded: AgreementStudy, office: SignIn, quality: Person) -> None:
    sent = office(quality).get(page("study_pdf", loaded))
    assert sent["Content-Type"] == "application/pdf"
    assert sent.content.startswith(b"%PDF")
    assert sent.content.count(b"/Type /Page\n") <= 2


def test_closing_early_is_signed(
    study: AgreementStudy, sit_round: Callable[..., Sitting], office: SignIn, quality: Person
) -> None:
    sit_round(study.judges.get(position=1), NOON)
    client = office(quality)
    assert page("study_close", study) in client.get(page("study", study)).content.decode()
    asked = client.get(page("study_close", study)).content.decode()
    assert "3 rounds are not done" in asked
    sent = {"secret": PASSWORD}
    text = client.post(page("study_close", study), sent, follow=True).content.decode()
    assert "Study AG-0001 is closed." in text
    assert "left out: too few finished rounds" in text
    assert "The figures rest on 1 of 2 rounds of each person." in text
    signature = Signature.objects.get(meaning="closed an agreement study")
    assert (signature.subject_id, signature.person) == (study.pk, quality)
    again = client.post(page("study_close", study), sent, follow=True).content.decode()
    assert "This study is closed." in again
    assert Signature.objects.filter(meaning="closed an agreement study").count() == 1


@pytest.mark.parametrize(
    ("secret", "said"), [("wrong", "The password is not right"), ("", "This field is required")]
)
def test_without_the_right_secret_nothing_is_closed(
    secret: str, said: str, study: AgreementStudy, office: SignIn, quality: Person
) -> None:
    answer = office(quality).post(page("study_close", study), {"secret": secret})
    assert answer.status_code == 400
    assert said in answer.content.decode()
    study.refresh_from_db()
    assert study.closed_at is None


def test_closing_waits_for_a_running_round(
    study: AgreementStudy, office: SignIn, quality: Person, operator: Person
) -> None:
    open_round(judge=study.judges.get(position=1), opened_by=operator, moment=NOON)
    answer = office(quality).post(page("study_close", study), {"secret": PASSWORD})
    assert answer.status_code == 400
    assert "A round of A is still running" in answer.content.decode()
    assert not Signature.objects.exists()


@pytest.mark.parametrize("name", ["study", "study_export", "study_pdf"])
def test_pages_only_show(
    name: str, loaded: AgreementStudy, office: SignIn, quality: Person
) -> None:
    assert office(quality).post(page(name, loaded)).status_code == 405


def test_closing_knows_two_methods(study: AgreementStudy, office: SignIn, quality: Person) -> None:
    assert office(quality).put(page("study_close", study)).status_code == 405


@pytest.mark.parametrize("name", ["study", "study_export", "study_pdf", "study_close"])
def test_others_may_not(
    name: str, loaded: AgreementStudy, office: SignIn, trainer: Person, supervisor: Person
) -> None:
    for person in (trainer, supervisor):
        assert office(person).get(page(name, loaded)).status_code == 403


def test_the_import_page_checks_and_writes_once(
    office: SignIn, quality: Person, settings: SimpleNamespace, tmp_path: object
) -> None:
    settings.DATA_DIR = tmp_path
    client = office(quality)
    text = client.get("/studies/import/").content.decode()
    assert "one row for each answer" in text
    upload = SimpleUploadedFile("bench.csv", csv_bytes(SHEET), content_type="text/csv")
    checked = client.post("/studies/import/", {"sheet": upload, "days": "column"})
    assert checked.status_code == 200
    done = client.post("/studies/import/", {"token": checked.context["token"]})
    assert "AG-0001, bench: 4 parts, 2 people" in done.content.decode()
    empty = client.get("/studies/import/", {"empty": "long"}).content.decode("utf-8-sig")
    assert empty.startswith("Part,Reference,Person,Round,Answer,Study")


def test_quality_breaks_a_round_off_and_it_may_start_anew(
    study: AgreementStudy, office: SignIn, quality: Person, operator: Person
) -> None:
    sitting = open_round(judge=study.judges.get(position=1), opened_by=operator, moment=NOON)
    address = reverse("quizzes:abandon", args=[sitting.pk])
    answer = office(quality).post(address, follow=True)
    assert answer.redirect_chain[-1] == (page("study", study), 302)
    assert answer.content.decode().count("May start") == 2
    assert "Start the round" in office(operator).get(page("study_round", study)).content.decode()
