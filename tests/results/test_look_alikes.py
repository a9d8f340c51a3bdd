"""A channel that the station does not listen to looks like a place without coverage."""

from __future__ import annotations

from pathlib import Path

from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import Results, assemble
from tests.campaigns.made import HEADING, row, write

NAME = "walk.loop.station.pier.silent_channels"


def results_of(folder: Path, heard_by_pier: set[int], channels_mhz: tuple[float, ...]) -> Results:
    """A stranger hears every frame, on channels in turn; the pier those given."""
    rows = []
    for n in range(40):
        mhz = channels_mhz[n % len(channels_mhz)]
        stations = ["gw-9", *(["gw-1"] if n in heard_by_pier else [])]
        rows += [f"{row(10 * n, n, 100 + n, station=name)},{mhz}" for name in stations]
    write(folder, "Channels", rows=tuple(rows))
    log = folder / "log.csv"
    log.write_text(log.read_text("utf-8").replace(HEADING, f"{HEADING},mhz", 1), "utf-8")
    description = folder / "campaign.yaml"
    text = description.read_text("utf-8").replace("fields: {", "fields: {frequency_mhz: mhz, ", 1)
    description.write_text(text, "utf-8")
    return assemble(join(read_campaign(folder)))


def test_a_channel_nobody_listens_to_is_named(tmp_path: Path) -> None:
    even = {n for n in range(40) if n % 2 == 0}

    results = results_of(tmp_path / "c", even, (868.1, 867.1))

    assert results.figures[NAME].value == 1


def test_chance_losses_on_all_channels_are_no_silent_channel(tmp_path: Path) -> None:
    some = {n for n in range(40) if n % 3}

    assert results_of(tmp_path / "c", some, (868.1, 867.1)).figures[NAME].value == 0


def test_a_station_that_hears_little_says_nothing_of_channels(tmp_path: Path) -> None:
    """One lucky frame of forty: that is distance, not a channel plan."""
    assert results_of(tmp_path / "c", {4}, (868.1, 867.1)).figures[NAME].value == 0
