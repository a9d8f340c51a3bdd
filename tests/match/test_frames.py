from __future__ import annotations

import pandas as pd
import pytest

from reportgen.match.frames import FramesOfWalk, frames_of_walk
from reportgen.match.positions import TrackOfWalk, placed
from tests.match.tables import EMPTY_TRACK, records, straight_track


def frames_of(
    table: pd.DataFrame,
    track: TrackOfWalk = EMPTY_TRACK,
    *,
    by_rate: bool = False,
    interval_s: float | None = None,
) -> FramesOfWalk:
    return frames_of_walk(
        placed(table, track, longest_gap_s=120.0, word="track"),
        track,
        first_number=0,
        is_counted_by_data_rate=by_rate,
        longest_gap_s=120.0,
        interval_s=interval_s,
    )


def test_two_stations_hearing_one_counter_heard_one_frame() -> None:
    """A network stamps the same frame a little differently for each station."""
    found = frames_of(
        records(
            {"s": 0, "counter": 5, "station_id": "one"},
            {"s": 2.4, "counter": 5, "station_id": "two"},
        )
    )

    assert len(found.frames) == 1
    assert list(found.frame_of_record) == [0, 0]


def test_a_counter_between_two_heard_ones_is_a_frame_that_was_sent() -> None:
    found = frames_of(records({"s": 0, "counter": 5}, {"s": 30, "counter": 8}), straight_track(60))

    missing = found.frames[found.frames["sent_known"] == "inferred"]
    assert list(missing["counter"]) == [6, 7]
    assert list(missing["time_utc"].dt.second) == [10, 20]
    assert list(missing["place_known"]) == ["placed", "placed"]
    assert list(missing["latitude_deg"]) == pytest.approx([10e-5, 20e-5])


def test_nothing_is_claimed_before_the_first_and_after_the_last_heard_frame() -> None:
    found = frames_of(records({"s": 0, "counter": 5}, {"s": 10, "counter": 6}))

    assert list(found.frames["counter"]) == [5, 6]


def test_a_rejoin_starts_the_counter_anew_without_inventing_frames() -> None:
    found = frames_of(
        records(
            {"s": 0, "counter": 41},
            {"s": 10, "counter": 42},
            {"s": 200, "counter": 0},
            {"s": 220, "counter": 2},
        )
    )

    assert list(found.frames["counter"]) == [41, 42, 0, 1, 2]


def test_one_number_sent_once_per_data_rate_is_counted_by_data_rate() -> None:
    """DR0 misses number 6, DR8 does not: only one frame is missing."""
    table = records(
        {"s": 0, "counter": 5, "data_rate": "DR0"},
        {"s": 1, "counter": 5, "data_rate": "DR8"},
        {"s": 11, "counter": 6, "data_rate": "DR8"},
        {"s": 20, "counter": 7, "data_rate": "DR0"},
        {"s": 21, "counter": 7, "data_rate": "DR8"},
    )

    missing = frames_of(table, by_rate=True).frames.query("sent_known == 'inferred'")

    assert list(missing["counter"]) == [6]
    assert list(missing["data_rate"]) == ["DR0"]


def test_records_without_counter_are_frames_of_their_own() -> None:
    """Silence can't be told from not sending, but what was heard stands."""
    found = frames_of(records({"s": 0}, {"s": 10}, {"s": 20}))

    assert len(found.frames) == 3
    assert found.frames["counter"].isna().all()
    assert set(found.frames["sent_known"]) == {"recorded"}


def test_a_missing_frame_has_no_data_rate_where_its_neighbours_differ() -> None:
    found = frames_of(
        records(
            {"s": 0, "counter": 1, "data_rate": "DR5", "spreading_factor": 7},
            {"s": 20, "counter": 3, "data_rate": "DR3", "spreading_factor": 9},
        )
    )

    missing = found.frames[found.frames["sent_known"] == "inferred"].iloc[0]
    assert missing["data_rate"] == ""
    assert pd.isna(missing["spreading_factor"])


