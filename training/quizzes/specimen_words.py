"""Specimen statistics in the reader's words: difficulty, doubts and what to do about them."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.quizzes.selectors.specimen_statistics import SpecimenLine
from training.quizzes.specimen_figures import BankFigures, Doubt, SpecimenFigures
from training.quizzes.words import short_number
from training.specimens.models import Pool
from training.statistics.item_difficulty import BAND_FROM, Band, Precision
from training.statistics.proportions import Interval, clopper_pearson
from training.statistics.wording import Wording

DOUBT_WORDS: Final[dict[Doubt, Promise]] = {
    Doubt.CHECK_KEY: gettext_lazy("Check the key"),
    Doubt.TOO_CLOSE: gettext_lazy("Too close to call"),
    Doubt.PANEL: gettext_lazy("Panel disagrees"),
    Doubt.PERHAPS_KNOWN: gettext_lazy("Perhaps known"),
}
# The look's status whose shape each doubt carries.
DOUBT_STATUS: Final[dict[Doubt, str]] = {
    Doubt.CHECK_KEY: "differs",
    Doubt.TOO_CLOSE: "due_soon",
    Doubt.PANEL: "due_soon",
    Doubt.PERHAPS_KNOWN: "due_soon",
}
BAND_WORDS: Final[dict[Band, Promise]] = {
    Band.EASY: gettext_lazy("easy"),
    Band.MEDIUM: gettext_lazy("medium"),
    Band.HARD: gettext_lazy("hard"),
}
TO_DO: Final[dict[Doubt, Promise]] = {
    Doubt.CHECK_KEY: gettext_lazy(
        "Withdraw it from exams and let the panel look again. Nothing is re-keyed by itself."
    ),
    Doubt.TOO_CLOSE: gettext_lazy("Keep it for training: it examines luck, not eyes."),
    Doubt.PANEL: gettext_lazy("Withdraw it and settle it with the panel first."),
    Doubt.PERHAPS_KNOWN: gettext_lazy(
        "Retire it, and ask how it became known: a fixed tray, a photo, a talk at the press."
    ),
}
STEPS: Final[dict[Doubt, tuple[str, str, Promise]]] = {
    Doubt.CHECK_KEY: ("move", Pool.NEITHER, gettext_lazy("Withdraw from exams")),
    Doubt.TOO_CLOSE: ("move", Pool.TEACHING, gettext_lazy("Training only")),
    Doubt.PANEL: ("move", Pool.NEITHER, gettext_lazy("Withdraw from exams")),
    Doubt.PERHAPS_KNOWN: ("retire", "", gettext_lazy("Retire")),
}


@dataclass(frozen=True, slots=True)
class Step:
    """The one step a doubt asks for: `kind` is move or retire, `pool` where it is moved to."""

    kind: str
    pool: str
    label: str


@dataclass(frozen=True, slots=True)
class DoubtRow:
    """A doubt in words: what, why in numbers, what to do, and the step while it is open."""

    key: str
    status: str
    word: str
    why: str
    what: str
    step: Step | None


@dataclass(frozen=True, slots=True)
class LineRow:
    """A line of the list with its words."""

    line: SpecimenLine
    ratio: str
    pool: str
    right: str
    rank: str
    doubts: tuple[DoubtRow, ...]


def said(reason: Wording | None) -> str:
    """Return a sentence of the instruments in the reader's language."""
    if reason is None:
        return ""
    return _(reason.pattern) % reason.values if reason.values else _(reason.pattern)


def line_rows(lines: Iterable[SpecimenLine], bank: BankFigures) -> list[LineRow]:
    return [
        LineRow(
            line=line,
            ratio="" if line.ratio is None else short_number(float(line.ratio)),
            pool=pool_words(line),
            right=right_words(line.figures),
            rank=rank_words(line.figures, bank),
            doubts=doubt_rows(line),
        )
        for line in lines
    ]


