"""Sentences about what a sitting shows, with the risks of its plan, in the reader's language."""

from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from certification.certificates.evidence import Sequel, Showing, Shown
from training.quizzes.risks import family_side_passes
from training.quizzes.worked_plan import Form, WorkedPlan
from training.specimens.models import ReferenceDecision
from training.statistics.bank_ladder import SHORT_RATE_BAD, SHORT_RATE_OK
from training.statistics.group_plan import group_risks
from training.statistics.sampling_plan import acceptance_probability

# Somebody blind in one family misses half of it and, attentive elsewhere, one in a hundred.
BLIND, ATTENTIVE = 0.5, 0.01
OFTEN = 0.20


def percent(share: float) -> str:
    """Write a share of 0 to 1 as whole per cent."""
    return f"{number_format(round(share * 100), 0)}\N{NO-BREAK SPACE}%"


def percent_of_many(chance: float) -> str:
    """Write a high chance; one that rounds to certainty is said to be more than 99 %."""
    if round(chance * 100) >= 100:
        return _("more than %(share)s") % {"share": percent(0.99)}
    return percent(chance)


def in_hundred(chance: float) -> str:
    """Write a chance as persons in a hundred; less than one is said so."""
    whole = round(chance * 100)
    return _("fewer than 1 of 100") if whole < 1 else _("%(n)d of 100") % {"n": whole}


def plan_words(showing: Showing) -> str:
    """Say what passing the whole plan tells apart; nothing where each family has its own plan."""
    plan, rules = showing.plan, showing.rules
    if plan.form is Form.GROUP:
        return _("Group: separates %(ok)s from %(bad)s.") % {
            "ok": percent(rules.p_ok),
            "bad": percent(rules.p_bad),
        }
    if plan.form is Form.SHORT_BANK:
        return _("Short bank: separates %(ok)s from %(bad)s; good for half a year.") % {
            "ok": percent(SHORT_RATE_OK),
            "bad": percent(SHORT_RATE_BAD),
        }
    if plan.own is not None:
        level = _("at the risks of the critical level") if plan.own.critical else ""
        said = _("Accepted by plan: on either side separates %(ok)s from %(bad)s") % {
            "ok": percent(float(plan.p_ok)),
            "bad": percent(float(plan.p_bad)),
        }
        return f"{said}, {level}." if level else f"{said}."
    return ""


def family_words(showing: Showing, slug: str) -> str:
    """Say what passing tells of one family alone."""
    plan = showing.plan
    if plan.own is not None:
        return _("Someone who misses %(rate)s passes in %(chance)s; no rate is given.") % {
            "rate": percent(float(plan.p_bad)),
            "chance": in_hundred(chance_of_passing(plan, slug, float(plan.p_bad))),
        }
    stopped = percent_of_many(1 - chance_of_passing(plan, slug, BLIND))
    said = _("This family alone: someone who misses half is stopped with %(chance)s.") % {
        "chance": stopped
    }
    if plan.group_plan() is None:
        often = in_hundred(chance_of_passing(plan, slug, OFTEN))
        said += " " + _("Someone who misses %(rate)s passes in %(chance)s.") % {
            "rate": percent(OFTEN),
            "chance": often,
        }
    return said


def chance_of_passing(plan: WorkedPlan, slug: str, rate: float) -> float:
    """Return the exact chance that somebody missing this family at a rate is certified for it.

    Under a group plan the other families are missed at 1 %; good parts are left out.
    """
    group = plan.group_plan()
    if group is not None:
        rates = {name: rate if name == slug else ATTENTIVE for name in group.families}
        return group_risks(group, rates).by_family[slug]
    return family_side_passes(plan, slug, rate)


def sequel_words(sequel: Sequel) -> str:
    """Say what the last three sittings of the family show, only where they may be counted."""
    evidence = sequel.evidence
    if not evidence.separates or evidence.risk is None:
        return ""
    return _("Three sittings: %(rate)s passes in %(chance)s.") % {
        "rate": percent(evidence.rate),
        "chance": in_hundred(evidence.risk),
    }


def critical_words(showing: Showing) -> str:
    """Say what the critical block stops; nothing where there was none."""
    block = showing.critical
    if block is None:
        return ""
    return _("Critical block: someone who misses %(rate)s of clear parts passes in %(chance)s.") % {
        "rate": percent(showing.rules.critical_p_bad),
        "chance": in_hundred(acceptance_probability(block.shown, 0, showing.rules.critical_p_bad)),
    }


def share_words(showing: Showing) -> str:
    """Say how many of the parts were bad, because the floor has far fewer."""
    counts = showing.counts
    bad = counts.bad + counts.critical_bad
    return _("Tested at about half bad parts (%(bad)d of %(all)d); the floor has 1 to 5 %%.") % {
        "bad": bad,
        "all": counts.judged,
    }


def shown_words(shown: Shown) -> str:
    """Say how the parts were shown: photographed, drawn by program, in the hand."""
    said = []
    if shown.photographed:
        said.append(
            ngettext("%(n)d photographed part", "%(n)d photographed parts", shown.photographed)
            % {"n": shown.photographed}
        )
    if shown.drawn:
        said.append(
            ngettext("%(n)d part drawn by program", "%(n)d parts drawn by program", shown.drawn)
            % {"n": shown.drawn}
        )
    if shown.physical:
        said.append(
            ngettext("%(n)d part in the hand", "%(n)d parts in the hand", shown.physical)
            % {"n": shown.physical}
        )
    return ", ".join(said)


def panel_words(shown: Shown) -> str:
    """Say what the reference decisions rest on."""
    labels = dict(ReferenceDecision.Basis.choices)
    return ", ".join(f"{number} {labels[basis]}" for basis, number in shown.bases)
