"""`python -m tests.studies.delivery --campaigns 2000 --seed 5 --jobs 2`: prints the table."""

from __future__ import annotations

import argparse
import sys
from concurrent.futures import ProcessPoolExecutor
from functools import partial

import numpy as np

from tests.studies.delivery.campaigns import campaign
from tests.studies.delivery.trial import Tally, judge


def judged(seed: int, number: int) -> Tally:
    """Return what holds in one numbered campaign."""
    return judge(campaign(np.random.default_rng([seed, number])))


def study(campaigns: int, seed: int, jobs: int = 1) -> Tally:
    """Return the tally of so many campaigns."""
    tally = Tally()
    one = partial(judged, seed)
    if jobs == 1:
        for number in range(campaigns):
            tally.join(one(number))
        return tally
    with ProcessPoolExecutor(jobs) as pool:
        for part in pool.map(one, range(campaigns), chunksize=10):
            tally.join(part)
    return tally


def report(tally: Tally) -> str:
    """Return the table of a tally, and the effects met."""
    lines = ["| kind | cases | held, % |", "|---|--:|--:|"]
    for kind in sorted(tally.of):
        share, cases = tally.share(kind), tally.of[kind]
        error = np.sqrt(share * (100.0 - share) / cases)
        lines.append(f"| {kind} | {cases} | {share:.1f} ± {error:.1f} |")
    known = np.array(tally.effects)[np.isfinite(tally.effects)]
    half, most, nearly_all = np.quantile(known, (0.5, 0.75, 0.9))
    lines += ["", f"Design effects: half below {half:.2f}, three quarters below {most:.2f},"]
    lines += [f"nine tenths below {nearly_all:.2f}."]
    return "\n".join(lines)


def main() -> None:
    """Print what held, kind by kind."""
    parser = argparse.ArgumentParser(prog="python -m tests.studies.delivery")
    parser.add_argument("--campaigns", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=5)
    parser.add_argument("--jobs", type=int, default=1)
    asked = parser.parse_args()
    tally = study(asked.campaigns, asked.seed, asked.jobs)
    sys.stdout.write(report(tally) + "\n")


if __name__ == "__main__":
    main()
