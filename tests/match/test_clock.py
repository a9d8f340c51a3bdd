from __future__ import annotations

import datetime as dt

from reportgen.match.clock import photo_time
from reportgen.model.photo import CameraClock, PhotoMetadata

NOON = dt.datetime(2026, 6, 9, 12, 0)  # noqa: DTZ001 - a camera's clock has no zone
GPS = dt.datetime(2026, 6, 9, 11, 58, tzinfo=dt.UTC)


def metadata(**values: object) -> PhotoMetadata:
    return PhotoMetadata(width_px=4, height_px=3, **values)  # type: ignore[arg-type]


def test_the_offset_in_the_photo_is_trusted_first() -> None:
    found = photo_time(
        metadata(local_time=NOON, utc_offset_s=3 * 3600, gps_time_utc=GPS),
        (CameraClock(time_zone="Asia/Tokyo"),),
        "Europe/Paris",
    )

    assert found.time_utc == dt.datetime(2026, 6, 9, 9, 0, tzinfo=dt.UTC)
    assert found.how == "offset in the photo"


def test_a_stated_camera_zone_comes_before_the_campaigns() -> None:
    clocks = (CameraClock(time_zone="Asia/Tokyo"),)

    found = photo_time(metadata(local_time=NOON), clocks, "Europe/Paris")

    assert found.time_utc == dt.datetime(2026, 6, 9, 3, 0, tzinfo=dt.UTC)
    assert found.how == "camera zone"


def test_a_clock_named_for_the_camera_wins_over_one_for_all() -> None:
    """A clock that ran 97 s ahead showed noon 97 s early: the truth is before noon."""
    clocks = (CameraClock(ahead_s=10), CameraClock(camera="Box 1", ahead_s=97))

    found = photo_time(metadata(local_time=NOON, camera="Box 1"), clocks, "UTC")

    assert found.time_utc == dt.datetime(2026, 6, 9, 11, 58, 23, tzinfo=dt.UTC)
    assert found.corrected_s == 97


def test_without_a_camera_time_the_last_fix_is_used_and_not_corrected() -> None:
    found = photo_time(metadata(gps_time_utc=GPS), (CameraClock(ahead_s=97),), "UTC")

    assert (found.time_utc, found.how, found.corrected_s) == (GPS, "GPS time", 0.0)


def test_a_photo_without_any_time_stays_without() -> None:
    assert photo_time(metadata(), (), "UTC").time_utc is None


def test_what_the_photos_say_is_taken_off_where_the_author_says_nothing() -> None:
    found = photo_time(metadata(local_time=NOON, camera="Box 1"), (), "UTC", {"Box 1": 97.0})

    assert found.time_utc == dt.datetime(2026, 6, 9, 11, 58, 23, tzinfo=dt.UTC)
    assert (found.corrected_s, found.corrected_by) == (97.0, "photos")


def test_a_clock_stated_as_right_is_not_corrected_by_its_photos() -> None:
    """Zero is a statement, too."""
    clocks = (CameraClock(camera="Box 1", ahead_s=0.0),)

    found = photo_time(metadata(local_time=NOON, camera="Box 1"), clocks, "UTC", {"Box 1": 97.0})

    assert (found.corrected_s, found.corrected_by) == (0.0, "")


def test_a_camera_that_is_merely_listed_says_nothing_of_its_clock() -> None:
    """As a description begun by the program lists it, before anybody filled it in."""
    clocks = (CameraClock(camera="Box 1"),)

    found = photo_time(metadata(local_time=NOON, camera="Box 1"), clocks, "UTC", {"Box 1": 97.0})

    assert found.corrected_s == 97.0


def test_a_correction_beyond_the_calendar_leaves_no_time() -> None:
    """A camera without a battery writes the year 1."""
    first = dt.datetime(1, 1, 1)  # noqa: DTZ001 - a camera's clock has no zone

    assert photo_time(metadata(local_time=first), (CameraClock(ahead_s=97),), "UTC").how == ""
