"""From a log file to the page: how many frames were sent, heard and missed, and how that is known.

Each campaign is small enough to be counted by hand beside its log.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from reportgen.cli.building import build_report
from reportgen.cli.understood import understood_lines
from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import assemble
from tests.campaigns.made import (
    LINE,
    LONGITUDE_DEG,
    add_node,
    add_sent_log,
    place,
    row,
    sent_row,
    state,
    track,
    write,
)
from tests.campaigns.test_built_sites import text_of, totals

pytestmark = pytest.mark.slow

Sent = tuple[int, int, int]
"""Frames sent, heard and missed."""


def page_of(folder: Path) -> str:
    """Build the site and return what its walk page says; every row must be accounted for."""
    site = folder.parent / "site"
    report = build_report(folder, site, lambda _: None, strict=False)
    assert report.index is not None
    for path, counts in totals(site).items():
        assert counts["used"] + counts["set_aside"] == counts["read"], path
    return text_of(site / "walks" / "loop.html")


def reasons(folder: Path) -> str:
    """Return what the page of data says of a site that was built."""
    return text_of(folder.parent / "site" / "data.html")


def shown(text: str) -> Sent:
    """Return the numbers of the page: heard of sent, and what the map says is missed."""
    heard, sent = re.search(r"(\d+) of (\d+) frames", text).groups()  # type: ignore[union-attr]
    on_map = re.search(r"(\d+) frames heard by Pier, (\d+) known to be missed", text)
    assert on_map is not None, text[:2000]
    assert on_map[1] == heard
    return int(sent), int(heard), int(on_map[2])


def walked(folder: Path, *rows: str) -> Path:
    return write(folder / "campaign", "Counted", rows=rows, gpx=track(*LINE))


def at(counters: list[int], *, first_s: float = 0, step_s: float = 10) -> list[str]:
    """Return rows of these counters, one every ten seconds, farther and farther out."""
    return [
        row(first_s + step_s * n, counter, 100 + n)
        for n, counter in enumerate(counters)
        if counter >= 0
    ]


# A counter of -1 stands for a frame that was sent and lost.


def test_a_counter_that_rolls_over_counts_on(tmp_path: Path) -> None:
    """65 533 to 3 is seven frames, of which 65 535 and 2 were missed."""
    rows = at([65_533, 65_534, -1, 0, 1, -1, 3])

    text = page_of(walked(tmp_path, *rows))

    assert shown(text) == (7, 5, 2)
    assert "5 frames recorded, 2 inferred from missing counters." in text


def test_a_restart_after_a_rejoin_invents_nothing_between_the_runs(tmp_path: Path) -> None:
    """40, 41, 43, then the node joins anew: 0, 1, 4. Missed are 42, 2 and 3, and none between."""
    rows = [*at([40, 41, -1, 43]), *at([0, 1, -1, -1, 4], first_s=200)]

    assert shown(page_of(walked(tmp_path, *rows))) == (9, 6, 3)


def test_a_counter_that_is_repeated_is_one_frame(tmp_path: Path) -> None:
    """The station heard frame 11 twice within five seconds: a confirmed frame sent again."""
    rows = [*at([10, 11]), row(15, 11, 103), *at([12, -1, 14], first_s=20)]

    folder = walked(tmp_path, *rows)

    assert shown(page_of(folder)) == (5, 4, 1)
    assert "A row repeats a frame that the same station already heard." in reasons(folder)


def test_frames_written_down_out_of_order_are_no_restart(tmp_path: Path) -> None:
    """The network stamped 21 and 22 the wrong way round; 24 is the only miss."""
    rows = [
        row(0, 20, 100), row(10, 22, 101), row(12, 21, 101), row(30, 23, 103), row(50, 25, 105),
    ]  # fmt: skip

    assert shown(page_of(walked(tmp_path, *rows))) == (6, 5, 1)


def test_a_counter_that_leaps_within_one_interval_missed_nothing(tmp_path: Path) -> None:
    """All twenty were heard, one each ten seconds; after the tenth the node joined anew."""
    folder = walked(tmp_path, *at([*range(10), *range(110, 120)]))

    text = page_of(folder)

    assert shown(text) == (20, 20, 0)
    assert re.search(r"or for its time\. match/counter-gap 1\b", reasons(folder))


def test_two_nodes_with_counters_of_their_own_are_counted_apart(tmp_path: Path) -> None:
    """Buoy sends 5 to 10 and loses two, raft 7 to 11 and loses one; together 11 and 3."""
    buoy = at([5, 6, -1, 8, -1, 10])
    raft = [line.replace("n-1", "n-2") for line in at([7, 8, 9, -1, 11], first_s=5)]
    folder = walked(tmp_path, *sorted([*buoy, *raft]))
    add_node(folder, "raft", "Raft", "n-2")

    text = page_of(folder)

    assert shown(text) == (11, 8, 3)
    by_node = text[text.index("by node carried on this walk") :]
    assert re.search(r"Buoy 6 4 .*Raft 5 4 ", by_node), by_node[:500]


def test_the_nodes_own_log_tells_of_the_tail_that_nobody_heard(tmp_path: Path) -> None:
    """Twelve sent; heard are 3, 4 and 6. Counters alone would know of one miss, not of nine."""
    folder = walked(tmp_path, *at([-1, -1, -1, 3, 4, -1, 6]))
    assert shown(page_of(folder)) == (4, 3, 1)

    add_sent_log(folder, *(sent_row(10 * n - 2, n) for n in range(12)))
    text = page_of(folder)

    assert shown(text) == (12, 3, 9)
    assert "own log, of which 12 frames are used. Those before the first and after the" in text
    assert "inferred" not in text[text.index("What was sent is known") :][:250]


def test_a_log_of_the_node_without_counters_is_tied_by_time(tmp_path: Path) -> None:
    """Ten sent, each 10 s after the other by a clock 2 s behind; heard are six, none at the end."""
    rows = [line for n, line in enumerate(at(list(range(7)))) if n != 4]
    folder = walked(tmp_path, *(line.replace(f",gw-1,{line.split(',')[3]},", ",gw-1,,")
                                for line in rows))  # fmt: skip
    add_sent_log(folder, *(sent_row(10 * n - 2, None) for n in range(10)))

    assert shown(page_of(folder)) == (10, 6, 4)


def test_a_log_of_a_part_of_the_walk_claims_nothing_beyond_it(tmp_path: Path) -> None:
    """It has 3 to 5 of the ten heard: nothing of it lies before the first or after the last."""
    folder = walked(tmp_path, *at(list(range(10))))
    add_sent_log(folder, *(sent_row(10 * n, n) for n in (3, 4, 5)))

    text = page_of(folder)

    assert shown(text) == (10, 10, 0)
    assert "Before the first and after the last frame heard it knows of none." in text


def test_a_node_that_was_on_at_home_sent_nothing_on_the_walk_there(tmp_path: Path) -> None:
    """On from an hour before the track of ten minutes to an hour after it; 40 of 60 are heard.

    A minute on either side of the track is the walk's: 6 frames each, and the last of the track.
    """
    folder = walked(tmp_path, *at([-1 if n % 3 == 2 else 360 + n for n in range(60)]))
    add_sent_log(folder, *(sent_row(10 * n - 3600, n) for n in range(780)))

    text = page_of(folder)

    assert shown(text) == (73, 40, 33)
    assert "frames sent at another time than the walk's." in reasons(folder)


def test_between_two_days_of_a_nodes_log_no_counters_are_filled(tmp_path: Path) -> None:
    """Ten frames today, ten tomorrow on the same walk, and 200 counters overnight."""
    heard = [*at([0, 1, -1, 3]), *at([210, 211, -1, 213], first_s=86_400)]
    folder = write(tmp_path / "campaign", "Two days", rows=tuple(heard))
    add_sent_log(
        folder,
        *(sent_row(10 * n, n) for n in range(5)),
        *(sent_row(86_400 + 10 * n, 210 + n) for n in range(5)),
    )

    text = page_of(folder)

    assert shown(text) == (10, 6, 4)
    assert "1 gap is not filled" in text


def test_frames_heard_at_home_after_the_track_are_not_of_the_ground_walked(tmp_path: Path) -> None:
    """Half of twenty are heard on the walk; then the node lies beside the station, unrecorded."""
    bare = [line.rsplit(",", 2)[0] + ",," for line in at([n if n % 2 else -1 for n in range(60)])]
    home = [line.rsplit(",", 2)[0] + ",," for line in at(list(range(150, 250)), first_s=1500)]
    folder = walked(tmp_path, *bare, *home)

    text = page_of(folder)

    heard, sent = re.search(r"(\d+) of (\d+) frames", text).groups()  # type: ignore[union-attr]
    # 1 to 59 by their counters, and seven of those between 59 and 150 in the minute after.
    assert (int(sent), int(heard)) == (66, 30)
    assert "100 frames were heard outside the time of the walk, at no known place" in text


def test_a_clock_of_the_node_an_hour_off_is_said_on_the_page(tmp_path: Path) -> None:
    """Counters tie the two all the same; a reader must know whose times these are."""
    folder = walked(tmp_path, *at([0, 1, -1, 3]))
    add_sent_log(folder, *(sent_row(10 * n - 3600, n) for n in range(5)))

    text = page_of(folder)

    assert shown(text) == (5, 3, 2)
    assert "The clock of Buoy ran 1 h 00 min behind the stations" in text.replace("\u202f", " ")


def test_a_log_that_can_t_be_tied_is_set_aside_and_counters_stand(tmp_path: Path) -> None:
    """Its counters are of another day; taken for sent, every row would be a miss."""
    folder = walked(tmp_path, *at([3, 4, -1, 6]))
    add_sent_log(folder, *(sent_row(10 * n, 900 + n) for n in range(8)))

    assert shown(page_of(folder)) == (4, 3, 1)
    assert "A node's own log can't be tied to the frames heard." in reasons(folder)


def test_a_walk_of_which_nothing_was_heard_is_missed_by_the_nodes_log(tmp_path: Path) -> None:
    """Without the log nobody could tell a deaf station from a node that was off."""
    folder = walked(tmp_path)
    add_sent_log(folder, *(sent_row(10 * n, n) for n in range(9)))

    text = page_of(folder)

    assert shown(text) == (9, 0, 9)
    assert "9 frames are used. Nothing was heard of them." in text


def test_a_broken_row_of_the_station_is_no_miss_of_the_nodes_log(tmp_path: Path) -> None:
    """The station wrote frame 4 down, its level can't be read; without a counter its time tells."""
    rows = [line.replace(f",gw-1,{n},", ",gw-1,,") for n, line in enumerate(at(list(range(8))))]
    rows[4] = re.sub(r",,-\d+,", ",,weak,", rows[4])
    folder = walked(tmp_path, *rows)
    add_sent_log(folder, *(sent_row(10 * n, None) for n in range(10)))

    text = page_of(folder)

    assert shown(text) == (10, 7, 2)
    assert "1 frame is in doubt" in text


