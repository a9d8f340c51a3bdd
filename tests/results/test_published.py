"""What the site is made from knows no file, no device and no raw row."""

from __future__ import annotations

import dataclasses
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

from reportgen.match.join import Joined, join
from reportgen.model.campaign import Publishing
from reportgen.read.folder import read_campaign
from reportgen.results.published import photo_keys, published, published_paths
from reportgen.results.reveals import reveals
from tests.campaigns.private_values import private_values
from tests.made_results import assembled

EXAMPLE = Path(__file__).parents[2] / "example_campaign"


@pytest.fixture(scope="module")
def joined() -> Joined:
    return join(read_campaign(EXAMPLE))


def texts_in(value: object) -> list[str]:
    """Return every text that can be reached from a value."""
    if isinstance(value, str):
        return [value]
    if isinstance(value, pd.DataFrame):
        return [text for column in value for text in texts_in(tuple(value[column].unique()))]
    if dataclasses.is_dataclass(value):
        return [
            text
            for field in dataclasses.fields(value)
            for text in texts_in(getattr(value, field.name))
        ]
    if isinstance(value, dict):
        return [text for pair in value.items() for text in texts_in(pair)]
    if isinstance(value, tuple | list):
        return [text for inner in value for text in texts_in(inner)]
    return []


def test_nothing_private_can_be_reached_from_what_pages_are_given(joined: Joined) -> None:
    """A page can't let out what it never had; the author's own calls of photos apart."""
    values = private_values(EXAMPLE)
    private = {text.casefold() for found in values.values() for text in found}
    given = replace(published(joined), photo_keys=())

    reached = "\n".join(texts_in(given)).casefold()

    assert [text for text in private if text in reached] == []
    before = "\n".join(texts_in(joined)).casefold()
    assert {"quay-first.csv", "04-mole-end", "aaaa0000000057a9"} <= {
        text for text in private if text in before
    }


def test_files_are_numbered_in_the_order_of_the_description(joined: Joined) -> None:
    names = published_paths(joined)

    assert names["logs/hill-sf7-node.txt"] == "log-5"
    assert names["tracks/quay-stub.gpx"] == "track-6"
    assert names["photos/04-mole-end.jpg"] == "photo-4"
    assert names["overlays/coast.geojson"] == "overlay-1"
    assert names["campaign.yaml"] == "campaign.yaml"
    assert names["conclusions.md"] == "conclusions"
    assert len(set(names.values())) == len(names)


def test_figures_say_the_same_under_their_new_names(joined: Joined) -> None:
    """Numbers depend on no name: only what they are called by changes."""
    before, after = assembled(joined).figures, assembled(published(joined)).figures

    assert len(before) == len(after)
    assert [figure.value for figure in before] == [figure.value for figure in after]
    assert after["photo.4.distance_m"].value == before["photo.04-mole-end.distance_m"].value
    assert "input.walk.hill-sf7.log-5.read" in after


def test_a_number_is_never_the_key_of_another_photos_file(joined: Joined) -> None:
    """An author who writes photo.2 for the file 2.jpg must not get the second photo."""
    first, second = joined.photos[:2]
    swapped = (
        replace(first, photo=replace(first.photo, key="2")),
        replace(second, photo=replace(second.photo, key="quay")),
    )

    assert photo_keys(swapped) == {"2": "1", "quay": "2-x"}


def test_the_author_can_let_everything_out(joined: Joined) -> None:
    asked = Publishing(identifiers=True, file_names=True)
    open_ = replace(joined, campaign=replace(joined.campaign, publishing=asked))

    shown = published(open_)
    assert shown.campaign.records.empty
    whole = replace(shown.campaign, records=open_.campaign.records)
    assert replace(shown, campaign=whole) == open_
    assert (reveals(open_).identifiers, reveals(open_).file_names) == (True, True)


def test_what_will_be_revealed_is_counted(joined: Joined) -> None:
    found = reveals(joined)

    assert found.authors == ("The network's station group",)
    assert [(station.name, station.is_own) for station in found.stations] == [
        ("Harbour office", True),
        ("Station on Brenn Law", False),
    ]
    assert (found.photos, found.bare_photos, found.boxes, found.unlisted) == (12, 12, 0, 1)
    assert (found.identifiers, found.file_names, found.cuts, found.left_out) == (
        False,
        False,
        0,
        0,
    )
