"""What a study's figures say, in the reader's language: for its page and for its sheet of paper."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from training.quizzes.agreement.reading import (
    JudgeReading,
    StudyReading,
)
from training.quizzes.models import StudyJudge
from training.statistics.agreement import (
    Coefficient,
    CohenKappa,
    FleissKappa,
    KappaReading,
    Rate,
    Verdict,
    kappa_reading,
)
from training.statistics.attribute_study import EFFECTIVENESS_FROM, FALSE_ALARM_UP_TO, MISS_UP_TO
from training.statistics.wording import Wording

NBSP = "\N{NO-BREAK SPACE}"
# Signs of the house for the steps of the acceptance table.
SIGNS = {Verdict.ACCEPTABLE: "yes", Verdict.MARGINAL: "due_soon", Verdict.UNACCEPTABLE: "no"}
STEPS = (Verdict.ACCEPTABLE, Verdict.MARGINAL)


def verdict_word(verdict: Verdict | None) -> str:
    words = {
        Verdict.ACCEPTABLE: pgettext("verdict of a study", "acceptable"),
        Verdict.MARGINAL: pgettext("verdict of a study", "marginal"),
        Verdict.UNACCEPTABLE: pgettext("verdict of a study", "unacceptable"),
        None: pgettext("verdict of a study", "no verdict"),
    }
    return words[verdict]


def sign_key(verdict: Verdict | None) -> str:
    return SIGNS[verdict] if verdict is not None else "open"


def reason_words(reason: Wording | None) -> str:
    """Translate the reason an instrument gives for having no figure."""
    return _(reason.pattern) % reason.values if reason is not None else ""


def percent(share: float | None) -> str:
    return "–" if share is None else f"{number_format(round(share * 100), 0)}{NBSP}%"


def rate_words(rate: Rate | None) -> str:
    """Return "45 of 50, 78 to 97 %": the count, its total and the 95 % interval."""
    if rate is None:
        return "–"
    values = {"count": rate.count, "of": rate.of}
    if rate.low is None or rate.high is None:
        return _("%(count)d of %(of)d") % values
    low = number_format(round(rate.low * 100), 0)
    ends = {"low": low, "high": percent(rate.high)}
    return _("%(count)d of %(of)d, %(low)s to %(high)s") % (values | ends)


def two_decimals(value: float | None) -> str:
    # number_format cuts decimals off and does not round.
    return "–" if value is None else str(number_format(round(value, 2), 2))


def cohen_words(kappa: CohenKappa) -> str:
    """Return "0.86 (0.78 to 0.95)", or a dash where kappa is undefined."""
    if kappa.kappa is None or kappa.low is None or kappa.high is None:
        return two_decimals(kappa.kappa)
    return _("%(kappa)s (%(low)s to %(high)s)") % {
        "kappa": two_decimals(kappa.kappa),
        "low": two_decimals(kappa.low),
        "high": two_decimals(kappa.high),
    }


def reading_word(kappa: float | None) -> str:
    if kappa is None:
        return ""
    words = {
        KappaReading.GOOD: pgettext("a kappa", "good to excellent"),
        KappaReading.FAIR: pgettext("a kappa", "fair"),
        KappaReading.POOR: pgettext("a kappa", "poor"),
    }
    return words[kappa_reading(kappa)]


# ---------------------------------------------------------------- people, pairs, everybody


@dataclass(frozen=True)
class PersonRow:
    """One person's figures in words; `person` is empty where only a letter is known."""

    label: str
    person: str
    effectiveness: str
    self_agreement: str
    within: str
    reference: str
    misses: str
    false_alarms: str
    verdict: str
    sign: str
    steps: dict[str, str] = field(default_factory=dict)


def person_rows(read: StudyReading, judges: Sequence[StudyJudge]) -> list[PersonRow]:
    return [_person(own, judge) for own, judge in zip(read.judges, judges, strict=True)]


def _person(own: JudgeReading, judge: StudyJudge) -> PersonRow:
    figures = own.figures
    within: FleissKappa | None = figures.kappa_within
    return PersonRow(
        label=judge.label,
        person=judge.person.name if judge.person else "",
        effectiveness=rate_words(figures.effectiveness),
        self_agreement=rate_words(figures.self_agreement),
        within=two_decimals(within.kappa if within else None),
        reference=cohen_words(figures.kappa_reference),
        misses=rate_words(figures.misses),
        false_alarms=rate_words(figures.false_alarms),
        verdict=verdict_word(figures.verdict),
        sign=sign_key(figures.verdict),
        steps={
            "effectiveness": verdict_word(figures.effectiveness_verdict),
            "misses": verdict_word(figures.miss_verdict),
            "false_alarms": verdict_word(figures.false_alarm_verdict),
        },
    )