def without_counters(missed: set[int], *, jitter: bool = False) -> list[str]:
    """Return 24 frames every 20 s that carry no counter, less those missed."""
    return [
        row(20 * n + (n * 7 % 3 - 1 if jitter else 0), 0, 100 + n).replace(",gw-1,0,", ",gw-1,,")
        for n in range(24)
        if n not in missed
    ]


def test_a_stated_interval_that_the_times_keep_tells_what_was_missed(tmp_path: Path) -> None:
    """Stamps jitter by a second; 0 and 23 were missed too, and nothing is claimed of them."""
    folder = walked(tmp_path, *without_counters({0, 5, 6, 14, 23}, jitter=True))
    state(folder, "interval_s: 20")

    text = page_of(folder)

    assert shown(text) == (22, 19, 3)
    assert "19 frames recorded, 3 inferred from the stated interval of 20 s" in text


def test_a_node_that_was_off_for_whole_intervals_missed_nothing(tmp_path: Path) -> None:
    """Twenty-four frames, of which one was missed, ten minutes off, and one frame more."""
    folder = walked(tmp_path, *without_counters({5}), row(20 * 53, 0, 160).replace(",0,", ",,", 1))
    state(folder, "interval_s: 20")

    text = page_of(folder)

    assert shown(text) == (25, 24, 1)
    assert "1 gap is not filled" in text
    assert "No two frames in a row are inferred; a node that was off" in text


