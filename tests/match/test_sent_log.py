"""Frames known from a node's own log, tied to the frames that stations heard."""

from __future__ import annotations

from typing import Any

import pandas as pd
import pytest

from reportgen.match.frames import FramesOfWalk, frames_of_walk
from reportgen.match.positions import TrackOfWalk, placed
from reportgen.match.sent_log_checks import accounts_less_unused, sent_log_problems
from reportgen.match.walk_time import time_of_walk
from reportgen.model.accounts import FileAccount
from reportgen.model.columns import RECORDS
from tests.match.tables import EMPTY_TRACK, records, straight_track

Row = dict[str, Any]


def sent(*rows: Row) -> pd.DataFrame:
    """Return records of a node's own log."""
    table = records(*({"file": "sent.csv", **row} for row in rows))
    return table.assign(measured_at="sent", station_id="")


def found(
    heard: list[Row], logged: list[Row], track: TrackOfWalk = EMPTY_TRACK, *, by_rate: bool = False
) -> FramesOfWalk:
    return frames_of_walk(
        placed(
            records(*heard) if heard else RECORDS.empty(), track, longest_gap_s=120.0, word="track"
        ),
        track,
        first_number=0,
        is_counted_by_data_rate=by_rate,
        longest_gap_s=120.0,
        sent=sent(*logged),
    )


def known(frames: pd.DataFrame) -> list[tuple[int | None, str]]:
    """Return (counter, how it is known) of each frame in order."""
    counters = [None if pd.isna(counter) else int(counter) for counter in frames["counter"]]
    return list(zip(counters, frames["sent_known"], strict=True))


def test_frames_before_the_first_and_after_the_last_heard_are_known_to_be_sent() -> None:
    """Where counters can say nothing the node's own word stands."""
    logged = [{"s": 20 * n, "counter": n} for n in range(6)]

    frames = found(
        [{"s": 42, "counter": 2}, {"s": 62, "counter": 3}], logged, straight_track(120)
    ).frames

    assert known(frames) == [(n, "logged") for n in range(6)]
    assert frames["is_counted"].all()
    # The station's clock is the walk's: what nobody heard follows it, 2 s later.
    assert frames["time_utc"].dt.second.tolist() == [2, 22, 42, 2, 22, 42]
    assert frames["latitude_deg"].tolist() == pytest.approx(
        [2e-5, 22e-5, 42e-5, 62e-5, 82e-5, 102e-5]
    )
    assert frames["place_known"].tolist() == ["placed", "placed", "track", "track", *["placed"] * 2]


def test_a_place_in_the_nodes_log_is_its_frames_own() -> None:
    """Also of a frame that was heard, where the station's log has none."""
    place = {"latitude_deg": 0.5, "longitude_deg": 0.25, "height_msl_m": 12.0}
    frames = found(
        [{"s": 1, "counter": 1}],
        [{"s": 0, "counter": 1, **place}, {"s": 20, "counter": 2, **place}],
        straight_track(60),
    ).frames

    assert frames["latitude_deg"].tolist() == [0.5, 0.5]
    assert frames["height_msl_m"].tolist() == [12.0, 12.0]
    assert frames["place_known"].tolist() == ["recorded", "recorded"]


def test_a_place_in_the_stations_log_stays() -> None:
    frames = found(
        [{"s": 1, "counter": 1, "latitude_deg": 0.1, "longitude_deg": 0.1}],
        [{"s": 0, "counter": 1, "latitude_deg": 0.5, "longitude_deg": 0.25}],
    ).frames

    assert frames["latitude_deg"].tolist() == [0.1]


def test_without_counters_frames_are_tied_by_time() -> None:
    logged = [{"s": 20 * n} for n in range(8)]
    heard = [{"s": 20 * n + 3} for n in (1, 2, 5)]

    result = found(heard, logged)

    assert len(result.frames) == 8
    assert result.frame_of_record.tolist() == [1, 2, 5]
    assert result.frames["is_counted"].all()
    assert result.sent_logs[0].offset_s == pytest.approx(3.0)


