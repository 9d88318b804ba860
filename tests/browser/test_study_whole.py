"""An agreement study sat whole: opened, every part judged by everybody in every round, read and printed."""

from collections.abc import Callable
from types import SimpleNamespace

import pytest
from playwright.sync_api import Page, expect

from tests.browser.hands import SIZES, accept, fits, hours_ago, hurry, part, press, reject, seen
from tests.browser.test_booth import accessible, bank, tablet
from tests.browser.test_exam_flow import is_bad
from tests.browser.test_quality_pages import desk
from training.people.models import Person
from training.quizzes.models import AgreementStudy, Judgement, Sitting

__all__ = ["bank", "desk", "tablet"]
pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("django_db_setup", "device"),
]
PARTS, ROUNDS = 4, 2


@SIZES
def test_a_study_sat_whole(
    desk: Callable[..., Page],
    tablet: Callable[..., Page],
    bank: SimpleNamespace,
    operator: Person,
    trainer: Person,
    size: dict[str, int],
) -> None:
    office = desk(size)
    judges = {person: tablet(size, person) for person in (operator, trainer)}
    with hours_ago(25):
        study = open_study(office, bank, operator, trainer)
        for page in judges.values():
            hurry(page)
            sit_round(page, study, 1)
        expect(judges[operator].locator("main")).to_contain_text("Round 2 of 2 opens later.")
        office.reload()
        expect(office.locator("main")).to_contain_text("shown when all rounds are done")
        assert office.locator("svg.chart").count() == 0

    # In the second round the trainer lets the first bad part pass.
    sit_round(judges[operator], study, 2)
    sit_round(judges[trainer], study, 2, missed=1)
    expect(judges[trainer].locator("main")).to_contain_text("All your rounds are done.")
    assert Judgement.objects.filter(sitting__kind="study").count() == 2 * ROUNDS * PARTS
    read_result(office)


def open_study(
    page: Page, bank: SimpleNamespace, operator: Person, trainer: Person
) -> AgreementStudy:
    page.goto("/studies/")
    press(page.get_by_role("link", name="Plan a study").first)
    page.locator("[name=name]").fill("Specks at the bench")
    page.locator("[name=parts]").fill(str(PARTS))
    page.locator("[name=repeats]").fill(str(ROUNDS))
    for person in (operator, trainer):
        page.locator(f"[name=people][value='{person.pk}']").check()
    page.locator(f"[name=families][value='{bank.specks.pk}']").check()
    press(page.get_by_role("button", name="Show what it can tell"))
    expect(page.get_by_text("2 bad and 2 good")).to_be_visible()
    fits(page)
    seen(page, "study-1-plan")
    press(page.get_by_role("button", name="Open this study"))
    page.wait_for_url("**/studies/*-*/")
    return AgreementStudy.objects.get()


def sit_round(page: Page, study: AgreementStudy, number: int, missed: int = 0) -> None:
    page.goto("/practice/")
    press(page.get_by_role("link", name="To the round"))
    press(page.get_by_role("button", name="Start the round"))
    page.wait_for_url("**/sittings/*/")
    sitting = Sitting.objects.get(pk=page.url.rstrip("/").rsplit("/", 1)[1])
    for ordinal in range(1, PARTS + 1):
        expect(part(page)).to_have_attribute("data-ordinal", str(ordinal))
        bad = is_bad(sitting, ordinal)
        if bad and missed == 0:
            reject(page)
        else:
            missed -= bad
            accept(page)
    press(page.get_by_role("button", name="Finish now"))
    page.wait_for_url("**/round/")
    expect(page.locator("main")).not_to_contain_text("missed")
    seen(page, f"study-2-after-round-{number}")


def read_result(page: Page) -> None:
    page.reload()
    people = page.get_by_role("region", name="Each person")
    expect(people.locator("tbody tr")).to_have_count(2)
    expect(people.locator("tbody tr").nth(0)).to_contain_text("4 of 4")
    expect(people.locator("tbody tr").nth(1)).to_contain_text("3 of 4")
    expect(page.locator("svg.chart").first).to_be_visible()
    fits(page)
    accessible(page)
    seen(page, "study-3-result")
    with page.expect_download() as sheet:
        press(page.get_by_role("link", name="Sheet as PDF"))
    assert sheet.value.path().read_bytes().startswith(b"%PDF-")
    with page.expect_download() as answers:
        press(page.get_by_role("link", name="Answers as CSV"))
    heads, *rows = answers.value.path().read_text("utf-8-sig").splitlines()
    assert heads == "Study,Part,Reference,A-1,A-2,B-1,B-2"
    assert len(rows) == PARTS
