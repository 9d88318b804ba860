"""One whole day on a second plant: from its own sheets to a name on the matrix, in real Chromium."""

import os
import re
from collections.abc import Callable
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from playwright.sync_api import Page, expect

from tests.browser import plant_files
from tests.browser.conftest import DESK, TABLET
from tests.browser.day_bank import JOB, fill_the_bank
from tests.training.specimens import photographs as photo
from training.floor.models import Job
from training.people.models import Person
from training.quizzes.models import Presented, Sitting
from training.specimens.models import Region, Specimen

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("django_db_setup"),
]

Open = Callable[..., Page]
PASSWORD = "a quiet grey bench"
# Where to keep a picture of each step, to be looked at; nowhere by default.
PICTURES = os.environ.get("DAY_PICTURES", "")
OWN_PIN, TRAINER_PIN = "730518", "640729"


def test_from_the_first_lesson_to_a_name_on_the_matrix(
    open_page: Open, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    start_the_plant(monkeypatch)
    office = open_page(DESK)
    sign_in_at_the_office(office, "1", PASSWORD)
    pins = load_people(office, tmp_path)
    load_jobs(office)
    take_in_photographs(office, tmp_path)
    fill_the_bank()
    publish_plans(office)

    tablet = open_page(TABLET)
    join_the_floor(office, tablet)
    sign_in_on_the_floor(tablet, "5012", pins["2012"])
    change_pin(tablet, pins["2012"], OWN_PIN)
    read_the_lesson_in_both_languages(tablet)
    practise_two_parts(tablet)
    read_the_papers(tablet)
    sign_out(tablet)

    sign_in_on_the_floor(tablet, "5004", pins["2004"])
    change_pin(tablet, pins["2004"], TRAINER_PIN)
    open_the_exam(tablet)
    sign_in_on_the_floor(tablet, "5012", OWN_PIN)
    sit_the_exam(tablet)
    sign_out(tablet)

    grant_the_certificate(office)
    carry_over_the_observed_check(office, tmp_path)
    find_the_name_on_the_matrix(office)
    ask_the_press_check(office)
    call_command("verify_records", stdout=StringIO())


def seen(page: Page, name: str) -> None:
    """Keep a picture of the page if somebody wants to look."""
    if PICTURES:
        page.screenshot(path=f"{PICTURES}/{name}.png", full_page=True)


# ----- the plant and its sheets -----


def start_the_plant(monkeypatch: pytest.MonkeyPatch) -> None:
    call_command("starter_families", stdout=StringIO())
    monkeypatch.setattr("sys.stdin", StringIO(PASSWORD + "\n"))
    call_command("first_administrator", "1", "Ana Uno", "--password-from-stdin", stdout=StringIO())


def sign_in_at_the_office(page: Page, number: str, password: str) -> None:
    page.goto("/office/")
    page.locator("[name=username]").fill(number)
    page.locator("[name=password]").fill(password)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "/office/" not in url)


def load_people(page: Page, folder: Path) -> dict[str, str]:
    """Send the sheet with its fault, read what is wrong, send the right one; return the PINs."""
    page.goto("/people/import/")
    wrong = plant_files.write_people(folder / "personal.xlsx", with_fault=True)
    page.locator("input[type=file]").first.set_input_files(wrong)
    page.get_by_role("button", name="Check the file").click()
    problem = page.locator("tbody tr").filter(has_text="5003").first
    expect(problem).to_be_visible()
    seen(page, "01-people-faults")
    # The blank row keeps its number: the second holder of the badge stands in row 14 of the file.
    assert problem.locator("td").first.inner_text() in ("4", "14")
    assert not Person.objects.filter(personnel_no="2012").exists()

    page.get_by_role("link", name="Send the corrected file").click()
    page.locator("input[type=file]").first.set_input_files(
        plant_files.write_people(folder / "personal2.xlsx")
    )
    page.get_by_role("button", name="Check the file").click()
    page.get_by_role("button", name=re.compile(r"Write \d+ rows")).click()
    page.get_by_role("heading", name="Initial PINs").wait_for()
    seen(page, "02-initial-pins")
    cells = [row.locator("td").all_inner_texts() for row in page.locator("tbody tr").all()]
    assert Person.objects.get(personnel_no="2001").name == "Íñigo Peñalba"
    return {cell[0]: cell[-1] for cell in cells}


def load_jobs(page: Page) -> None:
    page.goto("/jobs/import/")
    files = page.locator("input[type=file]")
    files.nth(0).set_input_files(plant_files.JOBS)
    files.nth(1).set_input_files(plant_files.LIMITS)
    page.get_by_role("button", name="Check the file").click()
    page.get_by_role("button", name=re.compile(r"Write \d+ rows")).click()
    page.get_by_role("link", name="Done").wait_for()
    assert Job.objects.count() == 5
    assert Job.objects.get(number="301").part["es"] == "Tapa de báscula"
    page.goto(f"/jobs/{JOB}/")
    seen(page, "03-job-sheet")


