"""`python -m tests.studies.delivery --campaigns 2000 --seed 5`: prints the table."""

from __future__ import annotations

import argparse
import sys

import numpy as np

from tests.studies.delivery.campaigns import campaign
from tests.studies.delivery.trial import Tally, judge


def study(campaigns: int, seed: int) -> Tally:
    """Return the tally of so many campaigns."""
    tally = Tally()
    for number in range(campaigns):
        judge(campaign(np.random.default_rng([seed, number])), tally)
    return tally


def main() -> None:
    """Print what held, kind by kind."""
    parser = argparse.ArgumentParser(prog="python -m tests.studies.delivery")
    parser.add_argument("--campaigns", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=5)
    asked = parser.parse_args()
    tally = study(asked.campaigns, asked.seed)
    sys.stdout.write("| kind | cases | held, % |\n|---|--:|--:|\n")
    for kind in tally.of:
        share, cases = tally.share(kind), tally.of[kind]
        error = np.sqrt(max(share * (100 - share), 0.0) / cases)
        sys.stdout.write(f"| {kind} | {cases} | {share:.1f} ± {error:.1f} |\n")


if __name__ == "__main__":
    main()
