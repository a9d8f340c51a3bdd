"""Places where nobody was: track points are set aside, rows of a log lose such a place."""

from __future__ import annotations

import numpy as np
import pandas as pd

from reportgen.compute.track_jumps import is_out_of_place
from reportgen.errors import Problem, Severity, Where, number_of
from reportgen.match.positions import PLACE_COLUMNS, epoch_s

JUMP_CODE = "match/point-out-of-place"
JUMP_REASON = "point where nobody can have been: too far from its neighbours for the time between"

PROBLEM_CODES = (
    (JUMP_CODE, "Points of a track lie where nobody can have been; they are set aside."),
    ("match/place-out-of-place", "Rows of a log lose a place where nobody can have been."),
)


def jumped_points(points: pd.DataFrame) -> pd.DataFrame:
    """Return the points of each track at which nobody can have been."""
    return points[_flags(points, ["walk", "file"])]


def jumped_records(records: pd.DataFrame) -> pd.DataFrame:
    """Return the records whose node can't have been where they say.

    File by file: the clocks of two logs need not agree.
    """
    return records[_flags(records, ["walk", "node", "file"])]


def without_place(records: pd.DataFrame, jumped: pd.DataFrame) -> pd.DataFrame:
    """Return the records, those that jumped without a place of their own."""
    result = records.copy()
    result.loc[jumped.index, PLACE_COLUMNS] = np.nan
    return result


def jump_problems(points: pd.DataFrame, records: pd.DataFrame) -> tuple[Problem, ...]:
    """Return one warning for each file with places where nobody can have been."""
    return (
        *(
            _problem(
                str(file),
                part,
                code=JUMP_CODE,
                what="point",
                do="nothing, they are set aside; if the wrong half of the track went, cut the "
                "track to the walk",
            )
            for file, part in points.groupby("file", sort=False)
        ),
        *(
            _problem(
                str(file),
                part,
                code="match/place-out-of-place",
                what="row",
                do="nothing: the rows count, and take their place from the track where there is "
                "one",
            )
            for file, part in records.groupby("file", sort=False)
        ),
    )


def _flags(table: pd.DataFrame, keys: list[str]) -> np.ndarray:
    flags = pd.Series(False, index=table.index, dtype=bool)
    for _, part in table.groupby(keys, sort=False):
        flags[part.index] = is_out_of_place(
            epoch_s(part["time_utc"]),
            part["latitude_deg"].to_numpy(dtype=np.float64),
            part["longitude_deg"].to_numpy(dtype=np.float64),
        )
    return np.asarray(flags, dtype=np.bool_)


def _problem(file: str, part: pd.DataFrame, *, code: str, what: str, do: str) -> Problem:
    return Problem(
        where=Where(path=file, line=int(part["line"].min())),
        code=code,
        severity=Severity.WARNING,
        found=f"{number_of(len(part), what)} at a place where nobody can have been in the time "
        "between",
        expected="places that follow each other at the speed of a walk, a ride or a drive",
        do=do,
        count=len(part),
    )