def take_in_photographs(page: Page, folder: Path) -> None:
    """Three photographs from a phone, each turned another way by its Exif tag."""
    for orientation in (3, 6, 8):
        picture = folder / f"IMG_{orientation}.jpg"
        picture.write_bytes(photo.oriented_jpeg(orientation))
        page.goto("/specimens/add/")
        page.locator("[name=pictures]").set_input_files([picture])
        page.get_by_label("Job").select_option(label="301 Scale cover")
        page.get_by_label("Defect family").select_option(label="Black specks / contamination")
        page.get_by_label("Measured severity").fill("0.45")
        page.get_by_label("Unit").select_option("mm")
        page.get_by_label("Pool").select_option("teaching")
        page.get_by_role("button", name="Keep the part").click()
        page.get_by_text(re.compile("is kept")).wait_for()
        # Upright whatever the tag said: 400 wide, 300 high.
        assert page.locator("svg.pane").get_attribute("data-width") == "400"
        seen(page, f"04-photograph-{orientation}")
    assert Specimen.objects.count() == 3


def publish_plans(page: Page) -> None:
    page.goto("/plans/")
    page.get_by_role("button", name=re.compile("default plans")).click()
    page.get_by_role("link", name="Group plan").first.wait_for()


# ----- on the tablet -----


def join_the_floor(office: Page, tablet: Page) -> None:
    office.goto("/devices/enrol/")
    office.get_by_label("Name").fill("Tablet 1")
    office.get_by_label("Place").fill("Training room")
    office.get_by_role("button", name="Invite another device").click()
    tablet.goto(office.locator("code").inner_text())
    tablet.get_by_role("button", name="Enrol this device").click()
    tablet.locator("#id_badge").wait_for()


def sign_in_on_the_floor(page: Page, badge: str, pin: str) -> None:
    page.goto("/sign-in/")
    page.locator("#id_badge").fill(badge)
    page.locator("#id_pin").fill(pin)
    page.keyboard.press("Enter")
    page.wait_for_url(lambda url: "/sign-in/" not in url)
    use_language(page, "en")


def use_language(page: Page, code: str) -> None:
    key = page.get_by_role(
        "button", name=re.compile("^(EN|English)$" if code == "en" else "^(ES|Español)$")
    )
    if page.locator("html").get_attribute("lang") != code:
        key.click()
        page.wait_for_load_state()
    expect(page.locator("html")).to_have_attribute("lang", code)


def sign_out(page: Page) -> None:
    page.goto("/my-work/")
    page.get_by_role("button", name=re.compile("Sign out|Salir")).click()
    page.locator("#id_badge").wait_for()


def change_pin(page: Page, old: str, new: str) -> None:
    expect(page).to_have_url(re.compile("/my-pin/"))
    page.locator("[name=old_pin]").fill(old)
    page.locator("[name=new_pin]").fill("123456")
    page.locator("[name=again]").fill("123456")
    page.get_by_role("button", name="Save").click()
    page.get_by_text("easy to guess").first.wait_for()
    seen(page, "05-change-pin")
    for name, value in (("old_pin", old), ("new_pin", new), ("again", new)):
        page.locator(f"[name={name}]").fill(value)
    page.get_by_role("button", name="Save").click()
    page.wait_for_url(lambda url: "/my-pin/" not in url)


def read_the_lesson_in_both_languages(page: Page) -> None:
    page.goto("/lessons/black-specks/")
    page.get_by_text("Wipe. Size. Count. Space.").wait_for()
    use_language(page, "es")
    page.get_by_text("Limpie. Mida. Cuente.").wait_for()
    seen(page, "06-lesson-es")
    use_language(page, "en")
    page.get_by_role("button", name=re.compile("I have read revision 1")).click()
    page.get_by_text(re.compile("read", re.IGNORECASE)).first.wait_for()


def practise_two_parts(page: Page) -> None:
    page.goto("/practice/")
    page.get_by_role("button", name=re.compile("Black specks|Practise|Start")).first.click()
    page.wait_for_url(re.compile("/sittings/"))
    for _ in range(2):
        judge_the_part(page)
        page.locator("[data-feedback]").wait_for()
        seen(page, "09-feedback")
        page.get_by_role("link", name=re.compile("Next part|Go on|Next")).or_(
            page.get_by_role("button", name=re.compile("Next part|Go on|Next"))
        ).first.click()
        page.locator("[data-answer=accept]").first.wait_for()


def read_the_papers(page: Page) -> None:
    page.goto(f"/jobs/{JOB}/")
    page.get_by_role("button", name=re.compile("I have read")).first.click()
    page.wait_for_load_state()


def open_the_exam(page: Page) -> None:
    page.goto("/sittings/open/?person=2012")
    box = page.locator("input[name=family][value=black-specks]")
    if not box.is_checked():
        box.check(force=True)
    page.get_by_role("button", name="Show the plan").click()
    offer = page.locator("article.ex-offer").first
    seen(page, "07-exam-plan")
    offer.locator("[name=secret]").fill(TRAINER_PIN)
    offer.get_by_role("button", name=re.compile("Sign and open")).click()
    page.wait_for_url(re.compile("/screen/"))
    check_the_screen(page)
    page.wait_for_url(re.compile("/opened/"))
    seen(page, "08-exam-opened")
    page.get_by_role("button", name=re.compile("Sign out and hand over")).click()
    page.locator("#id_badge").wait_for()


