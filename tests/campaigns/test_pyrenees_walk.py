"""A mountain walk photographed by others: places by time, against independent figures.

Source of every expected value: README.md of the folder of real inputs, section 4.
"""

from __future__ import annotations

import pytest

from reportgen.match.photos import PhotoMatch
from reportgen.results.assemble import Results

pytestmark = pytest.mark.shared


def photo(results: Results, key: str) -> PhotoMatch:
    return next(match for match in results.joined.photos if match.photo.key == key)


@pytest.mark.parametrize(
    ("key", "utc", "latitude_deg", "longitude_deg", "gap_s"),
    [
        ("dsc01418", "2022-10-14T09:16:21+00:00", 42.3047855, 2.1676038, 66),
        ("dsc01476", "2022-10-14T13:41:41+00:00", 42.2896736, 2.2001744, 413),
        ("dsc01520", "2022-10-14T15:13:08+00:00", 42.2807890, 2.2100606, 955),
    ],
)
def test_photo_is_placed_by_interpolation_in_time(
    pyrenees: Results, key: str, utc: str, latitude_deg: float, longitude_deg: float, gap_s: float
) -> None:
    match = photo(pyrenees, key)

    assert match.time.time_utc is not None
    assert match.time.time_utc.isoformat() == utc
    assert match.position is not None
    assert match.position_how == "track"
    assert match.position.latitude_deg == pytest.approx(latitude_deg, abs=5e-8)
    assert match.position.longitude_deg == pytest.approx(longitude_deg, abs=5e-8)
    assert match.on_track is not None
    assert match.on_track.gap_s == gap_s


@pytest.mark.parametrize(
    ("key", "residual_s", "latitude_deg", "longitude_deg"),
    [
        ("dsc01418", -24, 42.3050038, 2.1677418),
        ("dsc01476", -111, 42.2898444, 2.1999711),
        ("dsc01520", 203, 42.2808151, 2.2099826),
    ],
)
def test_nearest_track_point_in_time_has_its_residual(
    pyrenees: Results, key: str, residual_s: float, latitude_deg: float, longitude_deg: float
) -> None:
    match = photo(pyrenees, key)

    assert match.on_track is not None
    nearest = match.on_track.nearest
    assert nearest.time_residual_s == residual_s
    assert nearest.position.latitude_deg == pytest.approx(latitude_deg, abs=5e-8)
    assert nearest.position.longitude_deg == pytest.approx(longitude_deg, abs=5e-8)


def test_a_place_across_a_long_gap_is_called_unsure(pyrenees: Results) -> None:
    """955 s without a track point: the place is given, and said to be rough."""
    unsure = [p.where.path for p in pyrenees.joined.problems if p.code == "match/photo-unsure"]

    assert unsure == ["photos/dsc01476.jpg", "photos/dsc01520.jpg"]


def test_track_has_the_independent_length(pyrenees: Results) -> None:
    length_m = pyrenees.figures["walk.october.track_length_m"].number

    assert length_m == pytest.approx(14_344.9, abs=0.05)


def test_without_logs_nothing_is_claimed_to_be_heard_or_missed(pyrenees: Results) -> None:
    figures = pyrenees.figures

    assert figures["campaign.delivery_ratio"].absent_reason == "nothing-sent"
    assert figures["campaign.farthest_heard_m"].absent_reason == "nothing-heard"
