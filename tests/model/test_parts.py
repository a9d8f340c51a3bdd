"""Tables split by a column of texts."""

from __future__ import annotations

import pandas as pd

from reportgen.model.parts import parts_by


def test_rows_are_split_in_the_order_of_their_first_and_keep_order_and_index() -> None:
    table = pd.DataFrame({"walk": ["b", "a", "b", "a", ""], "n": range(5)}, index=[9, 8, 7, 6, 5])

    found = parts_by(table, "walk")

    assert list(found) == ["b", "a", ""]
    assert {key: part["n"].tolist() for key, part in found.items()} == {
        "b": [0, 2],
        "a": [1, 3],
        "": [4],
    }
    assert found["a"].index.tolist() == [8, 6]


def test_rows_that_follow_each_other_share_memory_and_are_never_written_through() -> None:
    table = pd.DataFrame({"walk": ["a", "a", "b"], "n": [1.0, 2.0, 3.0]})

    part = parts_by(table, "walk")["a"]
    part["n"] = 0.0

    assert table["n"].tolist() == [1.0, 2.0, 3.0]


def test_a_table_without_rows_has_no_parts() -> None:
    assert parts_by(pd.DataFrame({"walk": pd.Series([], dtype="str")}), "walk") == {}
