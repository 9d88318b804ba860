"""One person as a measuring instrument: everything that the operator report shows."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from training.floor.models import Family
from training.people.models import Person
from training.quizzes.reports.eyes import PlantEyes
from training.quizzes.reports.meetings import Meeting, rounds_of
from training.quizzes.reports.naming import Grid, action_grid, naming_grid
from training.quizzes.reports.own_eye import (
    Curve,
    OwnEye,
    Point,
    beyond_of,
    curve_of,
    own_eye,
    points_of,
)
from training.quizzes.reports.pace import Paces, Step, paces_of, steps_of
from training.quizzes.reports.tallies import FamilyTally, Rate, family_tally, rate
from training.quizzes.scoring import Outcome
from training.quizzes.selectors.meetings import meetings_of
from training.quizzes.selectors.plant_eyes import plant_eyes
from training.statistics.reference_score import ReferenceScore


@dataclass(frozen=True)
class FamilyReport:
    """What is known of one person's eye for one family."""

    family: Family
    tally: FamilyTally
    eye: OwnEye

    @property
    def urgency(self) -> tuple[bool, int, float, int]:
        """Sort key: too lenient first, then most misses, then the latest line, then most judged."""
        line = self.eye.line
        return (
            self.eye.calls != "lenient",
            -self.tally.missed.errors,
            -(line.value if line else 0.0),
            -self.eye.measured,
        )


@dataclass(frozen=True)
class Report:
    """A person's ended sittings, read as those of a measuring instrument."""

    person: Person
    found: tuple[Meeting, ...]
    families: tuple[FamilyReport, ...]
    group: tuple[Family, ...]
    chosen: FamilyReport | None
    eyes: PlantEyes

    @property
    def score(self) -> ReferenceScore:
        return self.eyes.score_of(self.person.pk)

    @cached_property
    def firsts(self) -> list[Meeting]:
        """First meetings in exams that count."""
        return [each for each in self.found if each.first and each.round.counts]

    @cached_property
    def exams(self) -> int:
        return sum(each.counts for each in rounds_of(self.found))

    @cached_property
    def curve(self) -> Curve | None:
        """The curve of the chosen family, where its line is known."""
        if self.chosen is None or self.chosen.eye.line is None:
            return None
        return curve_of(self.found, self.chosen.family.slug, self.chosen.eye.prior)

    @cached_property
    def points(self) -> list[Point]:
        return points_of(self.found, self.chosen.family.slug) if self.chosen else []

    @cached_property
    def beyond(self) -> tuple[int, int]:
        """Parts of the chosen family too far beyond the limit to be drawn: rejected, judged."""
        return beyond_of(self.found, self.chosen.family.slug) if self.chosen else (0, 0)

    @cached_property
    def naming(self) -> Grid:
        """What parts of the chosen family's group were taken for."""
        return naming_grid(self.firsts, [family.slug for family in self.group])

    @cached_property
    def actions(self) -> Grid:
        return action_grid(self.firsts)

    @cached_property
    def wrong_place(self) -> Rate:
        """Rejected bad parts that were touched at the wrong place, of those that ask for a place."""
        asked = [each for each in self.firsts if each.asks_place and each.reject]
        return rate(sum(each.outcome is Outcome.WRONG_PLACE for each in asked), len(asked))

    @cached_property
    def paces(self) -> Paces:
        return paces_of(self.firsts)

    @cached_property
    def steps(self) -> list[Step]:
        return steps_of(self.found, self.eyes)


def report_of(person: Person, slug: str = "") -> Report | None:
    """Return one person's report, opened at a family; the most urgent one where none is named.

    None for a family that the person was never shown. Costs ten queries, or twenty when an exam
    of anybody has ended since the last report.
    """
    found = meetings_of(person)
    eyes = plant_eyes()
    known = list(Family.objects.select_related("group").order_by("group__position", "position"))
    families = sorted(_families(found, known, eyes), key=lambda each: each.urgency)
    if slug:
        chosen = next((each for each in families if each.family.slug == slug), None)
        if chosen is None:
            return None
    else:
        chosen = families[0] if families else None
    group = [each for each in known if chosen and each.group_id == chosen.family.group_id]
    return Report(person, tuple(found), tuple(families), tuple(group), chosen, eyes)


def own_eyes(person: Person, slugs: Iterable[str]) -> dict[str, OwnEye]:
    """Return where the person draws the line in some families. Costs nine queries or nineteen."""
    found, eyes = meetings_of(person), plant_eyes()
    return {slug: own_eye(found, slug, eyes.prior_of(slug)) for slug in slugs}


def _families(
    found: Sequence[Meeting], known: Iterable[Family], eyes: PlantEyes
) -> Iterable[FamilyReport]:
    asked = {slug for each in rounds_of(found) for slug in each.plan.bad}
    for family in known:
        if family.slug in asked:
            yield FamilyReport(
                family,
                family_tally(found, family.slug),
                own_eye(found, family.slug, eyes.prior_of(family.slug)),
            )
