"""`python -m tests.studies.camera_clock --campaigns 2000 --seed 7 --jobs 2`: prints the table."""

from __future__ import annotations

import argparse
import sys
from concurrent.futures import ProcessPoolExecutor
from functools import partial

from tests.studies.camera_clock.trial import table, verdict


def main() -> None:
    """Print what holds, kind by kind."""
    parser = argparse.ArgumentParser(prog="python -m tests.studies.camera_clock")
    for name, default in (("--campaigns", 2000), ("--seed", 7), ("--jobs", 1)):
        parser.add_argument(name, type=int, default=default)
    asked = parser.parse_args()
    with ProcessPoolExecutor(asked.jobs) as pool:
        made = pool.map(partial(verdict, asked.seed), range(asked.campaigns), chunksize=10)
        sys.stdout.write(table(made) + "\n")


if __name__ == "__main__":
    main()
