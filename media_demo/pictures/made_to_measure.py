"""A mark made so that it measures what was asked: made, measured, and made again where it misses."""

from dataclasses import dataclass

import numpy as np

from media_demo.pictures.fields import Fields
from media_demo.pictures.marks import Mark
from media_demo.pictures.plans import Plan

# Nearer than the demo holds from a limit, after a few times; some marks end where the part does.
CLOSE, TIMES = 0.02, 3
# One step may change what is asked for by this factor, all steps together by its square.
STEP = 1.5


@dataclass(frozen=True)
class Made:
    """A mark, and what the family was asked for to make it."""

    mark: Mark
    drawn: float


def make_mark(plan: Plan, part: Fields) -> Made | None:
    """Make the plan's mark on a good part, which remembers how it was before.

    Where the plan does not say yet what to ask the family for, that is found here. A mark that
    the picture cuts off cannot be measured and is made as asked.
    """
    if plan.family is None or plan.site is None:
        return None
    part.record()
    if plan.drawn is not None:
        return _made(plan, part, plan.drawn)
    made = best = _made(plan, part, plan.severity)
    for _ in range(TIMES):
        if _missed(plan, made) <= CLOSE or cut_off(made.mark, part):
            break
        before = made.mark.severity
        asked = made.drawn * float(np.clip(plan.severity / before, 1 / STEP, STEP))
        if not 1 / STEP**2 <= asked / plan.severity <= STEP**2:
            break
        _undo(part)
        made = _made(plan, part, asked)
        if _missed(plan, made) < _missed(plan, best):
            best = made
        elif made.mark.severity == before:
            break
    if made is not best:
        _undo(part)
        made = _made(plan, part, best.drawn)
    return made


def cut_off(mark: Mark, part: Fields) -> bool:
    """Whether a mark reaches the rim of what is laid out of the part."""
    rows, cols = mark.block
    mask, (height, width) = mark.mask, part.height.shape
    if mask.size == 0:
        return True
    return bool(
        (rows.start <= 0 and mask[0].any())
        or (rows.stop >= height and mask[-1].any())
        or (cols.start <= 0 and mask[:, 0].any())
        or (cols.stop >= width and mask[:, -1].any())
    )


def _made(plan: Plan, part: Fields, asked: float) -> Made:
    family, site = plan.family, plan.site
    if family is None or site is None:
        raise ValueError("a plan without a family makes no mark")
    return Made(family.make(part, plan.side, site, asked, plan.mark_rng), asked)


def _missed(plan: Plan, made: Made) -> float:
    """By what share of what was asked a mark misses it; 0 where nothing can be measured."""
    if made.mark.severity <= 0 or plan.severity <= 0:
        return 0.0
    return abs(made.mark.severity / plan.severity - 1)


def _undo(part: Fields) -> None:
    """Give the part back what it was before its mark; a good part neither lifts nor wears a film."""
    for saved in reversed(part.journal or []):
        saved.give_back(part)
    part.lift = part.sheet = None
    part.record()
