"""The clocks of the example's cameras, with and without a word of the author's."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from reportgen.errors import Severity
from reportgen.match.camera_clocks import CameraFinding
from reportgen.match.join import Joined, join
from reportgen.model.campaign import Campaign
from reportgen.model.photo import CameraClock, PhotoMetadata
from reportgen.read.folder import read_campaign

ROOT = Path(__file__).resolve().parents[2]
COMPACT, PHONE = "Drawn Sketch One", "Drawn Sketch Two"
TRUE_AHEAD_S = 97.0


@pytest.fixture(scope="module")
def campaign() -> Campaign:
    return read_campaign(ROOT / "example_campaign")


@pytest.fixture(scope="module")
def unstated(campaign: Campaign) -> Joined:
    """Return the example as if nobody had said anything of the cameras."""
    return join(replace(campaign, cameras=()))


def of(joined: Joined, camera: str) -> CameraFinding:
    return next(finding for finding in joined.cameras if finding.camera == camera)


def codes(joined: Joined) -> dict[str, str]:
    return {p.code: p.found for p in joined.problems if p.code.startswith("match/camera-")}


def changed(
    campaign: Campaign, camera: str, change: Callable[[PhotoMetadata], PhotoMetadata]
) -> Campaign:
    """Return a campaign in which the photos of one camera say something else."""
    photos = tuple(
        replace(photo, metadata=change(photo.metadata))
        if photo.metadata.camera == camera
        else photo
        for photo in campaign.photos
    )
    return replace(campaign, photos=photos)


def test_a_clock_that_nobody_stated_is_found_and_used(unstated: Joined) -> None:
    """The example's compact ran 97 s ahead; three of its photos have a place."""
    finding = of(unstated, COMPACT)

    assert finding.is_used
    assert finding.found is not None
    assert finding.found.low_s < TRUE_AHEAD_S < finding.found.high_s
    assert finding.used_s == pytest.approx(TRUE_AHEAD_S, abs=30.0)
    assert "match/camera-clock-found" in codes(unstated)


def test_every_photo_of_that_camera_is_corrected_and_says_by_whom(unstated: Joined) -> None:
    """One of them has no place of its own: it is placed by the corrected time."""
    mine = [m for m in unstated.photos if m.photo.metadata.camera == COMPACT and m.time.time_utc]

    assert len(mine) == 4
    assert {match.time.corrected_by for match in mine} == {"photos"}
    assert all(match.disagreement_m is None for match in mine)
    flank = next(match for match in mine if match.photo.key == "09-east-flank")
    assert flank.position_how == "track"


def test_a_telephone_whose_clock_is_right_is_left_alone(unstated: Joined) -> None:
    finding = of(unstated, PHONE)

    assert finding.found is not None
    assert not finding.is_used
    assert finding.gps_ahead_s == pytest.approx(1.5, abs=1.0)
    assert all(
        match.time.corrected_s == 0.0
        for match in unstated.photos
        if match.photo.metadata.camera == PHONE
    )


def test_what_the_author_states_agrees_with_the_photos(campaign: Campaign) -> None:
    joined = join(campaign)
    finding = of(joined, COMPACT)

    assert finding.found is not None
    assert finding.found.low_s < finding.stated_s < finding.found.high_s
    assert codes(joined) == {}


@pytest.mark.parametrize(
    "clock",
    [
        CameraClock(camera=COMPACT, ahead_s=-300.0),
        CameraClock(ahead_s=-300.0),
        CameraClock(camera=COMPACT, time_zone="Europe/Paris"),
    ],
)
def test_a_stated_clock_or_zone_wins_and_is_contradicted_aloud(
    campaign: Campaign, clock: CameraClock
) -> None:
    """For one camera or for all: the author's word is never overruled."""
    joined = join(replace(campaign, cameras=(clock,)))

    finding = of(joined, COMPACT)
    assert not finding.is_used
    assert finding.used_s == (clock.ahead_s or 0.0)
    assert "match/camera-clock-differs" in codes(joined)
    strand = next(m for m in joined.photos if m.photo.key == "10-strand")
    assert strand.time.corrected_s == (clock.ahead_s or 0.0)


def test_a_telephone_in_another_zone_is_recognised_as_such(campaign: Campaign) -> None:
    """Its offset says +02:00, its clock shows +01:00, and it has no GPS time."""
    campaign = changed(campaign, PHONE, lambda m: replace(m, utc_offset_s=7200, gps_time_utc=None))
    joined = join(replace(campaign, cameras=()))

    finding = of(joined, PHONE)
    assert finding.used_s == -3600.0
    assert "wrong time zone" in codes(joined)["match/camera-zone-wrong"]
    quay = next(m for m in joined.photos if m.photo.key == "01-quay")
    assert quay.time.time_utc == dt.datetime(2026, 6, 9, 9, 5, 51, 370_000, tzinfo=dt.UTC)


def test_gps_times_that_disagree_keep_the_clock_as_it_is(campaign: Campaign) -> None:
    """Two witnesses who contradict each other convict nobody."""
    campaign = changed(
        campaign,
        PHONE,
        lambda m: replace(m, local_time=m.local_time and m.local_time + dt.timedelta(minutes=5)),
    )
    lying = changed(
        campaign,
        PHONE,
        lambda m: replace(
            m, gps_time_utc=m.gps_time_utc and m.gps_time_utc + dt.timedelta(minutes=5)
        ),
    )

    agreeing = join(campaign)
    assert of(agreeing, PHONE).is_used
    assert set(codes(agreeing)) == {"match/camera-clock-found"}
    finding = of(join(lying), PHONE)
    assert finding.found is not None
    assert finding.found.is_clear
    assert finding.is_denied_by_gps
    assert finding.used_s == 0.0
    assert {"match/camera-clock-differs", "match/camera-gps-differs"} <= set(codes(join(lying)))


def test_gps_times_alone_are_said_and_not_used(campaign: Campaign) -> None:
    """Without places there is no estimate; a fix may be old, so its time corrects nothing."""
    campaign = changed(campaign, PHONE, lambda m: replace(m, position=None, utc_offset_s=7200))
    joined = join(campaign)

    finding = of(joined, PHONE)
    assert finding.found is None
    assert finding.used_s == 0.0
    assert "59 min 58 s behind" in codes(joined)["match/camera-gps-differs"]


def test_old_fixes_are_no_witness(campaign: Campaign) -> None:
    """Each is older by another time: no three agree."""
    ages = iter(range(0, 10_000, 60))
    campaign = changed(
        campaign,
        PHONE,
        lambda m: replace(
            m, gps_time_utc=m.gps_time_utc and m.gps_time_utc - dt.timedelta(seconds=next(ages))
        ),
    )

    assert of(join(campaign), PHONE).gps_ahead_s is None


def test_a_found_clock_is_a_warning_that_says_what_to_do(unstated: Joined) -> None:
    problem = next(p for p in unstated.problems if p.code == "match/camera-clock-found")

    assert problem.severity is Severity.WARNING
    assert problem.where.path == "photos/03-out-to-sea.jpg"
    assert COMPACT in problem.found
    assert "clock_ahead_s" in problem.do
    assert problem.count == 3