def test_a_record_with_a_place_lends_it_to_the_frame_of_one_without() -> None:
    found = frames_of(
        records(
            {"s": 0, "counter": 1, "station_id": "one"},
            {
                "s": 1,
                "counter": 1,
                "station_id": "two",
                "latitude_deg": 0.5,
                "longitude_deg": 0.25,
            },
        )
    )

    assert found.frames.iloc[0]["latitude_deg"] == 0.5


def test_a_missing_frame_across_a_long_track_gap_has_no_place() -> None:
    """Across more than the stated gap nobody knows where the walker was."""
    track = straight_track(400)
    gap = TrackOfWalk(
        time_s=track.time_s[[0, 400]],
        latitude_deg=track.latitude_deg[[0, 400]],
        longitude_deg=track.longitude_deg[[0, 400]],
        height_msl_m=track.height_msl_m[[0, 400]],
    )
    found = frames_of(records({"s": 0, "counter": 1}, {"s": 400, "counter": 3}), gap)

    missing = found.frames[found.frames["sent_known"] == "inferred"].iloc[0]
    assert pd.isna(missing["latitude_deg"])
    assert missing["place_known"] == ""


def test_a_frame_heard_at_an_unknown_time_is_not_missing() -> None:
    """Its counter was heard; only the clock is lost."""
    found = frames_of(records({"s": 0, "counter": 1}, {"counter": 2}, {"s": 40, "counter": 3}))

    assert sorted(found.frames["counter"]) == [1, 2, 3]
    assert set(found.frames["sent_known"]) == {"recorded"}


def test_without_times_one_counter_is_one_frame_and_nothing_is_inferred() -> None:
    found = frames_of(
        records(
            {"counter": 0, "station_id": "one"},
            {"counter": 0, "station_id": "two"},
            {"counter": 5, "station_id": "one"},
            {"counter": 5, "station_id": "two"},
        )
    )

    assert list(found.frames["counter"]) == [0, 5]
    assert not found.frames["is_counted"].any()


def test_station_clocks_apart_are_seen_in_counters_that_jump_back_and_forth() -> None:
    """Two stations 40 s apart turn each frame into two; a ratio of that would be nonsense."""
    rows = [{"s": 20 * n, "counter": n, "station_id": "one"} for n in range(30)]
    rows += [{"s": 20 * n + 40, "counter": n, "station_id": "two"} for n in range(30)]

    assert not frames_of(records(*rows)).frames["is_counted"].any()


def test_counters_that_leap_by_thousands_are_not_followed() -> None:
    found = frames_of(records(*({"s": 20 * n, "counter": 2000 * n} for n in range(30))))

    assert len(found.frames) == 30
    assert not found.frames["is_counted"].any()


def test_a_column_that_counts_nothing_makes_no_copies() -> None:
    """One number throughout, every 10 s: each row is a frame, and none a copy of the one before."""
    found = frames_of(records(*({"s": 10 * n, "counter": 0} for n in range(30))))

    assert len(found.frames) == 30
    assert set(found.frames["uncounted"]) == {"unsteady counter"}


