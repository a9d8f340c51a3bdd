"""Run the study: `python -m tests.studies.distance_law --campaigns 2000 --jobs 2`."""

from __future__ import annotations

import argparse
import sys
from concurrent.futures import ProcessPoolExecutor
from functools import partial

from tests.studies.distance_law.campaigns import SHADOW_LENGTH_M
from tests.studies.distance_law.table import report
from tests.studies.distance_law.trial import Trial, trial

EXTRAS = (
    ("independent shadows, unlike real ground", 0.0),
    ("shadows twice as long, 80 m", 80.0),
)


def trials(seed: int, campaigns: int, jobs: int, shadow_length_m: float) -> list[Trial]:
    """Return the outcomes of numbered campaigns."""
    one = partial(trial, seed, shadow_length_m=shadow_length_m)
    if jobs == 1:
        return [one(number) for number in range(campaigns)]
    with ProcessPoolExecutor(jobs) as pool:
        return list(pool.map(one, range(campaigns), chunksize=10))


def main() -> None:
    """Print the study's tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--campaigns", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    chosen = parser.parse_args()
    outcomes = [
        trials(chosen.seed, chosen.campaigns, chosen.jobs, length_m)
        for length_m in (SHADOW_LENGTH_M, *(length_m for _, length_m in EXTRAS))
    ]
    extras = [(name, others) for (name, _), others in zip(EXTRAS, outcomes[1:], strict=True)]
    sys.stdout.write(report(outcomes[0], extras) + "\n")


if __name__ == "__main__":
    main()
