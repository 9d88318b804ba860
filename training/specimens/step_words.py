"""The steps of a specimen as its page shows them: words, and the one thing to do next."""

from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from training.specimens.models import PanelItem
from training.specimens.steps import Facts, State, Step, StepRow, Waiting, Why, steps_of

NAMES: Final[dict[Step, Promise]] = {
    Step.PHOTO: gettext_lazy("Photographed"),
    Step.OUTLINE: gettext_lazy("Outlined"),
    Step.RATE: gettext_lazy("Rated"),
    Step.SETTLE: gettext_lazy("Settled"),
    Step.USE: gettext_lazy("In use"),
}
STATUSES: Final = {
    State.DONE: "done",
    State.NEXT: "not_yet",
    State.LATER: "open",
    State.SKIPPED: "open",
}


@dataclass(frozen=True, slots=True)
class StepLine:
    """One step as a line; `url` and `label` are the button of the step that is next."""

    name: str
    status: str
    word: str
    why: str
    url: str = ""
    label: str = ""


def step_lines(pk: UUID, facts: Facts, view: int | None, item: PanelItem | None) -> list[StepLine]:
    """Return the five steps of a specimen; `item` is its place in an open round."""
    return [_line(row, pk, view, item) for row in steps_of(facts)]


def _line(row: StepRow, pk: UUID, view: int | None, item: PanelItem | None) -> StepLine:
    words = {
        State.DONE: _("done"),
        State.NEXT: _("next"),
        State.LATER: _("later"),
        State.SKIPPED: _("not needed"),
    }
    url, label = "", ""
    if row.state is State.NEXT:
        url, label = _button(row, pk, view, item)
    return StepLine(
        name=str(NAMES[row.step]),
        status=STATUSES[row.state],
        word=words[row.state],
        why=why_words(row, item),
        url=url,
        label=label,
    )


def why_words(row: StepRow, item: PanelItem | None = None) -> str:
    """Say why a step is left out or waits."""
    return {
        Why.NONE: "",
        Why.REAL_PART: _("The part itself is judged. Add a view to show it on a tablet too."),
        Why.NO_PICTURE: _("There is no picture to outline it on."),
        Why.WHOLE_PART: _("This family concerns the whole part: no place is asked."),
        Why.GOOD_PART: _("A good part has no mark to outline."),
        Why.NO_NUMBER: _("The limit here is not a number: nothing is measured against it."),
        Why.BY_PEOPLE: _("Decided by people, without measuring."),
        Why.IN_A_ROUND: _("Panel round %(number)s is looking at it.")
        % {"number": item.round.number if item else ""},
        Why.BY_MEASUREMENT: _("Its severity lies clear of the limit: the measurement decides."),
        Why.BY_PANEL: _("No measurement decides it: a panel, or quality with a reason."),
        Why.NEAR: _(
            "Within 5 percent of the limit: a panel may decide it, and it examines nobody."
        ),
    }[row.why]


def _button(row: StepRow, pk: UUID, view: int | None, item: PanelItem | None) -> tuple[str, str]:
    """Return where the step is done, and the words of its button."""
    if row.step is Step.SETTLE:
        return _settling(row, pk, item)
    if row.step is Step.PHOTO or (row.step is Step.OUTLINE and view is None):
        return reverse("specimens:view_add", args=[pk]), _("Add its picture")
    if row.step is Step.OUTLINE:
        return reverse("specimens:outline", args=[pk, view]), _("Outline the mark")
    if row.step is Step.RATE:
        return reverse("specimens:rate", args=[pk]), _("Rate it")
    # The pools stand on the same page.
    return "#pools", _("Put it into a pool")


def _settling(row: StepRow, pk: UUID, item: PanelItem | None) -> tuple[str, str]:
    if item is not None:
        return reverse("specimens:panel_round", args=[item.round_id]), _("To the round")
    if row.why is Why.BY_MEASUREMENT:
        return reverse("specimens:decide", args=[pk]), _("Decide")
    return f"{reverse('specimens:panel_open')}?specimen={pk}", _("To a panel")


@dataclass(frozen=True, slots=True)
class StepCount:
    """How many specimens wait at a step, as words for a link."""

    step: str
    words: str


def step_counts(waiting: Waiting) -> list[StepCount]:
    """Return the steps at which specimens wait, in order: "12 to outline", "4 to rate"."""
    words = {
        Step.PHOTO: lambda n: ngettext("%(n)d to photograph", "%(n)d to photograph", n),
        Step.OUTLINE: lambda n: ngettext("%(n)d to outline", "%(n)d to outline", n),
        Step.RATE: lambda n: ngettext("%(n)d to rate", "%(n)d to rate", n),
        Step.SETTLE: lambda n: ngettext("%(n)d to settle", "%(n)d to settle", n),
        Step.USE: lambda n: ngettext("%(n)d to put into use", "%(n)d to put into use", n),
    }
    return [
        StepCount(step.value, words[step](count) % {"n": count})
        for step, count in waiting.counts.items()
    ]
