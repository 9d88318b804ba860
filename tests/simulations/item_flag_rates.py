"""How often each kind of item gets each flag, by number of answers.

Run: python -m tests.simulations.item_flag_rates > tests/simulations/output/item_flag_rates.txt
"""

from tests.training.statistics.flagged_bank import (
    AMBIGUOUS,
    AT_THE_LIMIT,
    ITEMS,
    LEAKED,
    LEAKS,
    SOUND,
    WRONG,
    WRONG_KEYS,
    flag_rates,
)
from training.statistics.item_flags import Flag

REPS = 200


def main() -> None:
    print(
        f"{ITEMS} items, {WRONG_KEYS} wrong keys, {AT_THE_LIMIT} at the limit, {LEAKED} leaked; "
        f"{REPS} banks a row"
    )
    print("answers  kind       " + "  ".join(f"{flag.value:>17}" for flag in Flag))
    for answered in (15, 30, 60, 150):
        rates = flag_rates(44, answered, REPS)
        for kind in (WRONG, AMBIGUOUS, LEAKS, SOUND):
            shares = "  ".join(f"{rates.get((kind, flag.value), 0.0):17.4f}" for flag in Flag)
            print(f"{answered:7}  {kind:9}  {shares}")


if __name__ == "__main__":
    main()
