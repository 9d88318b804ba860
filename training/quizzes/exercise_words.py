"""What the pages of exercises show: parts side by side or along a ladder, and what was said of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from django.urls import reverse
from django.utils.translation import gettext as _

from training.quizzes.booth_words import frame_urls, job_words, pane_of, under_words
from training.quizzes.exercises import Exercise, Step
from training.quizzes.models import Presented, Sitting
from training.quizzes.outlines import bounds, frame_path
from training.quizzes.selectors.booth import BoothPart
from training.quizzes.selectors.exercises import StepResult
from training.quizzes.selectors.progress import REJECT
from training.quizzes.words import here, short_number
from training.specimens.limit_captions import UNIT_SIGNS, LimitWords
from training.specimens.models import SpecimenSet
from training.statistics.proportions import clopper_pearson

NAMES: Final = ("1", "2")


def exercise_name(exercise: str) -> str:
    return {
        Exercise.CONTRAST: _("Contrasts"),
        Exercise.LOOK_ALIKE: _("Look-alikes"),
        Exercise.FIND_LIMIT: _("Find the limit"),
    }[Exercise(exercise)]


# ---------- asking ----------


def ask_context(
    sitting: Sitting,
    exercise: Exercise,
    step: Step,
    parts: Sequence[BoothPart],
    presented: Sequence[Presented],
) -> dict[str, Any]:
    """Return what a step's page shows before it is answered: nothing that tells what a part is."""
    parts = own_limits(exercise, parts, presented)
    first = parts[0]
    context: dict[str, Any] = {
        "job": job_words(first),
        "zone": first.zone,
        "limits": _limits(parts),
        "under": under_words(first),
        "rungs": len(parts),
        "named": ", ".join(_in_plant_order(sitting, presented)),
    }
    if exercise is Exercise.FIND_LIMIT:
        return context | {"ladder": _ladder_panes(sitting, step, parts)}
    return context | {
        "benches": _pair_panes(sitting, parts),
        "question": _question(exercise),
        "choices": _choices(exercise, presented, sitting),
    }


def own_limits(
    exercise: Exercise, parts: Sequence[BoothPart], presented: Sequence[Presented]
) -> list[BoothPart]:
    """Return the parts with the limits of their own families; to tell two apart none is needed."""
    slugs = {each.specimen.family.slug for each in presented}
    if exercise is Exercise.LOOK_ALIKE:
        slugs = set()
    return [
        replace(part, limits=tuple(each for each in part.limits if each.family in slugs))
        for part in parts
    ]


def _limits(parts: Sequence[BoothPart]) -> list[LimitWords]:
    limits = {limit.family: limit for part in parts for limit in part.limits if limit.value}
    return list(limits.values())


def _question(exercise: Exercise) -> str:
    if exercise is Exercise.LOOK_ALIKE:
        return _("Two marks that get mixed up. Which is which?")
    return _("One of the two is over the limit. Which one?")


def _choices(
    exercise: Exercise, presented: Sequence[Presented], sitting: Sitting
) -> list[dict[str, str]]:
    if exercise is Exercise.CONTRAST:
        return [{"value": name, "words": _("Reject %(n)s") % {"n": name}} for name in NAMES]
    first, second = _in_plant_order(sitting, presented)
    return [
        {"value": NAMES[0], "words": f"1 {first}", "more": f"2 {second}"},
        {"value": NAMES[1], "words": f"1 {second}", "more": f"2 {first}"},
    ]


def _in_plant_order(sitting: Sitting, presented: Sequence[Presented]) -> list[str]:
    """Return the families' names in the order of the plant, so that their order tells nothing."""
    families = {each.specimen.family.slug: each.specimen.family for each in presented}
    return [here(families[slug].short) for slug in sitting.families if slug in families]


def _pair_panes(sitting: Sitting, parts: Sequence[BoothPart]) -> list[dict[str, Any]]:
    """Return a bench for each view, the closest first: there two sizes can be told apart."""
    benches = []
    for place in reversed(range(min(len(part.views) for part in parts))):
        panes = [
            pane_of(
                part.views[place],
                key="part",
                title=name,
                note="",
                label=_("Part %(n)s") % {"n": name},
                urls=frame_urls(sitting, part.ordinal, part.views[place], "frame"),
                limits=part.limits,
            )
            for name, part in zip(NAMES, parts, strict=True)
        ]
        benches.append({"panes": panes, "tilts": len(parts[0].views[place].frames) > 1})
    return benches