def pair_rows(read: StudyReading) -> list[tuple[str, str, str]]:
    """Return each pair, its kappa with interval, and the usual word for it."""
    return [
        (
            f"{pair.first} · {pair.second}",
            cohen_words(pair.kappa),
            reading_word(pair.kappa.kappa),
        )
        for pair in read.figures.pairs
    ]


def all_rows(read: StudyReading) -> list[tuple[str, str, str]]:
    """Return what everybody together came to: label, figure, remark."""
    figures = read.figures
    rows = [
        (
            _("All answers as the reference"),
            rate_words(figures.system),
            _("parts; all people, every time"),
        )
    ]
    if figures.between is not None:
        rows.append((_("All answers alike"), rate_words(figures.between), _("parts")))
    if figures.fleiss is not None:
        remark = reading_word(figures.fleiss.kappa) or reason_words(figures.fleiss.reason)
        rows.append((_("Fleiss' kappa"), two_decimals(figures.fleiss.kappa), remark))
    rows.extend(_coefficient(_("Gwet's AC1"), figures.ac1))
    rows.extend(_coefficient(_("Krippendorff's alpha"), figures.alpha))
    return rows


def _coefficient(label: str, found: Coefficient | None) -> list[tuple[str, str, str]]:
    if found is None:
        return []
    return [(label, two_decimals(found.value), reason_words(found.reason))]


def prevalence_remark(read: StudyReading) -> str:
    """Say why AC1 stands beside kappa, with the share of this study."""
    return _(
        "Kappa sinks when one answer is rare, though people agree as often; AC1 hardly does. Here "
        "%(bad)d of %(parts)d parts are bad. Where the two are far apart, look at the share before the "
        "people."
    ) % {"bad": read.bad, "parts": read.bad + read.good}


def table_of_acceptance() -> list[tuple[str, str, str, str]]:
    """Return the usual acceptance values: what, acceptable, marginal, unacceptable."""
    return [
        _from(_("Effectiveness"), EFFECTIVENESS_FROM),
        _up_to(_("Misses"), MISS_UP_TO),
        _up_to(_("False alarms"), FALSE_ALARM_UP_TO),
    ]


def _from(label: str, least: Mapping[Verdict, float]) -> tuple[str, str, str, str]:
    good, fair = (_hundredths(least[step]) for step in STEPS)
    more = _("%(share)s and more")
    return label, more % good, more % fair, _("below %(share)s") % fair


def _up_to(label: str, most: Mapping[Verdict, float]) -> tuple[str, str, str, str]:
    good, fair = (_hundredths(most[step]) for step in STEPS)
    up_to = _("up to %(share)s")
    return label, up_to % good, up_to % fair, _("over %(share)s") % fair


def _hundredths(value: float) -> dict[str, str]:
    return {"share": percent(value / 100)}


def verdict_sentence(read: StudyReading) -> str:
    """Say in one sentence what the study came to and which figure decided."""
    verdict = read.figures.verdict
    if verdict is None:
        return reason_words(read.figures.reason)
    if verdict is Verdict.ACCEPTABLE:
        return _("Everybody judges acceptably.")
    culprits = []
    for own in read.judges:
        figures = own.figures
        if figures.verdict is not verdict:
            continue
        decided = [
            word
            for word, step in (
                (_("misses"), figures.miss_verdict),
                (_("false alarms"), figures.false_alarm_verdict),
                (_("effectiveness"), figures.effectiveness_verdict),
            )
            if step is verdict
        ]
        culprits.append(f"{figures.name} ({', '.join(decided)})")
    pattern = (
        _("Unacceptable by the worst figure: %(who)s.")
        if verdict is Verdict.UNACCEPTABLE
        else _("Marginal by the worst figure: %(who)s.")
    )
    return pattern % {"who": "; ".join(culprits)}


def finding(read: StudyReading) -> str:
    """Say the figure's finding in numbers, for those who do not see it."""
    disputed = len(read.disputed)
    parts = read.bad + read.good
    said = _("On %(same)d of %(parts)d parts every answer is the reference.") % {
        "same": parts - disputed,
        "parts": parts,
    }
    if not disputed:
        return said
    worst = read.disputed[0]
    return (
        said
        + " "
        + _("Most disputed is part %(part)s: %(against)d of %(of)d answers differ.")
        % {
            "part": worst.label,
            "against": worst.against,
            "of": worst.of,
        }
    )