def check_the_screen(page: Page) -> None:
    """Count the squares, find the line, match the card, and hand the tablet over."""
    squares = page.locator("[data-square]").count()
    places = page.locator("[data-place]").all()
    (line,) = [n for n, each in enumerate(places, 1) if each.locator("[data-hairline]").count()]
    page.locator(f"[name=squares][value='{squares}']").check()
    page.locator(f"[name=line][value='{line}']").check()
    page.locator("[name=card_fits]").check()
    seen(page, "08-screen-check")
    page.get_by_role("button", name=re.compile("hand the tablet over")).click()


def sit_the_exam(page: Page) -> None:
    sitting = Sitting.objects.get(kind="qualification")
    page.goto(f"/sittings/{sitting.pk}/")
    total = Presented.objects.filter(sitting=sitting).count()
    assert total > 12
    for _ in range(total):
        judge_the_part(page)
    finish = page.locator("[data-finish]")
    finish.wait_for()
    finish.click()
    page.wait_for_url(re.compile("/result/"), timeout=30_000)
    seen(page, "10-result")
    expect(page.get_by_text(re.compile("passed", re.IGNORECASE)).first).to_be_visible()


def judge_the_part(page: Page) -> None:
    """Judge the part on the page rightly: accept, or reject with place, family and action."""
    part = page.locator("[data-booth]:not([hidden])").last
    sitting = re.search(r"/sittings/([0-9a-f-]{36})/", page.url)
    assert sitting is not None
    ordinal = int(part.get_attribute("data-ordinal") or 0)
    shown = Presented.objects.select_related("decision", "specimen").get(
        sitting=sitting.group(1), ordinal=ordinal
    )
    bench = part.locator("[data-bench]:not([hidden])").first
    if shown.decision.decision == "accept":
        bench.locator("[data-answer=accept]:not([disabled])").click(timeout=10_000)
        return
    bench.locator("[data-answer=reject]:not([disabled])").click(timeout=10_000)
    tap_the_mark(part, shown)
    part.locator("[data-family=black-specks]").click()
    part.locator("[data-action=tag]").click()


def tap_the_mark(part: object, shown: Presented) -> None:
    region = Region.objects.filter(view__specimen=shown.specimen).first()
    assert region is not None
    xs, ys = zip(*region.polygons[0], strict=True)
    pane = part.locator("svg.pane").last  # type: ignore[attr-defined]
    box = pane.bounding_box()
    left, top, width, height = (float(n) for n in pane.get_attribute("viewBox").split())
    scale = min(box["width"] / width, box["height"] / height)
    x = box["width"] / 2 + ((min(xs) + max(xs)) / 2 - left - width / 2) * scale
    y = box["height"] / 2 + ((min(ys) + max(ys)) / 2 - top - height / 2) * scale
    pane.click(position={"x": x, "y": y})


# ----- and back at the office -----


def grant_the_certificate(page: Page) -> None:
    page.goto("/certificates/waiting/")
    page.get_by_role("link", name=re.compile("Decide about Nadia Beltrán")).click()
    seen(page, "11-decide")
    page.get_by_label("Grant", exact=True).check()
    page.locator("[name=secret]").fill(PASSWORD)
    page.get_by_role("button", name="Sign and decide").click()
    page.wait_for_url(lambda url: not re.search(r"/waiting/[0-9a-f]", url))
    assert Person.objects.get(personnel_no="2012").certificates.count() == 1


def carry_over_the_observed_check(page: Page, folder: Path) -> None:
    sheet = plant_files.write_observed_check(folder / "checks.csv", 2012, JOB)
    page.goto("/observed-checks/import/")
    page.locator("input[type=file]").first.set_input_files(sheet)
    page.get_by_role("button", name="Check the file").click()
    page.get_by_role("button", name=re.compile("Write")).click()
    page.get_by_role("link", name="Done").wait_for()


def find_the_name_on_the_matrix(page: Page) -> None:
    page.goto("/matrix/")
    cell = page.get_by_role("button", name=re.compile(f"Nadia Beltrán, {JOB}: runs alone"))
    expect(cell).to_be_visible()
    seen(page, "12-matrix")


def ask_the_press_check(page: Page) -> None:
    page.goto("/press-check/")
    page.get_by_label("Badge").fill("5012")
    page.get_by_label("Job").select_option(JOB)
    page.get_by_role("button", name="Check").click()
    expect(page.get_by_role("heading", name="Yes")).to_be_visible()
    seen(page, "13-yes")
    page.goto("/press-check/")
    page.get_by_label("Badge").fill("5007")
    page.get_by_label("Job").select_option(JOB)
    page.get_by_role("button", name="Check").click()
    expect(page.get_by_role("heading", name="No")).to_be_visible()
    seen(page, "14-no")
