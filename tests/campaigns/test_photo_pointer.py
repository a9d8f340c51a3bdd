"""The pointer above a photo against the mast that is drawn in it, measured in its pixels."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from tests.campaigns.example_photos import photo_key

ROOT = Path(__file__).resolve().parents[2]
PHOTOS: dict[str, Any] = json.loads(
    (ROOT / "tests" / "data" / "island-truth.json").read_text("utf-8")
)["photos"]
MAST_SEEN = ("01-quay", "04-mole-end", "06-village-green", "07-shoulder")
"""Photos with a heading in which the mast is large enough to be found without being told where."""
ANTENNA_M, BAND_M = 2.0, 0.6
"""The mast of the drawings: a dark antenna above bands of red and white."""
BESIDE_PX = 5

Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Strip:
    """What the site shows above a photo, as shares of the picture's width."""

    pointer: float
    low: float
    high: float
    picture: Path


def strip_of(site: Path, photo: str) -> Strip:
    page = (site / "photos.html").read_text("utf-8")
    card = re.search(rf'<article[^>]*id="photo-{photo_key(photo)}".*?</article>', page, re.DOTALL)
    assert card is not None
    shares = r'strip-doubt" x="([\d.]+)%".*?width="([\d.]+)%".*?<svg x="([\d.]+)%"'
    found = re.search(shares, card.group(), re.DOTALL)
    picture = re.search(r'class="photo-frame" href="([^"]+)"', card.group())
    assert found is not None
    assert picture is not None
    low, width, pointer = (float(part) / 100 for part in found.groups())
    return Strip(pointer=pointer, low=low, high=low + width, picture=site / picture.group(1))


def beside(values: Numbers, *, darker: bool) -> Numbers:
    """Return the darker, or brighter, of the pixels on either side."""
    sides = (np.roll(values, BESIDE_PX, axis=1), np.roll(values, -BESIDE_PX, axis=1))
    return np.minimum(*sides) if darker else np.maximum(*sides)


def column_sums(values: Numbers) -> Numbers:
    padded = np.vstack([np.zeros((1, values.shape[1])), values])
    return np.asarray(np.cumsum(padded, axis=0))


def mast_column(image: Image.Image) -> int:
    """Return the column of the mast: a dark thin stroke before the sky, red and white below it."""
    pixels = np.asarray(image.convert("RGB"), dtype=np.float64)
    light = pixels.mean(axis=2)
    red = pixels[..., 0] - (pixels[..., 1] + pixels[..., 2]) / 2
    dark = np.clip(beside(light, darker=True) - light, 0, 80) / 80
    redder = np.clip(red - beside(red, darker=False), -40, 40) / 40
    for values in (dark, redder):
        values[:, :BESIDE_PX] = values[:, -BESIDE_PX:] = 0.0
    is_sky = (light > 140) & (pixels[..., 2] - pixels[..., 0] > -2)
    sums = column_sums(dark), column_sums(redder)
    score, column = max(best_at(sums, is_sky, scale) for scale in np.geomspace(3.0, 32.0, 20))
    if score < 0.4:  # too far away for its bands: a dark stroke above a red one must do
        _, column = max(best_at(sums, is_sky, scale) for scale in np.geomspace(1.5, 3.0, 8))
    return column


def best_at(
    sums: tuple[Numbers, Numbers], is_sky: NDArray[np.bool_], scale: float
) -> tuple[float, int]:
    """Return how well the mast fits somewhere at so many pixels per metre, and in which column."""
    dark, redder = sums
    antenna = max(round(ANTENNA_M * scale), 3)
    ends = [round(antenna + BAND_M * scale * n) for n in range(4)]
    top = np.arange(4, is_sky.shape[0] - ends[3])
    stroke = (dark[top + antenna] - dark[top]) / antenna
    bands = [
        (redder[top + low_end] - redder[top + high_end]) / max(low_end - high_end, 1)
        for high_end, low_end in pairwise(ends)
    ]
    striped = np.minimum(bands[0], bands[2]) - np.clip(bands[1], -0.2, None)
    plain = (redder[top + ends[3]] - redder[top + antenna]) / (ends[3] - antenna)
    fit = is_sky[top - 4] * np.clip(stroke, 0, 1)
    fit = fit * np.clip(striped if scale >= 3.0 else plain, 0, 1) * scale**0.25
    _, column = np.unravel_index(int(np.argmax(fit)), fit.shape)
    return float(fit.max()), int(column)


def strip_and_mast(example_site: Path, photo: str) -> tuple[Strip, float]:
    """Return what is shown above a picture, and where across its pixels the mast is."""
    strip = strip_of(example_site.parent, photo)
    with Image.open(strip.picture) as image:
        return strip, mast_column(image) / image.width


@pytest.mark.slow
class TestThePointer:
    """In the pictures of the built site."""

    @pytest.mark.parametrize("photo", MAST_SEEN)
    def test_it_stands_on_the_drawn_mast_within_its_stated_error(
        self, example_site: Path, photo: str
    ) -> None:
        """One photo is 46 m from the mast, where its place's error alone turns it by 6 degrees."""
        strip, mast = strip_and_mast(example_site, photo)

        assert strip.low <= mast <= strip.high

    @pytest.mark.parametrize("photo", MAST_SEEN[1:])
    def test_it_is_much_nearer_where_the_compass_tells_the_truth(
        self, example_site: Path, photo: str
    ) -> None:
        """The drawn cameras' compasses are right to a tenth of a degree: what is left is place.

        Without the declination, with the sides of an upright picture exchanged, or with degrees
        spaced evenly, the pointer would miss by several times as much.
        """
        strip, mast = strip_and_mast(example_site, photo)

        assert strip.pointer == pytest.approx(mast, abs=0.012)

    @pytest.mark.parametrize("photo", MAST_SEEN)
    def test_the_mast_that_the_pixels_show_is_the_mast(
        self, example_site: Path, photo: str
    ) -> None:
        """Else the tests above would measure a chimney."""
        _, mast = strip_and_mast(example_site, photo)
        truth = PHOTOS[photo]

        assert mast == pytest.approx(truth["mast_top_px"][0] / truth["size_px"][0], abs=0.002)

    @pytest.mark.parametrize("photo", ["05-on-the-mole", "09-east-flank", "12-mast-day"])
    def test_it_stands_where_the_generator_drew_a_mast_too_small_to_be_found(
        self, example_site: Path, photo: str
    ) -> None:
        """One of them upright: there the short side is the width. One placed by the track."""
        truth = PHOTOS[photo]

        assert strip_of(example_site.parent, photo).pointer == pytest.approx(
            truth["mast_top_px"][0] / truth["size_px"][0], abs=0.015
        )

    def test_a_station_outside_the_picture_is_pointed_out_at_its_edge(
        self, example_site: Path
    ) -> None:
        page = (example_site.parent / "photos.html").read_text("utf-8")
        card = page.split('id="photo-3"')[1].split("</article>")[0]

        assert ">104° to the right</text>" in card
        assert "strip-doubt" not in card

    def test_without_a_heading_a_rose_shows_the_bearing(self, example_site: Path) -> None:
        page = (example_site.parent / "photos.html").read_text("utf-8")
        card = page.split('id="photo-10"')[1].split("</article>")[0]

        assert 'aria-label="Harbour office: 251° from true north"' in card
        assert 'class="strip"' not in card
