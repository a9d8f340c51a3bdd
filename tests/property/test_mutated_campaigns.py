"""Any file of a campaign, damaged in any way: a campaign that adds up, or problems spelt out."""

from __future__ import annotations

import shutil
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from reportgen.cli.checking import check_campaign
from reportgen.errors import CampaignError
from reportgen.model.campaign import Campaign
from reportgen.read.folder import read_campaign
from tests.conftest import ROOT
from tests.read.promises import must_add_up, must_be_spelt_out
from tests.read.whole_campaign import FILES, whole

LONGEST_S = 10.0
EXAMPLE = ROOT / "example_campaign"
EXAMPLE_FILES = (
    "campaign.yaml",
    "conclusions.md",
    "logs/quay-first.csv",
    "logs/both-nodes.jsonl",
    "logs/hill-sf7-node.txt",
    "tracks/hill-sf7.gpx",
    "overlays/coast.geojson",
    "photos/01-quay.jpg",
)
MANY = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
FEW = settings(
    max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)

Damage = Callable[[bytes], bytes]
shares = st.floats(0, 1, exclude_max=True)


@st.composite
def damages(draw: st.DrawFn) -> Damage:
    """Draw something that goes wrong with a file: bits, pieces, lines."""
    kind = draw(st.sampled_from(["flip", "cut", "drop", "insert", "double", "swap", "replace"]))
    at, to, bit = draw(shares), draw(shares), draw(st.integers(0, 7))
    piece = draw(
        st.binary(min_size=1, max_size=6)
        | st.sampled_from([b"\0" * 64, b"\n", b'"', b"\xff\xfe", b"{", b"]", b"<", b"-", b"9" * 30])
    )

    def damage(content: bytes) -> bytes:
        first, last = sorted((int(at * len(content)), int(to * len(content))))
        lines = content.splitlines(keepends=True) or [b""]
        one, two = int(at * len(lines)), int(to * len(lines))
        if kind == "swap":
            lines[one], lines[two] = lines[two], lines[one]
            return b"".join(lines)
        if kind == "double":
            return b"".join((*lines[: one + 1], *lines[one:]))
        flipped = bytes([content[first] ^ 1 << bit]) if content else b""
        return {
            "flip": content[:first] + flipped + content[first + 1 :],
            "cut": content[:first],
            "drop": content[:first] + content[last:],
            "insert": content[:first] + piece + content[first:],
            "replace": content[:first] + piece + content[first + len(piece) :],
        }[kind]

    return damage


several = st.lists(damages(), min_size=1, max_size=3)


@pytest.fixture(autouse=True)
def never_stuck() -> Iterator[None]:
    """End what would never end."""
    if not hasattr(signal, "SIGALRM"):
        yield
        return

    def late(*_: object) -> None:
        raise TimeoutError("a campaign is still being read")

    before = signal.signal(signal.SIGALRM, late)
    signal.alarm(300)
    yield
    signal.alarm(0)
    signal.signal(signal.SIGALRM, before)


def damaged(folder: Path, name: str, damages_done: list[Damage]) -> None:
    content = (folder / name).read_bytes()
    for damage in damages_done:
        content = damage(content)
    (folder / name).write_bytes(content)


def reads_or_explains(folder: Path) -> None:
    start = time.process_time()
    try:
        campaign = read_campaign(folder)
    except CampaignError as error:
        must_be_spelt_out(error.problems)
    else:
        adds_up(campaign)
    assert time.process_time() - start < LONGEST_S


def adds_up(campaign: Campaign) -> None:
    must_add_up(campaign.accounts)
    used = {"rows": 0, "records": 0, "track points": 0, "photos": 0}
    for account in campaign.accounts:
        used[account.unit] += account.used
    assert used["rows"] + used["records"] == len(campaign.records)
    assert used["track points"] == len(campaign.track_points)
    assert used["photos"] == len(campaign.photos)
    if campaign.problems:
        must_be_spelt_out(campaign.problems)


@pytest.mark.parametrize("name", FILES.values())
@MANY
@given(done=several)
def test_a_damaged_file_is_read_or_explained(
    name: str, done: list[Damage], tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = whole(tmp_path_factory.mktemp("campaign"))
    damaged(folder, name, done)

    reads_or_explains(folder)

    shutil.rmtree(folder)


@pytest.mark.parametrize("name", EXAMPLE_FILES)
@FEW
@given(done=several)
def test_a_damaged_file_of_the_example_is_read_or_explained(
    name: str, done: list[Damage], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Longer files, with every key that people use."""
    folder = tmp_path_factory.mktemp("example") / "campaign"
    shutil.copytree(EXAMPLE, folder)
    damaged(folder, name, done)

    reads_or_explains(folder)

    shutil.rmtree(folder)


@pytest.mark.parametrize("name", FILES.values())
@FEW
@given(done=several)
def test_what_is_read_can_be_checked(
    name: str, done: list[Damage], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Matching and computing take what the readers let through; both stop with problems only."""
    folder = whole(tmp_path_factory.mktemp("campaign"))
    damaged(folder, name, done)

    try:
        report = check_campaign(folder, lambda _: None)
    except CampaignError as error:
        must_be_spelt_out(error.problems)
    else:
        assert report.lines

    shutil.rmtree(folder)


def test_a_track_time_of_another_year_costs_no_time(tmp_path: Path) -> None:
    """Found by mutation: steps of ten seconds through 73 years took four minutes."""
    folder = whole(tmp_path)
    text = (folder / "ridge.gpx").read_text("utf-8")
    (folder / "ridge.gpx").write_text(text.replace("2026-03-03T10:00:30", "2099-03-03T10:00:30"))
    start = time.process_time()

    report = check_campaign(folder, lambda _: None)

    assert "gpx/time-backwards" in {problem.code for problem in report.problems}
    assert time.process_time() - start < LONGEST_S
