"""Rows that repeat a reception already counted: one frame heard once by one station."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from reportgen.match.set_aside import accounts_less
from reportgen.model.accounts import FileAccount

PROBLEM_CODES = (
    ("log/copy-of-frame", "A row repeats a frame that the same station already heard."),
)
CODE = "log/copy-of-frame"
REASON = "copy of a frame that the same station already heard; the stronger reception stands"


def without_copies(receptions: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Split receptions into one per frame and station, and the rest.

    The reception with the highest RSSI stands for the frame; of equals, the earliest row.

    Returns
    -------
    (kept, copies) : tuple of DataFrame
        Both in the order of the input.
    """
    ranked = receptions.sort_values(
        ["rssi_dbm", "file", "line"], ascending=[False, True, True], kind="stable"
    )
    is_copy = ranked.duplicated(["frame", "station"]).reindex(receptions.index)
    return receptions[~is_copy], receptions[is_copy]


def accounts_less_copies(
    accounts: Iterable[FileAccount], copies: pd.DataFrame
) -> tuple[FileAccount, ...]:
    """Return the accounts with copies moved from used to set aside."""
    return accounts_less(accounts, copies, code=CODE, reason=REASON)
