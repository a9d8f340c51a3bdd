"""Print how often intervals of compared walks hold the truth."""

from __future__ import annotations

import argparse
from functools import partial
from multiprocessing import get_context

from tests.studies.comparison.designs import outcomes
from tests.studies.comparison.table import markdown


def main() -> None:
    """Simulate campaigns and print the table."""
    parser = argparse.ArgumentParser(prog="tests.studies.comparison", description=__doc__)
    parser.add_argument("--campaigns", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    given = parser.parse_args()
    numbers = range(given.campaigns)
    with get_context("spawn").Pool(given.jobs) as pool:
        found = pool.map(partial(outcomes, given.seed), numbers, chunksize=5)
    rows = (row for campaign in found for row in campaign)
    print(markdown(rows, given.campaigns))  # noqa: T201 - it is what the command is for


if __name__ == "__main__":
    main()
