"""Tables split by what their rows are of, in one pass over the names."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray


def parts_by(table: pd.DataFrame, column: str) -> dict[str, pd.DataFrame]:
    """Return the rows of each value of a text column, in the order of their first rows.

    Rows keep order and index. To compare a long column with one name after the other takes longer.
    """
    codes, names = pd.factorize(table[column])
    order = np.argsort(codes, kind="stable")
    ends = np.searchsorted(codes[order], np.arange(len(names) + 1))
    return {
        str(name): _rows_at(table, order[ends[number] : ends[number + 1]])
        for number, name in enumerate(names)
    }


def _rows_at(table: pd.DataFrame, places: NDArray[np.intp]) -> pd.DataFrame:
    """Return rows by place, ascending; those that follow each other share the table's memory."""
    is_run = places.size > 0 and places[-1] - places[0] + 1 == places.size
    return table.iloc[places[0] : places[-1] + 1] if is_run else table.iloc[places]
