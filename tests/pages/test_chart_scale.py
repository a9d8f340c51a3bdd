from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from reportgen.pages.charts.scale import CLASSES, STOPS, class_colour, colour, level_class
from tests.pages.chart_samples import SCALE

CARDS = ("#ffffff", "#1a2127")
INKS = ("#1b232a", "#e8e6df")


def linear_rgb(text: str) -> NDArray[np.float64]:
    """Return linear-light components, IEC 61966-2-1 (sRGB)."""
    part = np.array([int(text[start : start + 2], 16) for start in (1, 3, 5)]) / 255
    return np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)


def luminance(text: str) -> float:
    return float(linear_rgb(text) @ np.array([0.2126, 0.7152, 0.0722]))


def lightness(text: str) -> float:
    """Return CIE 1976 L* (ISO/CIE 11664-4)."""
    y = luminance(text)
    return 116 * y ** (1 / 3) - 16 if y > (6 / 29) ** 3 else y * (29 / 3) ** 3


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of WCAG 2.2."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_lightness_rises_evenly_from_end_to_end() -> None:
    """What cividis was made for (Nuñez et al. 2018): equal steps of level look alike."""
    values = np.array([lightness(class_colour(number)) for number in range(CLASSES)])
    steps = np.diff(values)

    assert steps.min() > 0.5 * steps.mean()
    assert steps.max() < 1.6 * steps.mean()


def test_the_scale_ends_where_its_stops_end() -> None:
    assert colour(0.0, SCALE) == STOPS[0] == class_colour(0)
    assert colour(40.0, SCALE) == STOPS[-1] == class_colour(CLASSES - 1)


def test_a_level_outside_stands_at_the_end() -> None:
    assert colour(-3.0, SCALE) == STOPS[0]
    assert colour(99.0, SCALE) == STOPS[-1]
    assert (level_class(-3.0, SCALE), level_class(99.0, SCALE)) == (0, CLASSES - 1)


def test_a_level_on_a_stop_has_its_colour() -> None:
    assert colour(40.0 * 4 / 9, SCALE) == STOPS[4]


@pytest.mark.parametrize(("card", "ink"), list(zip(CARDS, INKS, strict=True)))
def test_every_mark_stands_out_by_its_fill_or_its_outline(card: str, ink: str) -> None:
    """WCAG 2.2, 1.4.11: 3:1 for what must be seen; the outline is drawn at three quarters."""
    shown = "#" + "".join(
        f"{round(0.75 * int(ink[i : i + 2], 16) + 0.25 * int(card[i : i + 2], 16)):02x}"
        for i in (1, 3, 5)
    )

    assert contrast(shown, card) > 3.0
    assert min(contrast(stop, card) for stop in STOPS) < 3.0, "fills alone would have done"
