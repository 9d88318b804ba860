"""The ladder of the bank on the pages of plans: what stands today, and why another rung does not."""

from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client

from tests.training.quizzes.test_withdrawing_a_plan import review, revise, short
from training.people.models import Person
from training.quizzes.models import ExamPlan

__all__ = ["short"]
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
Sign = Callable[[Person], Client]


class TestLadder:
    """The figures of any plan show the rungs that stand today, and why another does not."""

    @pytest.fixture
    def client(
        self, office: Sign, quality: Person, bank: SimpleNamespace, plans: dict[str, ExamPlan]
    ) -> Client:
        return office(quality)

    def figures(self, client: Client, code: str = "group") -> tuple[dict[str, str], list[str]]:
        """Return the rung of each family of the bank figure, and the table of rungs in cells."""
        page = client.get(f"/plans/{code}/")
        carries = {row["name"]: row["word"] for row in page.context["bank"]["rows"]}
        table = page.text[page.text.index("The four rungs") :]
        table = table[: table.index("</table>")]
        return carries, [" ".join(row.split()) for row in table.split("<tr>")[2:]]

    def test_a_plan_in_force_is_shown_with_what_it_needs(self, client: Client) -> None:
        carries, rows = self.figures(client)
        assert carries["Black specks"] == "short bank"
        assert "8 fresh; draws up to 12; 1 miss allowed of 12" in rows[2]
        assert not any("Withdrawn" in row for row in rows)

    def test_of_a_withdrawn_one_only_when_by_whom_and_why(
        self, client: Client, short: ExamPlan, quality: Person
    ) -> None:
        review(short, quality)
        carries, rows = self.figures(client)
        assert carries["Black specks"] == "only by another plan"
        assert "not in force" in rows[2]
        assert "Withdrawn by the review of 25 Nov 2026, signed by Quentin Quality." in rows[2]
        assert "Why: nobody is examined by it" in rows[2]
        assert "draws up to" not in rows[2]
        # The rung above stands as before.
        assert "in all within the window" in rows[1]

    def test_a_new_revision_brings_the_rung_back(
        self, client: Client, short: ExamPlan, quality: Person
    ) -> None:
        before = self.figures(client)
        review(short, quality)
        revise(short, quality)
        assert self.figures(client) == before

    def test_without_the_group_plan_its_threshold_is_not_drawn(
        self, client: Client, plans: dict[str, ExamPlan], quality: Person
    ) -> None:
        assert "group plan:" in client.get("/plans/short-bank/").text
        review(plans["group"], quality)
        page = client.get("/plans/short-bank/").text
        assert "group plan:" not in page
        assert page.count("Withdrawn by the review") == 1

    def test_what_was_never_published_is_no_rung(self, client: Client, short: ExamPlan) -> None:
        ExamPlan.objects.filter(code="short-bank").delete()
        carries, rows = self.figures(client)
        assert carries["Black specks"] == "only by another plan"
        assert "No plan of this kind is in force." in rows[2]

    def test_a_plan_s_own_page_shows_its_own_rung(
        self, client: Client, plans: dict[str, ExamPlan], short: ExamPlan, quality: Person
    ) -> None:
        review(plans["group"], quality)
        carries, rows = self.figures(client, "short-bank")
        assert carries["Black specks"] == "short bank"
        assert "not in force" in rows[1]

    def test_the_open_page_asks_the_same_ladder(
        self, client: Client, operator: Person, short: ExamPlan, quality: Person
    ) -> None:
        url = f"/sittings/open/?person={operator.personnel_no}&family=black-specks"

        def rung() -> str:
            groups = client.get(url).context["groups"]
            return next(row["rung_word"] for g in groups for row in g["rows"])

        assert rung() == "Short-bank plan"
        review(short, quality)
        assert rung() == "Only by another plan"
