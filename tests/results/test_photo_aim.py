"""Which way a photo looked, and what is said where that is not known."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from reportgen.match.join import Joined, join
from reportgen.match.photos import PhotoMatch
from reportgen.model.photo import PhotoMetadata
from reportgen.read.folder import read_campaign
from reportgen.results.figure import Absent, Figure, FigureBook
from reportgen.results.path_interval import with_path_column
from reportgen.results.photos import photo_figures

ROOT = Path(__file__).resolve().parents[2]
MAGNETIC, TRUE = "04-mole-end", "07-shoulder"


@pytest.fixture(scope="module")
def joined() -> Joined:
    return with_path_column(join(read_campaign(ROOT / "example_campaign")))


def figures(
    joined: Joined, photo: str, *, declination_deg: float | None = None, **metadata: object
) -> dict[str, Figure]:
    """Return the figures of a photo whose file says something else."""
    joined = replace(joined, campaign=replace(joined.campaign, declination_deg=declination_deg))
    match = next(match for match in joined.photos if match.photo.key == photo)
    book = FigureBook.of(photo_figures(_saying(match, metadata), joined))
    return {figure.name.removeprefix(f"photo.{photo}."): figure for figure in book}


def _saying(match: PhotoMatch, metadata: dict[str, object]) -> PhotoMatch:
    says: PhotoMetadata = replace(match.photo.metadata, **metadata)  # type: ignore[arg-type]
    return replace(match, photo=replace(match.photo, metadata=says))


def test_a_stated_declination_turns_the_heading_and_names_no_model(joined: Joined) -> None:
    found = figures(joined, MAGNETIC, declination_deg=-6.5)

    assert found["heading_deg"].number == pytest.approx(297.0)
    assert found["declination_deg"].method == "declination-stated"
    assert found["declination_deg"].source == ""


def test_without_one_the_model_of_the_field_does_and_says_which(joined: Joined) -> None:
    """At 49.2 N 23.6 W in June 2026 magnetic north lies some 7 degrees west."""
    found = figures(joined, MAGNETIC)

    assert found["declination_deg"].number == pytest.approx(-7.33, abs=0.02)
    assert found["declination_deg"].source == "WMM-2025"
    assert found["heading_deg"].number == pytest.approx(303.5 - 7.33, abs=0.02)


def test_a_heading_from_true_north_is_not_turned(joined: Joined) -> None:
    found = figures(joined, TRUE, declination_deg=-6.5)

    assert found["heading_deg"].number == found["heading_stated_deg"].number
    assert "declination_deg" not in found


@pytest.mark.parametrize(
    ("unknown", "absent"),
    [("heading_deg", Absent.NO_HEADING), ("heading_reference", Absent.NO_NORTH)],
)
def test_a_heading_that_cannot_be_used_points_nowhere(
    joined: Joined, unknown: str, absent: Absent
) -> None:
    """From an unknown north it could be off by the whole declination: better none."""
    found = figures(joined, MAGNETIC, declination_deg=None, **{unknown: None})

    names = ("heading_deg", "pointer_turn_deg", "pointer_error_deg", "pointer_share")
    assert [found[name].absent_reason for name in names] == [absent] * 4


def test_without_a_lens_the_angle_is_known_and_the_place_in_the_picture_is_not(
    joined: Joined,
) -> None:
    found = figures(joined, TRUE, focal_length_35mm_mm=None)

    assert found["pointer_turn_deg"].number is not None
    assert found["field_of_view_deg"].absent_reason is Absent.NO_LENS
    assert found["pointer_share"].absent_reason is Absent.NO_LENS


def test_a_worse_position_than_the_campaigns_makes_the_pointer_worse(joined: Joined) -> None:
    """The photo's own GPSHPositioningError counts where it is the larger."""
    plain = figures(joined, TRUE)["pointer_error_deg"].number
    vague = figures(joined, TRUE, position_error_m=400.0)["pointer_error_deg"].number

    assert plain is not None
    assert vague is not None
    assert vague > 2 * plain


def test_a_station_at_the_photographers_feet_is_not_pointed_at(joined: Joined) -> None:
    found = figures(joined, TRUE, position_error_m=5_000.0)

    assert found["pointer_turn_deg"].absent_reason is Absent.TOO_NEAR


def test_the_interval_of_the_pointer_ends_at_the_edges_of_the_picture(joined: Joined) -> None:
    """With a long lens the compass's error is wider than the picture."""
    found = figures(joined, MAGNETIC, declination_deg=-6.5, focal_length_35mm_mm=200.0)

    share = found["pointer_share"]
    assert share.number is not None
    assert (share.low, share.high) == (0.0, 1.0)


def test_a_station_behind_the_camera_is_outside_the_picture(joined: Joined) -> None:
    found = figures(joined, TRUE, heading_deg=13.0)

    turn_deg = found["pointer_turn_deg"].number
    assert turn_deg is not None
    assert abs(turn_deg) > 170
    assert found["pointer_share"].absent_reason is Absent.OUTSIDE_PICTURE


def test_an_end_of_the_interval_beside_the_camera_is_the_pictures_edge(joined: Joined) -> None:
    """A very wide lens and a very vague place: the tangent of 90 degrees and more means nothing."""
    found = figures(
        joined, TRUE, heading_deg=243.3, focal_length_35mm_mm=13.0, position_error_m=820.0
    )

    turn, share = found["pointer_turn_deg"], found["pointer_share"]
    assert turn.low is not None
    assert turn.low < -90
    assert share.low == 0.0
