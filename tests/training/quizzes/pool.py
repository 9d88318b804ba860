"""Candidates for the tests of the draw."""

from training.quizzes.drawing import Candidate

BAD_RATIOS = (1.1, 1.2, 1.4, 1.6, 1.9, 2.3, 3.0)
GOOD_RATIOS = (0.6, 0.7, 0.85, None, None, 0.1, 0.3)


def family_pool(
    family: str, *, bad: int = 24, good: int = 14, own: int = 100, **more: object
) -> list[Candidate]:
    """Make specimens of a family over all strata; the first `own` per cent are from own jobs."""
    made = []
    for kind, count, ratios in (("b", bad, BAD_RATIOS), ("g", good, GOOD_RATIOS)):
        for place in range(count):
            ratio = ratios[place % len(ratios)]
            made.append(
                Candidate(
                    key=f"{family}-{kind}{place:03d}",
                    family=family,
                    bad=kind == "b",
                    ratio=ratio,
                    clear=kind == "b" and (ratio or 0) >= 1.5,
                    own_job=place * 100 < own * count,
                    **more,  # type: ignore[arg-type]
                )
            )
    return made


def group_pool(families: list[str], **more: object) -> list[Candidate]:
    return [each for family in families for each in family_pool(family, **more)]  # type: ignore[arg-type]