def test_one_frame_is_spoken_of_as_one(tmp_path: Path) -> None:
    text = page_of(walked(tmp_path, *at([7])))

    assert "1 of 1 frame" in text
    assert "1 of 1 frames" not in text
    assert "1 frame recorded, 0 inferred" in text


def test_an_interval_that_the_times_don_t_keep_gives_no_ratio(tmp_path: Path) -> None:
    folder = walked(tmp_path, *without_counters({5, 6, 14}))
    state(folder, "interval_s: 33")

    text = page_of(folder)

    assert "the times heard don't show that the stated interval was kept" in text
    assert "21 frames heard by Pier; what was missed is not known." in text
    assert not re.search(r"\d+ of \d+ frames", text)


def test_where_nothing_tells_what_was_sent_the_page_says_heard_only(tmp_path: Path) -> None:
    """No counter, no log of the node, no interval: no ratio, and the reason for it."""
    text = page_of(walked(tmp_path, *without_counters({5, 6, 14})))

    assert "silence can't be told from not sending" in text
    assert "21 frames heard by Pier; what was missed is not known." in text
    assert not re.search(r"\d+ of \d+ frames", text)


def test_check_says_which_log_is_the_nodes_own_and_what_it_is_used_for(tmp_path: Path) -> None:
    """A log taken for the wrong kind shows before anything is built."""
    folder = walked(tmp_path, *at([3, 4, -1, 6]))
    add_sent_log(folder, *(sent_row(10 * n, n) for n in range(8)))

    results = assemble(join(read_campaign(folder)))
    lines = list(understood_lines(results, results.joined))

    kinds = [line for line in lines if "frames sent, by the node's own log" in line]
    assert [lines[lines.index(line) - 1].split()[0] for line in kinds] == ["sent.csv"]
    assert "    pier: 3 frames heard of 8 sent, by the node's own log" in lines


def test_a_place_that_the_node_wrote_down_is_that_of_the_reception(tmp_path: Path) -> None:
    """Many a station logs no places, and the node that has them hears nothing: one makes both."""
    rows = [re.sub(r",47\.\d+,-31\.\d+$", ",,", line) for line in at([0, 1, -1, 3])]
    folder = write(tmp_path / "campaign", "No track", rows=tuple(rows))
    places = (f"{place(200 + 50 * n)[0]:.6f},{LONGITUDE_DEG}" for n in range(6))
    add_sent_log(
        folder,
        *(f"{sent_row(10 * n, n)},{where}" for n, where in enumerate(places)),
        more=", latitude_deg: lat, longitude_deg: lon",
    )

    figures = assemble(join(read_campaign(folder))).figures

    assert figures["campaign.farthest_heard_m"].number == pytest.approx(350, abs=1)
    assert figures["campaign.farthest_walked_m"].number == pytest.approx(450, abs=1)
    assert figures["campaign.frames_missed"].value == 3