def _ladder_panes(sitting: Sitting, step: Step, parts: Sequence[BoothPart]) -> list[dict[str, Any]]:
    """Return a bench for each view, whose frames are the rungs: moving along is turning pictures."""
    benches = []
    for place in reversed(range(min(len(part.views) for part in parts))):
        urls = []
        for part in parts:
            rung = frame_urls(sitting, part.ordinal, part.views[place], "frame")
            urls.append(rung[len(rung) // 2])
        pane = pane_of(
            parts[step.start].views[place],
            key="part",
            title=_("The same part"),
            note="",
            label=_("A rung of the ladder"),
            urls=urls,
            limits=parts[step.start].limits,
            shown=step.start,
        )
        benches.append({"pane": pane, "urls": urls})
    return benches


# ---------- what a pair came to ----------


def pair_context(
    sitting: Sitting,
    exercise: Exercise,
    result: StepResult,
    made: SpecimenSet | None,
    parts: Sequence[BoothPart],
) -> dict[str, Any]:
    """Return what is shown of an answered pair: both outlined, what was said, what is so."""
    parts = own_limits(exercise, parts, result.presented)
    measured = [
        measured_of(part, presented)
        for part, presented in zip(parts, result.presented, strict=True)
    ]
    return {
        "job": job_words(parts[0]),
        "panes": _told_panes(sitting, exercise, result, parts, measured),
        "said": _said(exercise, result),
        "truth": _truth(exercise, result),
        "told": result.told,
        "rulers": [
            {"name": name, **each}
            for name, each in zip(NAMES, measured, strict=True)
            if each["limit"] is not None and each["value"] is not None
        ],
        "verdict": _pair_verdict(exercise, result, measured),
        "difference": here(made.difference) if made else "",
        "families": _own_families(result.presented),
        "alike": exercise is Exercise.LOOK_ALIKE,
    }


def measured_of(part: BoothPart, presented: Presented) -> dict[str, Any]:
    """Return severity and limit of a part in one unit, None where either is no such number."""
    specimen = presented.specimen
    for words in part.limits:
        if words.family == specimen.family.slug and words.size and words.unit:
            unit = UNIT_SIGNS.get(words.unit, words.unit)  # type: ignore[call-overload]
            if specimen.severity is None or specimen.unit == words.unit:
                value = round(float(specimen.severity or 0), 2)
                return {"limit": words.size, "value": value, "unit": unit}
    return {"limit": None, "value": None, "unit": ""}


def _told_panes(
    sitting: Sitting,
    exercise: Exercise,
    result: StepResult,
    parts: Sequence[BoothPart],
    measured: Sequence[Mapping[str, Any]],
) -> list[dict[str, Any]]:
    place = min(len(part.views) for part in parts) - 1
    if place < 0:
        return []
    outlines = [outlines_of(presented, place) for presented in result.presented]
    around = bounds([polygon for each in outlines for polygon in each])
    panes = []
    for name, part, presented, outline, size in zip(
        NAMES, parts, result.presented, outlines, measured, strict=True
    ):
        note = here(presented.specimen.family.short)
        if exercise is Exercise.CONTRAST and size["value"] is not None:
            note = f"{short_number(size['value'])} {size['unit']}"
        pane = pane_of(
            part.views[place],
            key="part",
            title=name,
            note=note,
            label=_("Part %(n)s, the place outlined") % {"n": name},
            urls=frame_urls(sitting, part.ordinal, part.views[place], "frame"),
            limits=part.limits if exercise is Exercise.CONTRAST else (),
            # Of look-alikes each lies elsewhere; a contrast is looked at in the same place.
            around=around if exercise is Exercise.CONTRAST else bounds(outline),
        )
        panes.append(pane | {"region": frame_path(outline), "region_shown": True})
    return panes


def outlines_of(presented: Presented, place: int) -> list[list[list[float]]]:
    views = list(presented.specimen.views.all())
    regions = views[place].regions.all() if place < len(views) else ()
    return [polygon for region in regions for polygon in region.polygons]


def _said(exercise: Exercise, result: StepResult) -> str:
    if exercise is Exercise.CONTRAST:
        answers = [judgement.answer for judgement in result.judgements]
        return _("Reject %(n)s") % {"n": NAMES[answers.index(REJECT)]}
    return _pair_of_names([here(each.family.short) for each in result.judgements if each.family])


def _truth(exercise: Exercise, result: StepResult) -> str:
    if exercise is Exercise.CONTRAST:
        decided = [presented.decision.decision for presented in result.presented]
        return _("Reject %(n)s") % {"n": NAMES[decided.index(REJECT)]}
    return _pair_of_names([here(each.specimen.family.short) for each in result.presented])


def _pair_of_names(names: Sequence[str]) -> str:
    return " · ".join(f"{place} {name}" for place, name in zip(NAMES, names, strict=False))


def _pair_verdict(
    exercise: Exercise, result: StepResult, measured: Sequence[Mapping[str, Any]]
) -> str:
    if exercise is Exercise.LOOK_ALIKE:
        return _pair_of_names([here(each.specimen.family.name) for each in result.presented])
    for name, presented, size in zip(NAMES, result.presented, measured, strict=True):
        if presented.decision.decision == REJECT and size["value"] and size["limit"]:
            return _("%(n)s is %(by)s %(unit)s over the limit.") % {
                "n": name,
                "by": short_number(size["value"] - size["limit"]),
                "unit": size["unit"],
            }
    return ""


def _own_families(presented: Sequence[Presented]) -> list[dict[str, str]]:
    families = {each.specimen.family.slug: each.specimen.family for each in presented}
    return [{"slug": slug, "name": here(family.short)} for slug, family in families.items()]


# ---------- how the whole exercise went ----------


@dataclass(frozen=True, slots=True)
class PairRow:
    """One pair in the summary: what it was, whether it was told, and where it is looked at again."""

    number: int
    names: str
    told: bool
    url: str


def summary_context(sitting: Sitting, results: Mapping[int, StepResult]) -> dict[str, Any]:
    """Return the pairs told of those shown, with the exact interval of the share."""
    told, n = sum(each.told for each in results.values()), len(results)
    interval = clopper_pearson(told, n) if n else None
    return {
        "told": told,
        "of": n,
        "low": interval.low if interval else None,
        "high": interval.high if interval else None,
        "pairs": [
            PairRow(
                number,
                ", ".join(each["name"] for each in _own_families(result.presented)),
                result.told,
                reverse("quizzes:exercise_step", args=[sitting.pk, number]),
            )
            for number, result in results.items()
        ],
    }
