from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, PngImagePlugin

from reportgen.errors import CampaignError
from reportgen.model.campaign import Campaign
from reportgen.model.station import Position
from reportgen.read.folder import read_campaign
from reportgen.read.pictures import published_overlay
from reportgen.read.reading import CampaignFile
from tests.read.description_text import described

CORNERS = (
    "corners: {north_west: {latitude_deg: 38.51, longitude_deg: -28.27}, "
    "south_east: {latitude_deg: 38.49, longitude_deg: -28.24}}"
)
SWAPPED = (
    "latitude 38.48 of north_west, which is not north of south_east; longitude -28.2 of "
    "north_west, which is not west of south_east"
)


def png(path: Path, image: Image.Image) -> CampaignFile:
    """Write a PNG that tells of its maker."""
    told = PngImagePlugin.PngInfo()
    told.add_text("Author", "somebody who must not be named")
    image.save(path, "PNG", pnginfo=told)
    return CampaignFile(path, path.name)


def campaign(folder: Path, overlay: str, more: str = "") -> Campaign:
    described(folder, time_zone=f"time_zone: Europe/Lisbon\noverlays:\n  - {overlay}\n{more}")
    return read_campaign(folder)


def faults(folder: Path, overlay: str, more: str = "") -> list[tuple[str, str, str]]:
    """Return code, place and what was found of every error."""
    with pytest.raises(CampaignError) as raised:
        campaign(folder, overlay, more)
    return [(p.code, str(p.where), p.found) for p in raised.value.problems]


def test_a_picture_with_corners_is_read(tmp_path: Path) -> None:
    png(tmp_path / "plan.png", Image.new("RGB", (300, 200), "red"))

    (overlay,) = campaign(tmp_path, f"{{file: plan.png, title: Plan, {CORNERS}}}").picture_overlays

    assert overlay.north_west == Position(latitude_deg=38.51, longitude_deg=-28.27)
    assert overlay.south_east == Position(latitude_deg=38.49, longitude_deg=-28.24)
    assert (overlay.title, overlay.opacity_ratio) == ("Plan", 0.6)


def test_what_is_published_is_small_and_says_nothing_of_its_maker(tmp_path: Path) -> None:
    file = png(tmp_path / "plan.png", Image.new("RGB", (3000, 2000), "red"))

    published, problems = published_overlay(file, "overlay:plan.png")

    (picture,) = published.pictures
    assert problems == ()
    assert (picture.width_px, picture.height_px) == (1200, 800)
    assert b"somebody" in file.path.read_bytes()
    assert b"somebody" not in picture.content
    assert Image.open(io.BytesIO(picture.content)).format == "JPEG"


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P", "I;16", "L", "1"])
def test_every_kind_of_png_keeps_its_looks(mode: str, tmp_path: Path) -> None:
    """Dark on the left, light on the right; what is transparent turns white."""
    made = Image.new("LA", (200, 100), (255, 0))
    made.paste((20, 255), (0, 0, 100, 100))
    if mode == "I;16":
        row = np.repeat(np.array([5_000, 65_000], dtype=np.uint16), 100)
        made = Image.fromarray(np.tile(row, (100, 1)))
    elif mode in ("RGBA", "P"):
        made = made.convert("RGBA").convert(mode) if mode == "P" else made.convert("RGBA")
    elif mode in ("L", "1"):
        made = Image.new(mode, (200, 100), "white")
        made.paste(0, (0, 0, 100, 100))

    published, _ = published_overlay(png(tmp_path / "plan.png", made), "overlay:plan.png")

    shown = Image.open(io.BytesIO(published.pictures[0].content)).convert("L")
    left, right = shown.getpixel((30, 50)), shown.getpixel((170, 50))
    assert isinstance(left, int)
    assert isinstance(right, int)
    assert left < 40
    assert right > 230


def test_bytes_that_are_no_picture_stop_the_build_with_their_file(tmp_path: Path) -> None:
    (tmp_path / "plan.png").write_bytes(b"\x89PNG\r\n\x1a\nnothing more")

    ((code, where, found),) = faults(tmp_path, f"{{file: plan.png, {CORNERS}}}")

    assert (code, where) == ("overlay/picture-unreadable", "plan.png")
    assert str(tmp_path) not in found


def test_a_picture_cut_short_is_found_out_by_check(tmp_path: Path) -> None:
    """Its header is sound: only decoding tells."""
    file = png(tmp_path / "plan.png", Image.effect_noise((400, 400), 90))
    content = file.path.read_bytes()
    file.path.write_bytes(content[: len(content) // 2])

    assert faults(tmp_path, f"{{file: plan.png, {CORNERS}}}")[0][0] == "overlay/picture-unreadable"


def test_geojson_does_not_take_corners(tmp_path: Path) -> None:
    (tmp_path / "coast.geojson").write_text('{"type": "Point", "coordinates": [0, 0]}')

    assert faults(tmp_path, f"{{file: coast.geojson, {CORNERS}}}")[0][0] == (
        "overlay/picture-unreadable"
    )


@pytest.mark.parametrize(
    ("overlay", "code", "where", "found"),
    [
        (
            "{file: plan.png}",
            "overlay-kind", "campaign.yaml:4:6", "the picture plan.png without corners",
        ),
        (
            "{file: coast.geojson, opacity: 0.5}",
            "overlay-kind", "campaign.yaml:4:27", "an opacity of something that is no picture",
        ),
        (
            f"{{file: plan.png, {CORNERS.replace('38.51', '38.48').replace('-28.27', '-28.2')}}}",
            "overlay-corners", "campaign.yaml:4:22", SWAPPED,
        ),
        (
            "{file: plan.png, corners: {north_west: {latitude_deg: 38.51, longitude_deg: -28.27}}}",
            "missing-key", "campaign.yaml:4:22", "no key south_east in overlays[1].corners",
        ),
        (
            f"{{file: plan.png, opacity: 7, {CORNERS}}}",
            "value", "campaign.yaml:4:31", "overlays[1].opacity = 7",
        ),
    ],
)  # fmt: skip
def test_a_fault_of_an_overlay_is_reported_at_its_line(
    overlay: str, code: str, where: str, found: str, tmp_path: Path
) -> None:
    # The files are missing besides, which is told of in the same run.
    told = [fault for fault in faults(tmp_path, overlay) if fault[0] != "path/missing"]
    ((got_code, got_where, got_found),) = told

    assert got_code == f"description/{code}"
    assert got_where == where
    assert got_found == found


def test_a_picture_far_from_the_station_is_doubted(tmp_path: Path) -> None:
    """Latitude and longitude swapped is the fault that everybody makes once."""
    png(tmp_path / "plan.png", Image.new("RGB", (30, 20)))
    swapped = (
        "corners: {north_west: {latitude_deg: -28.24, longitude_deg: 38.49}, "
        "south_east: {latitude_deg: -28.27, longitude_deg: 38.51}}"
    )

    problems = campaign(tmp_path, f"{{file: plan.png, {swapped}}}").problems

    assert [p.code for p in problems if "overlay" in p.code] == ["description/overlay-far"]
