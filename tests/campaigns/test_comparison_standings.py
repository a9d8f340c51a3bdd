"""What a comparison may stand for, from the description to the sentence on the page."""

from __future__ import annotations

import datetime as dt
import html
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from reportgen.match.join import join
from reportgen.pages.compare_page import CompareView, compare_view
from reportgen.pages.context import Context
from reportgen.pages.render import renderer
from reportgen.pages.shipped import shipped_folder
from reportgen.pages.words import read_words
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import Results, assemble
from tests.campaigns.made import DESCRIPTION, HEADING, LATITUDE_DEG, LONGITUDE_DEG, START, place

WALK = "  {key}: {{title: {key}, route: {route}, nodes: [{nodes}], logs: [{key}.csv]{more}}}\n"
FRAMES = 240


@dataclass(frozen=True, kw_only=True)
class Walked:
    """A walk to be made: how many dB each node is weaker than the first, and its day."""

    weaker_db: tuple[float, ...] = (0.0,)
    day: int = 0
    more: str = ""
    route: str = "strand"
    sf: int = 7


def results_of(
    folder: Path, walks: dict[str, Walked], *, nodes: str = "", asked: str = ""
) -> Results:
    """Write the walks along 3 km of one line, on the same ground, and return their results."""
    folder.mkdir()
    text = DESCRIPTION.format(
        title="Standing", latitude=LATITUDE_DEG, longitude=LONGITUDE_DEG, logs="", tracks=""
    )
    text = text.split("walks:")[0].replace("  buoy: {name: Buoy, ids: [n-1]}\n", "")
    known = nodes or "  buoy: {name: Buoy, ids: [n-1]}\n"
    text = text.replace("nodes:\n", f"nodes:\n{known}") + "walks:\n"
    ground_db = np.random.default_rng(5).normal(0.0, 3.0, 300).repeat(FRAMES // 60)
    for number, (key, walked) in enumerate(walks.items()):
        carried = ["buoy", "cork"][: len(walked.weaker_db)]
        more = f", {walked.more}" if walked.more else ""
        text += WALK.format(key=key, route=walked.route, nodes=", ".join(carried), more=more)
        rows = _rows(walked, ground_db, np.random.default_rng(number))
        (folder / f"{key}.csv").write_text("\n".join([HEADING, *rows]) + "\n", "utf-8")
    (folder / "campaign.yaml").write_text(text + asked, "utf-8")
    return assemble(join(read_campaign(folder)))


def _rows(walked: Walked, ground_db: np.ndarray, chance: np.random.Generator) -> list[str]:
    rows = []
    for frame in range(FRAMES):
        north_m = 200.0 + 12.5 * frame
        latitude, longitude = place(north_m)
        for node, weaker_db in enumerate(walked.weaker_db):
            snr = 22.0 - north_m / 120.0 + ground_db[frame] - weaker_db + chance.normal(0.0, 1.0)
            if snr < -7.5:
                continue
            total_dbm = 10.0 * np.log10(10 ** (snr / 10.0) + 1.0) - 117.0
            time = START + dt.timedelta(days=walked.day, seconds=10 * frame + node)
            rows.append(
                f"{time:%Y-%m-%dT%H:%M:%SZ},n-{node + 1},gw-1,{frame},{total_dbm:.1f},{snr:.1f},"
                f"{walked.sf},{latitude:.6f},{longitude:.6f}"
            )
    return rows


def page_of(results: Results) -> CompareView:
    template = shipped_folder("site_template")
    words = read_words(template)
    return compare_view(
        Context(
            results=results,
            words=words,
            renderer=renderer(template, words),
            published={},
            author_html=None,
        )
    )


def said(view: CompareView, number: int = 0) -> str:
    """Return the verdict of a comparison as it is read."""
    shown = re.sub(
        r"<span popover.*?</a>\s*</span>", "", view.items[number].verdict, flags=re.DOTALL
    )
    return " ".join(html.unescape(re.sub(r"<[^>]+>", "", shown)).replace("\u202f", " ").split())


STATED = """\
  buoy: {name: Buoy, ids: [n-1], transmit_power_dbm: 14, antenna: {name: whip, gain_dbi: 2}}
  cork: {name: Cork, ids: [n-2], transmit_power_dbm: 14, antenna: {name: stub, gain_dbi: -2}}
"""
BARE = "  buoy: {name: Buoy, ids: [n-1]}\n  cork: {name: Cork, ids: [n-2]}\n"
SWAP = (
    "node_changes: {buoy: {antenna: {name: stub, gain_dbi: -2}}, "
    "cork: {antenna: {name: whip, gain_dbi: 2}}}"
)
ASK_NODES = "comparisons:\n  - {nodes: [buoy, cork], walks: [t, u]}\n"


def test_nodes_that_changed_over_are_paired_by_what_they_had(tmp_path: Path) -> None:
    """The stub is 6 dB weaker whoever carries it; by node the two walks would cancel out."""
    walks = {
        "t": Walked(weaker_db=(0.0, 6.0)),
        "u": Walked(weaker_db=(6.0, 0.0), day=1, more=SWAP),
    }

    view = page_of(results_of(tmp_path / "c", walks, nodes=STATED, asked=ASK_NODES))

    assert view.items[0].is_evidence
    assert re.search(r"the signal of the stub was (5\.[5-9]|6\.[0-5]) dB weaker", said(view))
    assert "neither the day nor the radios" in said(view)


def test_a_power_of_one_radio_that_nobody_stated_is_on_both_sides_after_a_swap(
    tmp_path: Path,
) -> None:
    nodes = STATED.replace(" transmit_power_dbm: 14,", "")
    walks = {
        "t": Walked(weaker_db=(0.0, 6.0)),
        "u": Walked(weaker_db=(6.0, 0.0), day=1, more=SWAP),
    }

    results = results_of(tmp_path / "c", walks, nodes=nodes, asked=ASK_NODES)

    assert results.compared.items[0].factors == ("antenna",)


def test_nodes_of_which_nothing_is_stated_are_no_evidence_about_power(tmp_path: Path) -> None:
    view = page_of(results_of(tmp_path / "c", {"t": Walked(weaker_db=(0.0, 6.0))}, nodes=BARE))

    assert "Nothing is stated of how the two nodes differ" in said(view)
    assert "power" not in said(view)


def test_a_data_rate_that_only_the_log_tells_is_a_factor(tmp_path: Path) -> None:
    """No data_rate is mapped: the spreading factor has to tell it."""
    walks = {
        "a": Walked(more="factors: {antenna: whip}", sf=10),
        "b": Walked(more="factors: {antenna: stub}", day=1),
    }

    (item,) = results_of(tmp_path / "c", walks).compared.items

    assert item.standing == "confounded"
    assert item.factors == ("antenna", "data rate")
    assert "rates" in item.measured.apart


def test_what_is_not_known_is_not_called_alike(tmp_path: Path) -> None:
    """Neither data rate nor spreading factor is in the log."""
    folder = tmp_path / "c"
    walks = {
        "a": Walked(more="factors: {antenna: whip}"),
        "b": Walked(more="factors: {antenna: stub}", day=1),
    }
    results_of(folder, walks)
    path = folder / "campaign.yaml"
    path.write_text(path.read_text("utf-8").replace("spreading_factor: sf, ", ""), "utf-8")

    (item,) = assemble(join(read_campaign(folder))).compared.items

    assert "rates" not in (*item.measured.apart, *item.measured.alike)
    assert "density" in item.measured.alike


def test_a_side_that_holds_two_settings_is_no_evidence(tmp_path: Path) -> None:
    """Whip and stub on either side, and days 3 and 4 were 6 dB down for everybody."""
    whip, stub = "factors: {antenna: whip}", "factors: {antenna: stub}"
    walks = {
        "a": Walked(more=whip), "b": Walked(more=stub, day=1),
        "c": Walked(more=stub, day=2, weaker_db=(6.0,)),
        "d": Walked(more=whip, day=3, weaker_db=(6.0,)),
    }  # fmt: skip
    asked = "comparisons:\n  - {first: [a, b], second: [c, d]}\n"

    view = page_of(results_of(tmp_path / "c", walks, asked=asked))

    assert not view.items[0].is_evidence
    assert said(view).startswith("No comparison of settings")


def test_walks_of_which_nothing_is_stated_are_not_called_alike(tmp_path: Path) -> None:
    view = page_of(results_of(tmp_path / "c", {"a": Walked(), "b": Walked(day=1)}))

    assert view.items[0].badge == "setting not stated"
    assert said(view).startswith("Nothing is stated of how these walks were set")


def test_a_factor_stated_for_one_side_only_was_not_changed(tmp_path: Path) -> None:
    """It may differ, and the page says that it is not stated."""
    walks = {
        "a": Walked(more="factors: {antenna: whip, pocket: left}"),
        "b": Walked(more="factors: {antenna: stub}", day=1),
    }

    view = page_of(results_of(tmp_path / "c", walks))

    assert "Not stated on both sides, so it may differ: pocket." in view.items[0].differ
    assert "changed at once" not in said(view)


def test_a_spreading_factor_stated_for_one_side_and_alike_in_the_log_differs_not(
    tmp_path: Path,
) -> None:
    walks = {
        "a": Walked(more="factors: {antenna: whip, spreading factor: 7}"),
        "b": Walked(more="factors: {antenna: stub}", day=1),
    }

    (item,) = results_of(tmp_path / "c", walks).compared.items

    assert item.factors == ("antenna",)


def test_a_setting_walked_once_is_said_to_be(tmp_path: Path) -> None:
    """The other was walked on three days: how days differ was measured, for one setting."""
    whip = "factors: {antenna: whip}"
    walks = {
        "a": Walked(more=whip), "b": Walked(more=whip, day=1), "c": Walked(more=whip, day=2),
        "d": Walked(more="factors: {antenna: stub}", day=3, weaker_db=(6.0,)),
    }  # fmt: skip

    view = page_of(results_of(tmp_path / "c", walks))

    assert "“d” was walked on one occasion only" in said(view)
    assert "was not measured" not in said(view)


def test_walks_of_two_routes_name_both(tmp_path: Path) -> None:
    walks = {
        "a": Walked(more="factors: {antenna: whip}"),
        "b": Walked(more="factors: {antenna: stub}", day=1, route="dike"),
    }
    asked = "comparisons:\n  - {first: [a], second: [b]}\n"

    view = page_of(results_of(tmp_path / "c", walks, asked=asked))

    assert "Different routes: strand and dike" in view.items[0].differ


def test_a_design_without_an_interval_is_no_evidence(tmp_path: Path) -> None:
    """Both nodes carried together over ground too short for five stretches."""
    folder = tmp_path / "c"
    results_of(folder, {"t": Walked(weaker_db=(0.0, 6.0))}, nodes=STATED)
    log = folder / "t.csv"
    log.write_text("\n".join(log.read_text("utf-8").splitlines()[:100]) + "\n", "utf-8")

    view = page_of(assemble(join(read_campaign(folder))))

    assert not view.items[0].is_evidence
    assert view.items[0].badge == "too little to say"
    assert "not known" not in said(view)


@pytest.mark.parametrize(("adaptive", "hidden"), [("true", ("transmit power",)), ("false", ())])
def test_power_that_the_network_set_may_differ(
    tmp_path: Path, adaptive: str, hidden: tuple[str, ...]
) -> None:
    """With adaptive rate a better antenna is answered with less power."""
    walks = {
        "a": Walked(more=f"adaptive_rate: {adaptive}, factors: {{antenna: whip}}"),
        "b": Walked(more=f"adaptive_rate: {adaptive}, factors: {{antenna: stub}}", day=1),
    }

    (item,) = results_of(tmp_path / "c", walks).compared.items

    assert item.pair.apart.unstated == hidden
