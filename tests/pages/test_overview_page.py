"""What the first page says of the reach, and of what ended it."""

from __future__ import annotations

import re
from pathlib import Path

from reportgen.pages.context import Context
from reportgen.pages.drafts import drafts
from reportgen.pages.overview_page import overview_view
from reportgen.pages.sentences import as_html
from tests.campaigns.made import LINE, add_sent_log, nothing_heard, row, sent_row, track, write
from tests.made_results import EXAMPLE
from tests.pages.made_context import context_of, plain


def lead_of(context: Context) -> str:
    """Return what a reader reads first."""
    return " ".join(plain(said) for said in overview_view(context).lead)


def drafts_of(context: Context) -> str:
    """Return the drafts as a reader reads them."""
    return " ".join(plain(as_html(context, draft)) for draft in drafts(context))


def test_an_end_where_nearly_all_was_missed_is_not_called_open(tmp_path: Path) -> None:
    """Out to 780 m, all heard, and there two of a hundred: nobody walked on, yet it is an end."""
    heard = [row(10 * n, n, 13.0 * n) for n in range(60)]
    stood = [row(10 * n, n, 780.0) for n in (60, 159)]
    walked = track(*((float(s), min(1.3 * s, 780.0)) for s in range(0, 1601, 10)))
    folder = write(tmp_path / "c", "Bench", rows=(*heard, *stood), gpx=walked)
    add_sent_log(folder, *(sent_row(10 * n, n) for n in range(160)))
    context = context_of(folder)

    for said in (lead_of(context), drafts_of(context)):
        assert "most frames sent from about that distance were missed: 3 of 101" in said
        assert "at least" not in said.split("missed:")[0]
        assert "was not found there" not in said
    sectors = overview_view(context).sectors.rows
    assert "but most frames sent from there were missed" in sectors[0][1].text


def without_place(line: str) -> str:
    """Return a log row that leaves its place blank."""
    return line.rsplit(",", 2)[0] + ",,"


def test_a_station_without_a_place_is_named_all_the_same(tmp_path: Path) -> None:
    """There is no sentence of its reach to name it."""
    rows = tuple(row(10 * n, n, 13.0 * n) for n in range(40) if n % 4 != 3)
    folder = write(tmp_path / "c", "No place", rows=rows)
    path = folder / "campaign.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"\n    position: .*", "", text), encoding="utf-8")

    said = lead_of(context_of(folder))

    assert said == "On the ground that was walked Pier heard 30 of 39 frames, 77 %."


def test_frames_of_unknown_place_speak_of_no_ground(tmp_path: Path) -> None:
    rows = tuple(without_place(row(10 * n, n, 0.0)) for n in range(40) if n % 4 != 3)
    context = context_of(write(tmp_path / "c", "Nowhere", rows=rows))

    said = lead_of(context)

    assert said == "Pier heard 30 of 39 frames, 77 %; where they were sent is not known."
    notes = " ".join(item.note for item in overview_view(context).headline)
    assert "ground that was walked" not in notes


def driven_on(folder: Path) -> Path:
    """Fifty frames heard out to 640 m, then a drive to 9.5 km of which no frame is known."""
    rows = tuple(row(10 * n, n, 13.0 * n) for n in range(50))
    way = [(float(s), 1.3 * s) for s in range(0, 500, 5)]
    way += [(500.0 + s, 650.0 + 15.0 * s) for s in range(0, 590, 5)]
    return write(folder, "Drive", rows=rows, gpx=track(*way))


def test_ground_on_which_no_frame_is_known_to_be_sent_was_not_tested(tmp_path: Path) -> None:
    context = context_of(driven_on(tmp_path / "c"))

    walked = overview_view(context).headline[1]
    assert plain(walked.note) == (
        "no frame is known to have been sent from farther than 637 m: beyond that nothing was "
        "tested"
    )
    assert (
        "Nobody walked farther than 9 423 m from Pier, and from farther than 637 m no frame is "
        "known to have been sent; beyond that nothing is known."
    ) in drafts_of(context)


def test_where_frames_were_sent_to_the_end_of_the_walk_that_end_is_what_was_tested(
    tmp_path: Path,
) -> None:
    rows = tuple(row(10 * n, n, 13.0 * n) for n in range(58))
    context = context_of(write(tmp_path / "c", "Walk", rows=rows, gpx=track(*LINE)))

    assert overview_view(context).headline[1].note == "beyond it nothing was tested"
    assert "from Pier; beyond that nothing is known" in drafts_of(context)


def test_a_walk_without_a_frame_known_to_be_sent_tested_nothing(tmp_path: Path) -> None:
    context = context_of(nothing_heard(tmp_path / "c"))

    assert overview_view(context).headline[1].note == "no frame is known to have been sent anywhere"
    assert "no frame is known to have been sent anywhere" in drafts_of(context)


def test_days_of_one_month_name_it_once() -> None:
    """The line above the title is short; on a tablet a second month broke it in two."""
    said = overview_view(context_of(EXAMPLE)).eyebrow

    assert "9\u201313 June 2026" in said
