"""What the operator report says: findings in sentences, facts of the margin, rows of the table."""

from collections.abc import Mapping
from typing import Any

from django.utils.dateformat import format as format_date
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from training.quizzes.report_numbers import between, percent, times
from training.quizzes.reports.naming import ACCEPTED, GOOD
from training.quizzes.reports.own_eye import OwnEye
from training.quizzes.reports.tallies import ExamLine, FamilyTally, Rate
from training.quizzes.selectors.report import FamilyReport, Report
from training.quizzes.words import here
from training.statistics.detection import Detection
from training.statistics.family_evidence import EvidenceReason
from training.statistics.operator_limit import STATE_FROM
from training.statistics.wording import Wording


def spoken(wording: Wording | None) -> str:
    """Say a sentence of an instrument in the reader's language; "" for none."""
    if wording is None:
        return ""
    said = _(wording.pattern)
    return said % wording.values if wording.values else said


def day_of(line: ExamLine) -> str:
    moment = localtime(line.round.opened_at)
    return format_date(moment, pgettext("pattern of a day with its year", "j M Y"))


def eye_words(eye: OwnEye) -> str:
    """Say in one sentence where the eye turns, or why nothing is said of it."""
    if eye.limit.statement is not None:
        return spoken(eye.limit.statement)
    if eye.line is not None:
        said = _("Rejects half of the parts at about %(ratio)s of the limit (%(between)s).") % {
            "ratio": percent(eye.line.value),
            "between": between(eye.line.low, eye.line.high),
        }
        return f"{said} {spoken(eye.limit.reason)}"
    if not eye.measured:
        return _("Severity of this family is not measured, so there is no own limit.")
    said = _("Nothing can be said about the own limit yet.")
    return f"{said} {spoken(eye.limit.reason)}"


def telling_words(eye: OwnEye) -> str:
    """Say how well bad is told from good: what there is to say without an own limit."""
    said = []
    if eye.bad:
        said.append(
            _("%(found)s of %(bad)s bad parts found, %(refused)s of %(good)s good ones rejected.")
            % {"found": eye.found, "bad": eye.bad, "refused": eye.refused, "good": eye.good}
        )
    if eye.detection is not None:
        said.append(detection_words(eye.detection))
    return " ".join(said)


def detection_words(found: Detection) -> str:
    """Say sensitivity and leaning."""
    if found.d_prime is None or found.criterion is None:
        return spoken(found.reason)
    if found.criterion > 0.25:
        leaning = _("leans to accepting")
    elif found.criterion < -0.25:
        leaning = _("leans to rejecting")
    else:
        leaning = _("leans to neither side")
    return _(
        "Telling bad from good: d′ %(d)s (0 is guessing, from 3 on errors are rare); %(leans)s."
    ) % {
        "d": times(found.d_prime, places=1),
        "leans": leaning,
    }


def count_of(errors: int, of: int) -> str:
    """Write "3 of 24"."""
    return _("%(errors)s of %(of)s") % {"errors": errors, "of": of}


def rate_words(found: Rate) -> str:
    """Write "3 of 24, 3 to 32 %"; without an interval only the counts."""
    said = count_of(found.errors, found.of)
    if found.low is None or found.high is None:
        return said
    if not found.errors:
        return _("%(counts)s, at most %(high)s") % {"counts": said, "high": percent(found.high)}
    return f"{said}, {between(found.low, found.high)}"


def facts(report: Report) -> list[dict[str, Any]]:
    """Return the facts of the margin for the family that is shown."""
    rows = [] if report.chosen is None else _tally_facts(report.chosen.tally)
    return [*rows, score_fact(report)]


def _tally_facts(tally: FamilyTally) -> list[dict[str, Any]]:
    if not tally.exams:
        return [{"label": _("Counted"), "value": _("no exam yet"), "note": _("practice only")}]
    rows = [
        {
            "label": _("Missed"),
            "value": tally.missed.errors,
            "note": _of(tally.missed, _("bad")),
            "kind": "big",
        },
        {
            "label": _("False rejects"),
            "value": tally.false_rejects.errors,
            "note": _of(tally.false_rejects, _("good")),
            "kind": "big",
        },
    ]
    if tally.clear.of:
        rows.append(
            {
                "label": _("Critical block"),
                "value": rate_words(tally.clear),
                "note": _("clear parts of this family missed"),
            }
        )
    return [*rows, {"label": _("Counted"), "value": _counted(tally), "note": _how_counted(tally)}]


def _of(found: Rate, word: str) -> str:
    said = _("of %(of)s %(word)s") % {"of": found.of, "word": word}
    if found.low is None or found.high is None:
        return said
    if not found.errors:
        return _("%(counts)s, at most %(high)s") % {"counts": said, "high": percent(found.high)}
    return f"{said}, {between(found.low, found.high)}"