def test_rows_of_one_second_are_one_frame_whatever_the_column_says() -> None:
    found = frames_of(records(*({"s": 10 * (n // 2), "counter": 0} for n in range(40))))

    assert len(found.frames) == 20


def test_frames_sent_thrice_under_counters_that_count_are_one_each() -> None:
    """A node that repeats every frame 4 s later, twice, as some networks ask it to."""
    rows = [{"s": 60 * n + 4 * k, "counter": n} for n in range(20) for k in range(3)]

    assert len(frames_of(records(*rows)).frames) == 20


def test_one_long_gap_is_counted_and_leaves_the_rest_alone() -> None:
    """The node was used elsewhere for a day between two halves of a walk."""
    rows = [{"s": 20 * n, "counter": n} for n in range(20)]
    rows += [{"s": 900 + 20 * n, "counter": 5000 + n} for n in range(20)]

    found = frames_of(records(*rows))

    assert found.long_gaps == 1
    assert len(found.frames) == 40
    assert found.frames["is_counted"].all()


def test_a_counter_gone_wild_infers_no_thousands_of_frames() -> None:
    rows = [{"s": 20 * n, "counter": 900 * n} for n in range(30)]

    found = frames_of(records(*rows))

    assert len(found.frames) == 30
    assert not found.frames["is_counted"].any()


def test_a_walk_that_is_nearly_silent_still_counts_its_misses() -> None:
    """Three frames heard of two hundred is the finding, not a fault of the counter."""
    found = frames_of(records(*({"s": 1000 * n, "counter": 99 * n} for n in range(3))))

    assert len(found.frames) == 199
    assert (found.frames["sent_known"] == "inferred").sum() == 196
    assert found.frames["is_counted"].all()


def test_what_lacks_a_counter_among_others_is_heard_and_not_counted() -> None:
    found = frames_of(records({"s": 0, "counter": 1}, {"s": 20}, {"s": 40, "counter": 2}))

    assert found.frames["uncounted"].tolist() == ["", "no counter", ""]


def test_without_counters_a_stated_interval_tells_what_was_missed() -> None:
    rows = [{"s": 30 * n} for n in range(20) if n not in (4, 5, 11)]

    found = frames_of(records(*rows), straight_track(600), interval_s=30.0)

    missing = found.frames[found.frames["sent_known"] == "interval"]
    assert missing["latitude_deg"].tolist() == pytest.approx([120e-5, 150e-5, 330e-5])
    assert missing["place_known"].tolist() == ["placed"] * 3
    assert missing["counter"].isna().all()
    assert found.frames["is_counted"].all()


def test_where_the_times_don_t_keep_the_interval_nothing_is_inferred() -> None:
    rows = [{"s": 7 * n * n % 600} for n in range(20)]

    found = frames_of(records(*rows), interval_s=30.0)

    assert set(found.frames["uncounted"]) == {"interval not kept"}
    assert set(found.frames["sent_known"]) == {"recorded"}


def test_counters_go_before_a_stated_interval() -> None:
    """Its node was switched off for a while; the counter knows, the interval does not."""
    rows = [{"s": 30 * n, "counter": n} for n in range(10)]
    rows += [{"s": 600 + 30 * n, "counter": 10 + n} for n in range(10)]

    assert len(frames_of(records(*rows), interval_s=30.0).frames) == 20


def test_an_interval_holds_within_each_data_rate_where_these_are_sent_apart() -> None:
    rows = [
        {"s": 30 * n + late, "data_rate": rate}
        for n in range(20)
        for late, rate in ((0, "DR0"), (9, "DR8"))
        if (n, rate) != (7, "DR0")
    ]

    missing = frames_of(records(*rows), by_rate=True, interval_s=30.0).frames.query(
        "sent_known == 'interval'"
    )

    assert missing["data_rate"].tolist() == ["DR0"]


def test_stations_stamps_of_one_frame_are_one_where_an_interval_is_stated() -> None:
    rows = [{"s": 30 * n + late, "station_id": name} for n in range(12)
            for late, name in ((0, "one"), (2, "two"))]  # fmt: skip

    assert len(frames_of(records(*rows), interval_s=30.0).frames) == 12
    assert len(frames_of(records(*rows)).frames) == 24


def test_a_frame_of_unknown_time_leaves_an_interval_untold() -> None:
    """It may be any of those that seem to be missing."""
    rows: list[dict[str, object]] = [{"s": 30 * n} for n in range(20) if n != 4]

    found = frames_of(records(*rows, {"latitude_deg": 0.1, "longitude_deg": 0.1}), interval_s=30.0)

    assert not found.frames["is_counted"].any()