def test_two_stations_stamps_of_one_frame_are_one_where_the_log_shows_the_spacing() -> None:
    """Without a counter, 2 s apart: the node did not send in between."""
    logged = [{"s": 20 * n} for n in range(6)]
    heard = [{"s": 20 * n + late, "station_id": name} for n in (1, 2, 4)
             for late, name in ((0, "one"), (2, "two"))]  # fmt: skip

    result = found(heard, logged)

    assert len(result.frames) == 6
    assert result.frame_of_record.tolist() == [1, 1, 2, 2, 4, 4]


def test_counters_of_the_station_are_not_counted_again_beside_a_log_without() -> None:
    """The gap of three counters is the three rows of the log; behind its end counters go on."""
    logged = [{"s": 20 * n} for n in range(6)]
    heard = [{"s": 20 * n, "counter": 100 + n} for n in (0, 1, 5, 8)]

    frames = found(heard, logged).frames

    assert known(frames) == [
        (100, "logged"), (101, "logged"), (None, "logged"), (None, "logged"), (None, "logged"),
        (105, "logged"), (106, "inferred"), (107, "inferred"), (108, "recorded"),
    ]  # fmt: skip


def test_where_the_log_covers_a_part_only_counters_tell_the_rest() -> None:
    """It started late; what the air lost before, the counters know."""
    logged = [{"s": 20 * n, "counter": n} for n in range(5, 9)]
    heard = [{"s": 20 * n, "counter": n} for n in (0, 1, 3, 5, 6)]

    result = found(heard, logged)

    assert known(result.frames) == [
        (0, "recorded"), (1, "recorded"), (2, "inferred"), (3, "recorded"), (4, "inferred"),
        (5, "logged"), (6, "logged"), (7, "logged"), (8, "logged"),
    ]  # fmt: skip
    assert result.sent_logs[0].lacking == 3
    assert result.frames["is_counted"].all()


def test_a_row_that_the_log_lost_is_known_by_its_counter() -> None:
    logged = [{"s": 20 * n, "counter": n} for n in (0, 1, 3, 4)]
    heard = [{"s": 20 * n, "counter": n} for n in (0, 1, 4)]

    assert known(found(heard, logged).frames)[2] == (2, "inferred")


def test_a_log_without_counters_that_lacks_what_was_heard_counts_nothing_of_it() -> None:
    """If it lacks frames that were heard it lacks others, too, and nothing tells of them."""
    logged = [{"s": 20 * n} for n in range(10, 30)]
    heard = [{"s": 20 * n} for n in range(20)]

    frames = found(heard, logged).frames

    assert set(frames.loc[frames["sent_known"] == "recorded", "uncounted"]) == {"not in the log"}
    assert frames.loc[frames["sent_known"] == "logged", "is_counted"].all()


def test_a_log_that_fits_nothing_is_set_aside_with_a_problem() -> None:
    """Times in the middle between two rows: any choice would be an invention."""
    result = found([{"s": 20 * n + 10} for n in range(9)], [{"s": 20 * n} for n in range(10)])

    (use,) = result.sent_logs
    assert not use.is_used
    assert [problem.code for problem in sent_log_problems((use,))] == ["match/sent-log-unmatched"]
    assert set(result.frames["sent_known"]) == {"recorded"}
    account = FileAccount(path="sent.csv", walk="loop", unit="rows", read=10, used=10)
    (less,) = accounts_less_unused((account,), (use,))
    assert (less.used, less.fault_count) == (0, 10)


def test_a_log_of_other_counters_is_not_taken_for_a_walk_of_misses() -> None:
    """Yesterday's log beside today's frames."""
    logged = [{"s": 20 * n, "counter": 500 + n} for n in range(20)]
    heard = [{"s": 20 * n, "counter": n} for n in range(20)]

    result = found(heard, logged)

    assert not result.sent_logs[0].is_used
    assert len(result.frames) == 20


def test_a_log_sent_wholly_outside_the_walk_leaves_no_frames_and_says_so() -> None:
    """Nothing heard, and the log is yesterday's: its rows are set aside, none is a fault."""
    track = straight_track(60)
    result = frames_of_walk(
        placed(RECORDS.empty(), track, longest_gap_s=120.0, word="track"),
        track,
        first_number=0,
        is_counted_by_data_rate=False,
        longest_gap_s=120.0,
        sent=sent(*({"s": 20 * n - 86_400, "counter": n} for n in range(4))),
        time=time_of_walk(track, RECORDS.empty()),
    )

    assert result.frames.empty
    assert [p.code for p in sent_log_problems(result.sent_logs)] == ["match/sent-outside-walk"]
    account = FileAccount(path="sent.csv", walk="loop", unit="rows", read=4, used=4)
    (less,) = accounts_less_unused((account,), result.sent_logs)
    assert (less.used, less.set_aside_count, less.fault_count) == (0, 4, 0)