def _counted(tally: FamilyTally) -> str:
    count = len(tally.exams)
    return ngettext("the last exam", "the last %(n)d exams", count) % {"n": count}


def _how_counted(tally: FamilyTally) -> str:
    said = [_("in order, none left out")]
    if tally.sized:
        said.append(_("interval (95 %)"))
    else:
        said.append(_("one ended as soon as it was decided, so no interval is given"))
    if tally.met_before:
        said.append(
            ngettext(
                "%(n)d part met before is left out",
                "%(n)d parts met before are left out",
                tally.met_before,
            )
            % {"n": tally.met_before}
        )
    return "; ".join(said)


def score_fact(report: Report) -> dict[str, Any]:
    """Return the difficulty-adjusted score as a fact, or why there is none."""
    score = report.score
    label = _("Would get right")
    if score.right is None or score.low is None or score.high is None:
        return {"label": label, "value": "–", "note": spoken(score.reason)}
    note = _("of 100 of the plant’s reference specimens, %(low)s to %(high)s") % {
        "low": round(score.low),
        "high": round(score.high),
    }
    return {"label": label, "value": round(score.right), "note": note, "kind": "big"}


def score_words(report: Report) -> str:
    """Say the score as a sentence, what it rests on, and the average."""
    score = report.score
    if score.right is None or score.low is None or score.high is None:
        return _("No score yet. %(why)s") % {"why": spoken(score.reason)}
    said = _(
        "Would get %(right)s of 100 of the plant’s reference specimens right, %(low)s to %(high)s."
    ) % {"right": round(score.right), "low": round(score.low), "high": round(score.high)}
    rests = _(
        "The same for everybody, however hard the parts shown: %(specimens)s specimens, %(bad)s of "
        "them bad, each judged by at least 8 people; %(judgements)s own exam judgements."
    ) % {
        "specimens": report.eyes.specimens,
        "bad": report.eyes.bad,
        "judgements": score.judgements,
    }
    average = ""
    if report.eyes.average is not None:
        average = _("An average eye here gets %(average)s right.") % {
            "average": round(report.eyes.average)
        }
    return " ".join(each for each in (said, rests, average) if each)


def family_rows(report: Report) -> list[dict[str, Any]]:
    """Return a row for each family the person was asked about, the most urgent first."""
    return [_family_row(each, report) for each in report.families]


def _family_row(each: FamilyReport, report: Report) -> dict[str, Any]:
    line, tally = each.eye.line, each.tally
    own = ""
    if line is not None:
        own = _("%(ratio)s × limit (%(low)s to %(high)s)") % {
            "ratio": times(line.value),
            "low": times(line.low),
            "high": times(line.high),
        }
    return {
        "slug": each.family.slug,
        "name": here(each.family.short),
        "current": report.chosen is not None and each.family.pk == report.chosen.family.pk,
        "missed": rate_words(tally.missed) if tally.missed.of else "–",
        "false_rejects": rate_words(tally.own_false_rejects) if tally.own_false_rejects.of else "–",
        "own": own,
        "says": call_words(each.eye),
        "judgements": each.eye.judgements,
    }


def call_words(eye: OwnEye) -> str:
    """Say in few words what the eye does, or why it cannot be said."""
    words: Mapping[str, str] = {
        "strict": _("too strict"),
        "lenient": _("too lenient"),
        "within": _("by the limit"),
        "open": _("not certain either way"),
    }
    if eye.calls:
        return words[eye.calls]
    if eye.line is not None:
        return _("provisional, %(n)s of %(needed)s") % {"n": eye.measured, "needed": STATE_FROM}
    return _("not measured") if not eye.measured else _("no number yet")


def claim_words(tally: FamilyTally) -> str:
    """Say whether the family's own claim may be printed, or why not."""
    evidence = tally.evidence
    counts = {"missed": evidence.missed, "shown": evidence.shown, "allowed": evidence.allowed or 0}
    if evidence.reason is EvidenceReason.TOO_FEW_SHOWN:
        return (
            _("“Misses less than 20 %%” may be printed from 24 bad parts on; %(shown)s were shown.")
            % counts
        )
    if evidence.reason is EvidenceReason.TOO_MANY_MISSED:
        return (
            _(
                "“Misses less than 20 %%” may not be printed: %(missed)s of %(shown)s missed, "
                "%(allowed)s or fewer are wanted."
            )
            % counts
        )
    return _("“Misses less than 20 %%” may be printed: %(missed)s of %(shown)s missed.") % counts


def taken_for(name: str, names: Mapping[str, str]) -> str:
    """Say what a part was taken for: the name of a family, good, or another family."""
    own = {
        ACCEPTED: _("accepted"),
        GOOD: _("good parts"),
        "other": _("another family"),
    }
    return own.get(name) or names.get(name, name)
