from __future__ import annotations

import pandas as pd

from reportgen.match.copies import accounts_less_copies, without_copies
from reportgen.model.accounts import FileAccount


def receptions() -> pd.DataFrame:
    return pd.DataFrame(
        {
            "frame": [0, 0, 0, 1],
            "station": ["a", "a", "b", "a"],
            "rssi_dbm": [-90.0, -80.0, -95.0, -70.0],
            "walk": "loop",
            "file": "log.csv",
            "line": [2, 3, 4, 5],
        }
    )


def test_the_stronger_copy_of_a_frame_stands() -> None:
    """A station can report one frame twice, on its channel and faintly on the next."""
    kept, copies = without_copies(receptions())

    assert list(kept["line"]) == [3, 4, 5]
    assert list(copies["line"]) == [2]


def test_the_account_still_adds_up_when_copies_move() -> None:
    _, copies = without_copies(receptions())
    account = FileAccount(path="log.csv", walk="loop", unit="rows", read=4, used=4)

    (moved,) = accounts_less_copies([account], copies)

    assert (moved.read, moved.used, moved.set_aside_count) == (4, 3, 1)
    assert moved.set_aside[0].lines == (2,)
    assert not moved.set_aside[0].is_fault
