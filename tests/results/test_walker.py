"""What the log itself says of how far its places may be off."""

from __future__ import annotations

from pathlib import Path

from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import Results, assemble
from tests.campaigns.made import HEADING, row, write

NAME = "walk.loop.position_error_m_median"


def results_of(folder: Path, errors: tuple[str, ...]) -> Results:
    """Return the results of a log with a column of what the device says of its places."""
    write(folder, "Errors", rows=())
    lines = [f"{row(10.0 * n, n, 100 + 13 * n)},{error}" for n, error in enumerate(errors)]
    (folder / "log.csv").write_text("\n".join([f"{HEADING},acc", *lines]) + "\n", "utf-8")
    path = folder / "campaign.yaml"
    text = path.read_text("utf-8").replace(
        "longitude_deg: lon}", "longitude_deg: lon, position_error_m: acc}"
    )
    path.write_text(text, "utf-8")
    return assemble(join(read_campaign(folder)))


def test_the_median_error_of_places_is_given_with_its_count(tmp_path: Path) -> None:
    """5, 8 and 30 m; a row without one says nothing."""
    figure = results_of(tmp_path / "c", ("5", "30", "8 m", "")).figures[NAME]

    assert (figure.value, figure.count) == (8.0, 3)


def test_a_negative_error_is_none_and_the_row_stays(tmp_path: Path) -> None:
    results = results_of(tmp_path / "c", ("-1", "4"))

    assert results.figures[NAME].value == 4.0
    assert len(results.joined.receptions) == 2


def test_a_log_that_does_not_say_it_gives_none(tmp_path: Path) -> None:
    assert results_of(tmp_path / "c", ("", "")).figures[NAME].absent_reason == "not-logged"