def test_a_walk_of_which_nothing_was_heard_has_the_logs_frames() -> None:
    frames = found([], [{"s": 20 * n, "counter": n} for n in range(4)], straight_track(60)).frames

    assert known(frames) == [(n, "logged") for n in range(4)]
    assert frames["latitude_deg"].notna().all()


def test_a_frame_that_the_node_repeated_is_one_frame() -> None:
    """A confirmed frame goes out again with its counter until it is acknowledged."""
    logged = [{"s": s, "counter": n} for s, n in ((0, 0), (20, 1), (25, 1), (40, 2))]

    assert known(found([{"s": 41, "counter": 2}], logged).frames) == [
        (0, "logged"), (1, "logged"), (2, "logged"),
    ]  # fmt: skip


def test_a_counter_of_a_restarted_node_is_tied_to_its_own_session() -> None:
    logged = [{"s": 20 * n, "counter": n, "transmit_power_dbm": 14} for n in range(5)]
    logged += [{"s": 600 + 20 * n, "counter": n, "transmit_power_dbm": 8} for n in range(5)]

    result = found([{"s": 22, "counter": 1}, {"s": 621, "counter": 1}], logged)

    assert len(result.frames) == 10
    assert result.frame_of_record.tolist() == [1, 6]
    assert result.frames["transmit_power_dbm"].tolist() == [14.0] * 5 + [8.0] * 5


def test_one_number_sent_once_per_data_rate_is_one_frame_of_each() -> None:
    logged = [{"s": 20 * n + late, "counter": n, "data_rate": rate} for n in range(3)
              for late, rate in ((0, "DR0"), (1, "DR8"))]  # fmt: skip
    heard = [{"s": 20, "counter": 1, "data_rate": "DR0"}, {"s": 21, "counter": 1,
                                                           "data_rate": "DR8"}]  # fmt: skip

    frames = found(heard, logged, by_rate=True).frames

    assert frames.groupby("data_rate").size().to_dict() == {"DR0": 3, "DR8": 3}


def test_the_rate_that_every_frame_heard_had_is_that_of_the_frames_missed() -> None:
    """Else each rate would read as heard in full, its misses being of no rate."""
    logged = [{"s": 20 * n, "counter": n} for n in range(4)]

    frames = found([{"s": 20, "counter": 1, "data_rate": "DR5", "spreading_factor": 7}], logged)

    assert frames.frames["data_rate"].tolist() == ["DR5"] * 4
    assert frames.frames["spreading_factor"].tolist() == [7] * 4


def test_between_rates_that_differ_a_missed_frame_has_none() -> None:
    logged = [{"s": 20 * n, "counter": n} for n in range(4)]
    heard = [{"s": 20, "counter": 1, "data_rate": "DR5"}, {"s": 60, "counter": 3,
                                                           "data_rate": "DR3"}]  # fmt: skip

    assert found(heard, logged).frames["data_rate"].tolist() == ["", "DR5", "", "DR3"]


def test_the_power_of_the_nodes_log_is_its_frames() -> None:
    logged = [{"s": 20 * n, "counter": n, "transmit_power_dbm": 14.0 - n} for n in range(3)]

    frames = found([{"s": 20, "counter": 1}], logged).frames

    assert frames["transmit_power_dbm"].tolist() == [14.0, 13.0, 12.0]


def test_clocks_apart_and_frames_lacking_are_told() -> None:
    """Both are mended by themselves, and worth knowing."""
    logged = [{"s": 20 * n, "counter": n} for n in range(5, 9)]
    heard = [{"s": 20 * n + 3600, "counter": n} for n in (4, 5, 6)]

    problems = {p.code: p for p in sent_log_problems(found(heard, logged).sent_logs)}

    assert problems["match/sent-log-lacks"].count == 1
    assert problems["match/sent-log-clock"].found == "the clock of a is 3600 s behind the stations'"