def pool_words(line: SpecimenLine) -> str:
    if line.retired_day is not None:
        return _("out of use")
    return str(Pool(line.pool).label)


def right_words(figures: SpecimenFigures) -> str:
    """Say how often a specimen is answered right, as far as its answers allow."""
    if Doubt.CHECK_KEY in figures.doubts:
        return _("key in doubt")
    if figures.precision is Precision.TOO_FEW or figures.proportion is None:
        return _("not enough answers (%(n)d of %(needed)d)") % {
            "n": figures.answered,
            "needed": BAND_FROM,
        }
    between = _("%(low)d to %(high)d %%") % _whole(figures)
    if figures.precision is Precision.BAND and figures.band is not None:
        return f"{BAND_WORDS[figures.band]}, {between}"
    return _("%(share)d %%, %(between)s") % {
        "share": round(100 * figures.proportion),
        "between": between,
    }


def _whole(figures: SpecimenFigures) -> dict[str, int]:
    return {"low": round(100 * (figures.low or 0)), "high": round(100 * (figures.high or 0))}


def rank_words(figures: SpecimenFigures, bank: BankFigures) -> str:
    """Say the place among those that can be ranked, 1 for the hardest; or why there is none."""
    if figures.rank is not None:
        return _("%(rank)d of %(ranked)d") % {"rank": figures.rank, "ranked": bank.ranked}
    if figures.precision is Precision.RANK and bank.not_linked is not None:
        return _("not linked")
    return ""


def doubt_rows(line: SpecimenLine) -> tuple[DoubtRow, ...]:
    return tuple(
        DoubtRow(
            key=doubt.value,
            status=DOUBT_STATUS[doubt],
            word=str(DOUBT_WORDS[doubt]),
            why=why_doubted(doubt, line.figures),
            what=str(TO_DO[doubt]),
            step=_step(doubt) if line.to_do else None,
        )
        for doubt in line.figures.doubts
    )


def _step(doubt: Doubt) -> Step:
    kind, pool, label = STEPS[doubt]
    return Step(kind, str(pool), str(label))


def why_doubted(doubt: Doubt, figures: SpecimenFigures) -> str:
    """Say in one sentence, with its numbers, why a specimen is doubted."""
    counts = {"right": figures.right, "n": figures.answered}
    if doubt is Doubt.CHECK_KEY:
        return _(
            "Only %(right)d of %(n)d answers agree with the key; fewer than half would in the "
            "long run, with a probability of %(p)s %%."
        ) % {**counts, "p": _percent(figures.p_wrong_key)}
    if doubt is Doubt.TOO_CLOSE:
        return _(
            "%(right)d of %(n)d answers agree with the key; fewer than 65 %% would in the long "
            "run, with a probability of %(p)s %%."
        ) % {**counts, "p": _percent(figures.p_too_close)}
    if doubt is Doubt.PANEL and figures.panel is not None:
        return _("%(agree)d of %(of)d verdicts of the panel stand behind the key.") % {
            "agree": figures.panel[0],
            "of": figures.panel[1],
        }
    windows = figures.windows
    if windows is None or figures.drift_z is None:
        return ""
    return _(
        "%(right0)d of %(n0)d right before, %(right1)d of %(n1)d since: easier by %(z)s standard "
        "errors."
    ) % {
        "right0": windows.earlier_right,
        "n0": windows.earlier,
        "right1": windows.recent_right,
        "n1": windows.recent,
        "z": short_number(round(figures.drift_z, 1)),
    }


def _percent(probability: float | None) -> str:
    """Round down, so that 99.7 % is not shown as certainty."""
    return f"{min(99, int(100 * (probability or 0)))}"


def counts_interval(figures: SpecimenFigures) -> Interval | None:
    """Return the exact interval of the plain proportion right; None without answers."""
    return clopper_pearson(figures.right, figures.answered) if figures.answered else None
