"""The study's figures as a table."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from tests.studies.comparison.designs import SCENARIOS, Outcome

HEADINGS = (
    "design",
    "quantity",
    "true difference [dB]",
    "days differ by [dB]",
    "with interval",
    "truth held",
    "0 left out",
    "mean error",
    "median width",
    "median detectable",
)


def markdown(outcomes: Iterable[Outcome], campaigns: int) -> str:
    """Return the table in Markdown; shares with the binomial standard error."""
    rows = list(outcomes)
    designs = dict.fromkeys((row.design, row.quantity) for row in rows)
    lines = [_line(HEADINGS), _line(["---"] * len(HEADINGS))]
    for difference_db, days_db in SCENARIOS:
        for design, quantity in designs:
            found = [
                row
                for row in rows
                if (row.design, row.quantity, row.difference_db, row.days_db)
                == (design, quantity, difference_db, days_db)
            ]
            texts = [design, quantity, f"{difference_db:g}", f"{days_db:g}"]
            lines.append(_line([*texts, *_figures(found, campaigns)]))
    return "\n".join(lines)


def _figures(rows: list[Outcome], campaigns: int) -> list[str]:
    with_interval = [row for row in rows if row.has_interval]
    digits = 2 if rows[0].quantity == "signal" else 3
    if not with_interval:
        return [f"0 of {campaigns}", *["-"] * 5]
    return [
        f"{len(with_interval)} of {campaigns}",
        _share([row.is_held for row in with_interval]),
        _share([row.is_apart for row in with_interval]),
        f"{np.mean([row.error for row in with_interval]):.{digits}f}",
        f"{np.median([row.width for row in with_interval]):.{digits}f}",
        f"{np.median([row.detectable for row in with_interval]):.{digits}f}",
    ]


def _share(claims: list[bool]) -> str:
    share = float(np.mean(claims))
    return f"{100 * share:.1f} ± {100 * np.sqrt(share * (1.0 - share) / len(claims)):.1f} %"


def _line(texts: Iterable[str]) -> str:
    return f"| {' | '.join(texts)} |"
